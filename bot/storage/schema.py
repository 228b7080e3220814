"""The tables brought up to this program's, by the migrations."""

from __future__ import annotations

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection
from sqlalchemy.ext.asyncio import AsyncEngine

from bot.config import project_folder
from bot.storage.session import Database

__all__ = ["is_current", "upgrade"]


async def upgrade(database: Database) -> None:
    """Apply what is missing; on an up-to-date database this does nothing."""

    async def apply(engine: AsyncEngine) -> None:
        async with engine.connect() as connection:
            await connection.run_sync(_upgrade)
            await connection.commit()

    await database.connected(apply)


async def is_current(database: Database) -> bool:
    """Whether every migration has been applied."""
    async with database.engine.connect() as connection:
        return await connection.run_sync(_is_current)


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(project_folder("migrations")).replace("%", "%%"))
    return config


def _upgrade(connection: Connection) -> None:
    config = _config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _is_current(connection: Connection) -> bool:
    head = ScriptDirectory.from_config(_config()).get_current_head()
    return MigrationContext.configure(connection).get_current_revision() == head
