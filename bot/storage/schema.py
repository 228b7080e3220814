"""The tables brought up to this program's, by the migrations."""

from __future__ import annotations

from enum import Enum, auto

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text
from sqlalchemy.ext.asyncio import AsyncEngine

from bot.config import project_folder
from bot.storage.session import Database

__all__ = ["NewerError", "State", "is_known", "state", "upgrade"]

_LOCK = {"first": 20, "second": 19}


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
    return revision in {each.revision for each in ScriptDirectory.from_config(_config()).walk_revisions()}


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(project_folder("migrations")).replace("%", "%%"))
    return config


def _upgrade(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        # One process at a time, until its transaction ends; the next then finds nothing left to do.
        connection.execute(text("SELECT pg_advisory_xact_lock(:first, :second)"), _LOCK)
    config = _config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _state(connection: Connection) -> State:
    script = ScriptDirectory.from_config(_config())
    revision = MigrationContext.configure(connection).get_current_revision()
    if revision is None:
        return State.EMPTY
    if revision == script.get_current_head():
        return State.CURRENT
    return State.OLDER if is_known(revision) else State.NEWER
