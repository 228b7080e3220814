"""The tables brought up to this program's, by the migrations.

What applies them is large, and is loaded only where there is something to apply: mostly there is not.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from enum import Enum, auto
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, text
from sqlalchemy.ext.asyncio import AsyncEngine

from bot.config import project_folder
from bot.storage.session import Database

if TYPE_CHECKING:
    from alembic.config import Config


_LOCK = {"first": 20, "second": 19}
#: How a migration's file says which revision it makes, and of which.
_REVISION = re.compile(r"^(down_)?revision = (?:None|[\"']([^\"']+)[\"'])$", re.MULTILINE)


class State(Enum):
    EMPTY = auto()  # no table of ours yet
    OLDER = auto()
    CURRENT = auto()
    NEWER = auto()  # of a program that came after this one


class NewerError(RuntimeError):
    """The tables are of a newer program: this one can't work with them."""

    def __init__(self, address: str) -> None:
        super().__init__(
            f"the database {address} was brought up to date by a newer program; install that one again, or go back with: "
            "gatepost restore FILE, a backup from before (docs/deploy.md)"
        )


async def upgrade(database: Database) -> None:
    """Apply what is missing; on an up-to-date database this does nothing. Of several processes one does it, and the others
    wait. Raises NewerError."""
    found = await state(database)
    if found is State.NEWER:
        raise NewerError(database.address)
    if found is State.CURRENT:
        return

    async def apply(engine: AsyncEngine) -> None:
        async with engine.connect() as connection:
            await connection.run_sync(_upgrade)
            await connection.commit()

    await database.connected(apply)


async def state(database: Database) -> State:
    """How its tables stand to this program."""

    async def look(engine: AsyncEngine) -> State:
        async with engine.connect() as connection:
            return await connection.run_sync(_state)

    return await database.connected(look)


def is_known(revision: str) -> bool:
    """Whether a revision is one of this program's, or one before."""
    return revision in revisions()


def revisions() -> Mapping[str, str | None]:
    """The revisions of this program, each with the one that it follows."""
    found: dict[str, str | None] = {}
    for path in sorted((project_folder("migrations") / "versions").glob("*.py")):
        said = {down: name or None for down, name in _REVISION.findall(path.read_text(encoding="utf-8"))}
        found[str(said[""])] = said["down_"]
    return found


def _config() -> Config:
    from alembic.config import Config

    config = Config(stdout=sys.stdout)  # its own is that of the moment at which it was loaded
    config.set_main_option("script_location", str(project_folder("migrations")).replace("%", "%%"))
    return config


def _upgrade(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        # One process at a time, until its transaction ends; the next then finds nothing left to do.
        connection.execute(text("SELECT pg_advisory_xact_lock(:first, :second)"), _LOCK)
    from alembic import command

    config = _config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _state(connection: Connection) -> State:
    known = revisions()
    revision = connection.scalar(text("SELECT version_num FROM alembic_version")) if _is_marked(connection) else None
    if revision is None:
        return State.EMPTY
    if revision not in known:
        return State.NEWER
    return State.OLDER if revision in known.values() else State.CURRENT


def _is_marked(connection: Connection) -> bool:
    return inspect(connection).has_table("alembic_version")
