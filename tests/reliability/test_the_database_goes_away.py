"""The database is locked by another program, its server restarts: what is asked of it waits, and nothing is lost."""

from __future__ import annotations

import asyncio
import contextlib
import sqlite3
from collections.abc import AsyncIterator
from datetime import UTC, datetime
from pathlib import Path

import asyncpg
import pytest
from sqlalchemy import func, make_url, select, text
from sqlalchemy.exc import InternalError
from sqlalchemy.ext.asyncio import AsyncSession, create_async_engine

from bot.storage.models import Inbox
from bot.storage.session import Database
from bot.storage.trouble import Trouble, trouble, what_to_do

NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


async def put(session: AsyncSession, number: int) -> None:
    if await session.get(Inbox, number) is None:
        session.add(Inbox(update_id=number, chat_id=1, payload={}, received_at=NOW))


async def count(database: Database) -> int:
    async with database.begin() as session:
        return int(await session.scalar(select(func.count()).select_from(Inbox)) or 0)


@contextlib.asynccontextmanager
async def locked(database: Database) -> AsyncIterator[None]:
    """Another program holds the whole file."""
    other = await asyncio.to_thread(sqlite3.connect, str(database.url.database), check_same_thread=False)
    await asyncio.to_thread(other.execute, "BEGIN EXCLUSIVE")
    try:
        yield
    finally:
        await asyncio.to_thread(other.rollback)
        await asyncio.to_thread(other.close)


async def dismiss_all(url: str) -> None:
    """What a server does to every connection when it is stopped."""
    admin = create_async_engine(make_url(url).set(database="postgres"), isolation_level="AUTOCOMMIT")
    async with admin.connect() as connection:
        mine = {"name": make_url(url).database}
        await connection.execute(
            text("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = :name"), mine
        )
    await admin.dispose()


async def test_whatever_begins_waits_until_the_file_is_free(tmp_path: Path, database_url: str) -> None:
    database = Database(database_url, patience_s=20)
    if not database.is_sqlite:
        pytest.skip("a file is locked on SQLite")
    async with locked(database):
        waiting = asyncio.gather(*(database.insist(lambda s, n=n: put(s, n)) for n in range(5)))  # type: ignore[misc]
        await asyncio.sleep(1.5)
        assert not waiting.done()
    await waiting
    assert await count(database) == 5
    await database.close()


async def test_whoever_has_little_patience_hears_that_it_is_locked(database_url: str) -> None:
    database = Database(database_url, patience_s=0.3)
    if not database.is_sqlite:
        pytest.skip("a file is locked on SQLite")
    async with locked(database):
        with pytest.raises(Exception, match="locked") as caught:
            await count(database)
    assert trouble(caught.value) is Trouble.PASSING
    assert "locked" in what_to_do(caught.value, database.address)
    await database.close()


async def test_connections_that_the_server_ends_are_opened_again(database_url: str) -> None:
    database = Database(database_url, patience_s=20)
    if database.is_sqlite:
        pytest.skip("SQLite has no server")
    done = 0

    async def keep_on() -> None:
        nonlocal done
        while done < 300:
            done += 1
            await database.insist(lambda s, n=done: put(s, n))  # type: ignore[misc]

    crew = [asyncio.create_task(keep_on()) for _ in range(3)]
    while not all(one.done() for one in crew):
        await dismiss_all(database_url)
        await asyncio.sleep(0.05)
    await asyncio.gather(*crew)
    assert await count(database) == done
    await database.close()


@pytest.mark.parametrize(
    ("change", "words"),
    [({"username": "nobody_here"}, "user or the password"), ({"database": "not_there"}, "no database of that name")],
)
async def test_what_only_a_person_can_mend_is_said_at_once_and_with_what_to_do(
    database_url: str, change: dict[str, str], words: str
) -> None:
    if database_url.startswith("sqlite"):
        pytest.skip("SQLite has no users")
    url = make_url(database_url).set(password="secret-words", **change)  # type: ignore[arg-type]
    database = Database(url.render_as_string(hide_password=False), patience_s=20)
    async with asyncio.timeout(5):
        with pytest.raises(Exception) as caught:
            await count(database)
    assert trouble(caught.value) is Trouble.PERSON
    said = what_to_do(caught.value, database.address)
    assert words in said and "secret-words" not in said and "GATEPOST_DATABASE_URL" in said
    await database.close()


@pytest.mark.parametrize("what", ["no folder", "no database", "read only"])
async def test_a_file_that_only_a_person_can_mend_is_named(tmp_path: Path, what: str) -> None:
    path = tmp_path / ("missing" if what == "no folder" else ".") / "own.sqlite3"
    if what == "no database":
        path.write_bytes(b"notes of the committee " * 100)
    query = ""
    if what == "read only":
        await asyncio.to_thread(lambda: sqlite3.connect(path).execute("create table t (x)").connection.close())
        path, query = Path(f"file:{path}"), "?mode=ro&uri=true"
    database = Database(f"sqlite+aiosqlite:///{path}{query}", patience_s=20)
    async with asyncio.timeout(5):
        with pytest.raises(Exception) as caught:
            async with database.begin() as session:
                await session.execute(text("create table n (x)"))
    assert trouble(caught.value) is Trouble.PERSON, caught.value
    assert "own.sqlite3" in what_to_do(caught.value, database.address)
    await database.close()


async def test_a_statement_that_is_wrong_is_no_trouble_of_the_database(database: Database) -> None:
    with pytest.raises(Exception) as caught:
        async with database.begin() as session:
            await session.execute(text("select nonsense from nowhere"))
    assert trouble(caught.value) is None


def test_a_driver_that_trips_over_a_connection_cut_off_as_it_opens_is_tried_again() -> None:
    """As it came of a server that ended a connection while its first questions were asked."""
    dressed = Exception("cannot switch to state 15; another operation (2) is in progress")
    dressed.__cause__ = asyncpg.InternalClientError("cannot switch to state 15; another operation (2) is in progress")
    error = InternalError("select pg_catalog.version()", None, dressed)
    assert trouble(error, connecting=True) is Trouble.PASSING
    assert trouble(error) is None, "in the midst of work it is a fault of ours"
