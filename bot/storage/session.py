"""One database, opened once: SQLite by default, PostgreSQL by its address, the same code on both."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from sqlalchemy import event, make_url
from sqlalchemy.ext.asyncio import AsyncEngine, AsyncSession, async_sessionmaker, create_async_engine

__all__ = ["Database"]


class Database:
    """The engine and its sessions. A session is one unit of work: it commits at the end of `begin`, or not at all."""

    def __init__(self, url: str) -> None:
        """url: `sqlite+aiosqlite:///PATH` or `postgresql+asyncpg://...`."""
        self.url = make_url(url)
        self.is_sqlite = self.url.get_backend_name() == "sqlite"
        self.engine = (
            _sqlite_engine(url)
            if self.is_sqlite
            else create_async_engine(url, pool_pre_ping=True, hide_parameters=True)
        )
        self._session = async_sessionmaker(self.engine, expire_on_commit=False)

    @asynccontextmanager
    async def begin(self) -> AsyncIterator[AsyncSession]:
        """A session in one writing transaction: all of it is stored at the end, or nothing is."""
        async with self._session() as session, session.begin():
            yield session

    async def close(self) -> None:
        await self.engine.dispose()


# hide_parameters: the text of an error must not carry what people wrote.


def _postgres_engine(url: str) -> AsyncEngine:
    return create_async_engine(url, pool_pre_ping=True, hide_parameters=True)


def _sqlite_engine(url: str) -> AsyncEngine:
    # Left to itself the driver opens a deferred transaction, which fails late with "database is locked"; so it is told
    # to keep out, and each transaction begins IMMEDIATE.
    engine = create_async_engine(url, connect_args={"isolation_level": None, "timeout": 30}, hide_parameters=True)

    @event.listens_for(engine.sync_engine, "connect")
    def _configure(connection: Any, _record: Any) -> None:
        cursor = connection.cursor()
        for pragma in ("journal_mode=WAL", "foreign_keys=ON", "busy_timeout=30000", "synchronous=FULL"):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    @event.listens_for(engine.sync_engine, "begin")
    def _begin(connection: Any) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")

    return engine
