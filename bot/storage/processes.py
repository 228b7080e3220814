"""How many processes work on one PostgreSQL, so that they share what the platform lets one bot do."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import Callable

from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from bot.storage.session import Database

__all__ = ["count_processes"]

_LOG = logging.getLogger(__name__)
#: How often it is looked at, s.
LOOK_S = 5.0
#: Each process holds this lock, shared, as long as its connection lives; so whoever is killed is counted no more.
_LOCK = {"first": 20, "second": 26}
_TAKE = text("SELECT pg_advisory_lock_shared(:first, :second)")
_COUNT = text(
    "SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND granted AND objsubid = 2 AND classid = :first"
    " AND objid = :second AND database = (SELECT oid FROM pg_database WHERE datname = current_database())"
)


async def count_processes(database: Database, stop: asyncio.Event, found: Callable[[int], None]) -> None:
    """Call `found` with how many there are, this one among them, again and again until stopped. On SQLite there is one."""
    while not stop.is_set() and not database.is_sqlite:
        try:
            await _held(database, stop, found)
        except (DBAPIError, OSError, TimeoutError) as error:
            _LOG.info("other processes cannot be counted now (%s)", type(error).__name__)
        await _pause(stop)
    await stop.wait()


async def _held(database: Database, stop: asyncio.Event, found: Callable[[int], None]) -> None:
    async with database.engine.connect() as connection:
        try:
            await connection.execute(_TAKE, _LOCK)
            while not stop.is_set():
                found(max(1, (await connection.execute(_COUNT, _LOCK)).scalar_one()))
                await connection.commit()
                await _pause(stop)
        finally:
            await connection.invalidate()  # given back it would keep the lock


async def _pause(stop: asyncio.Event) -> None:
    with contextlib.suppress(TimeoutError):
        await asyncio.wait_for(stop.wait(), LOOK_S)
