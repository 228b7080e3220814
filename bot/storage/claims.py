"""Whose turn it is: locks that two processes on one PostgreSQL share, and what moves with a chat.

One process for one SQLite file: a lock that the operating system lets go of when the process dies.

How many processes work on one PostgreSQL, so that they share what the platform lets one bot do.
"""

from __future__ import annotations

import asyncio
import contextlib
import fcntl
import logging
import os
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from sqlalchemy import ARRAY, String, and_, bindparam, func, select, text, update
from sqlalchemy.exc import DBAPIError
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Errand, Garden, Inbox, Outbox, Setup
from bot.storage.session import Database
from bot.storage.states import SendState


def owns_all(session: AsyncSession) -> bool:
    """True on SQLite, where a writing transaction shuts out every other."""
    return session.get_bind().dialect.name == "sqlite"


async def own(session: AsyncSession, name: str) -> None:
    """Wait until `name` is ours, which it is until the transaction ends."""
    if not owns_all(session):
        await session.execute(_waited(), {"name": name})


@cache
def _waited() -> Any:
    return select(func.pg_advisory_xact_lock(func.hashtextextended(bindparam("name", type_=String), 0)))


async def try_own(session: AsyncSession, name: str) -> bool:
    """Own `name` until the transaction ends; False if another transaction does."""
    return bool(await try_own_of(session, [name]))


async def try_own_of(session: AsyncSession, names: Collection[str]) -> frozenset[str]:
    """The same of several names at once: those that are ours."""
    if owns_all(session):
        return frozenset(names)
    found = await session.execute(_locked(), {"names": [*names]})
    return frozenset(name for name, is_ours in found if is_ours)


@cache
def _locked() -> Any:
    name = func.unnest(bindparam("names", type_=ARRAY(String))).column_valued("name")
    return select(name, func.pg_try_advisory_xact_lock(func.hashtextextended(name, 0)))


async def move_chat(session: AsyncSession, old: int, new: int) -> None:
    """A group became a supergroup: every stored id of it changes at once. Doing it again changes nothing.

    Messages that were sent keep the old id, since their numbers may belong to others in the new chat; what would change
    one of them is let go.
    """
    for table in (Errand, Garden, Inbox, Setup):
        await session.execute(update(table).where(table.chat_id == old).values(chat_id=new))
    await session.execute(update(Garden).where(Garden.former_chat_id == old).values(former_chat_id=new))
    waiting = and_(Outbox.chat_id == old, Outbox.state == SendState.PENDING)
    sent = select(Outbox.id).where(Outbox.chat_id == old, Outbox.message_id.is_not(None))
    values = {"state": SendState.EXPIRED, "error": "its message is in the group as it was"}
    await session.execute(update(Outbox).where(waiting, Outbox.edits.in_(sent)).values(values))
    await session.execute(update(Outbox).where(waiting).values(chat_id=new))


class AlreadyRunning(RuntimeError):
    """Another process runs the bot on the same database file."""


@contextmanager
def single_instance(database: Path) -> Iterator[None]:
    """Hold `DATABASE.lock` beside the database file, or raise AlreadyRunning at once."""
    path = database.with_name(database.name + ".lock")
    # "a+" keeps the number of the process that holds the lock readable for the one that is refused.
    with os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600), "a+") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.seek(0)
            holder = file.read().strip() or "unknown"
            raise AlreadyRunning(f"{database} is in use by process {holder}; stop that one first") from None
        file.truncate(0)
        file.write(str(os.getpid()))
        file.flush()
        yield


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
