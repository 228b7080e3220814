"""SQLite files for tests: each filling is made once a process and copied, and they share one engine.

An engine of its own for each test would compile every statement again for each. Nothing waits for the disk: the file need
not outlive the test. What is about the disk takes the fixture `database`, or opens a `Database` itself, as the bot does.
"""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import event

from bot.storage.models import Base
from bot.storage.session import Database

__all__ = ["Stored", "with_every_table"]

Filling = Callable[[Database], Awaitable[None]]


async def with_every_table(database: Database) -> None:
    async with database.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)


@dataclass(slots=True)
class Stored:
    """folder: for this process alone."""

    folder: Path
    _made: dict[object, Path] = field(default_factory=dict)
    _database: Database | None = None
    _in_use: bool = False

    @asynccontextmanager
    async def opened(self, filling: Filling, apart: Path | None = None) -> AsyncIterator[Database]:
        """A database filled like this: a copy, which no other test sees. One at a time.

        apart: where to put one of its own, opened as the bot opens it.
        """
        source = await self.file(filling)
        if apart is not None:
            shutil.copyfile(source, apart)
            database = Database(f"sqlite+aiosqlite:///{apart}")
            yield database
            await database.close()
            return
        assert not self._in_use, "a test that needs two databases at once has the second one apart"
        if self._database is None:
            self._database = Database(f"sqlite+aiosqlite:///{self.folder / 'one.sqlite3'}")
            _careless(self._database)
        path = self._database.url.database
        assert path is not None
        for left in (f"{path}-wal", f"{path}-shm"):
            Path(left).unlink(missing_ok=True)
        shutil.copyfile(source, path)
        self._database.kept.clear()  # looks at another test's garden, and what was read for them
        self._database.reads.clear()
        self._in_use = True
        try:
            yield self._database
        finally:
            self._in_use = False
            await self._database.close()

    async def file(self, filling: Filling) -> Path:
        """The file to copy; made when it is first asked for."""
        if filling not in self._made:
            path = self.folder / f"filled{len(self._made)}.sqlite3"
            database = Database(f"sqlite+aiosqlite:///{path}")
            await filling(database)
            await database.close()  # which also moves what is in its log into the file
            self._made[filling] = path
        return self._made[filling]


def _careless(database: Database) -> None:
    engine = database.engine.sync_engine

    @event.listens_for(engine, "connect")
    def _configure(connection: Any, _record: object) -> None:
        cursor = connection.cursor()
        cursor.execute("PRAGMA synchronous=OFF")
        cursor.close()
