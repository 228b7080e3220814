"""SQLite files for tests: each filling is made once a process and copied, and they share one engine.

An engine of its own for each test would compile every statement again for each. Here the driver runs in the loop's own
thread, as fast as SQLite is, and nothing waits for the disk: the file need not outlive the test. What is about the
driver, its threads or the disk takes the fixture `database`, or opens a `Database` itself, as the bot does.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import AsyncIterator, Awaitable, Callable, Generator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from aiosqlite import Connection
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

        apart: where to put one of its own, on the driver that the bot has.
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
            _in_place(self._database)
        path = self._database.url.database
        assert path is not None
        for left in (f"{path}-wal", f"{path}-shm"):
            Path(left).unlink(missing_ok=True)
        shutil.copyfile(source, path)
        self._database.kept.clear()  # looks at another test's garden
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


def _in_place(database: Database) -> None:
    engine = database.engine.sync_engine

    @event.listens_for(engine, "do_connect")
    def _connect(_dialect: object, _record: object, _args: object, parameters: dict[str, Any]) -> None:
        parameters["async_creator_fn"] = _connected

    @event.listens_for(engine, "connect")
    def _configure(connection: Any, _record: object) -> None:
        cursor = connection.cursor()
        cursor.execute("PRAGMA synchronous=OFF")
        # Whoever holds the lock waits for this very thread; the session's own patience lets it go on meanwhile.
        cursor.execute("PRAGMA busy_timeout=0")
        cursor.close()


def _connected(path: str, **parameters: Any) -> Connection:
    return _InPlace(lambda: sqlite3.connect(path, **parameters), iter_chunk_size=64)


class _InPlace(Connection):
    """A connection without a thread: each call is done when it is made."""

    def __await__(self) -> Generator[Any, None, Connection]:
        return self._opened().__await__()

    async def _opened(self) -> Connection:
        self._connection = self._connector()
        return self

    async def _execute(self, fn: Callable[..., Any], *args: Any, **kwargs: Any) -> Any:
        if self._connection is None:
            raise ValueError("Connection closed")
        return fn(*args, **kwargs)

    async def close(self) -> None:
        self.stop()

    def stop(self) -> None:
        self._running = False
        if self._connection is not None:
            self._connection.close()
            self._connection = None
