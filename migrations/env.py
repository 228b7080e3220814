"""Alembic's entry: the tables of bot.storage.models, over the same async engine as the bot."""

from __future__ import annotations

import asyncio
from typing import Any, Literal

from alembic import context
from sqlalchemy import Connection

from bot.config import database_url
from bot.storage.models import Base
from bot.storage.session import Database
from bot.storage.types import UtcMoment, Word


def _render(kind: str, column_type: Any, _context: Any) -> str | Literal[False]:
    """Write our column types into a migration as the plain types that they are stored as."""
    if kind == "type" and isinstance(column_type, UtcMoment):
        return "sa.DateTime(timezone=True)"
    if kind == "type" and isinstance(column_type, Word):
        return "sa.String(length=40)"
    return False


def _migrate(connection: Connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=connection.dialect.name == "sqlite",
        render_item=_render,
        compare_type=True,
    )
    with context.begin_transaction():
        context.run_migrations()


async def _main() -> None:
    database = Database(database_url())
    async with database.engine.connect() as connection:
        await connection.run_sync(_migrate)
        await connection.commit()
    await database.close()


given = context.config.attributes.get("connection")
if given is not None:
    _migrate(given)
else:
    asyncio.run(_main())
