"""What was read for a look lasts while the garden's revision stands, and where only this process has raised it, but for what
was changed with it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from sqlalchemy import event, update

from bot.storage.garden import gardens
from bot.storage.models import Base, Member, Outbox, Place, Planting
from bot.storage.read_once import lasting
from bot.storage.session import Database
from tests.support.group_messages import furnished
from tests.support.rings import RECORDS_AT


@pytest.fixture
async def database(tmp_path: Path) -> AsyncIterator[Database]:
    opened = Database(f"sqlite+aiosqlite:///{tmp_path / 'g.sqlite3'}")
    await furnished(opened, RECORDS_AT)
    yield opened
    await opened.close()


async def _asked(database: Database) -> set[str]:
    """The tables that are asked when the garden is read in a transaction of its own."""
    asked: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_more: object) -> None:
        asked.append(statement)

    event.listen(database.engine.sync_engine, "before_cursor_execute", note)
    try:
        async with database.begin() as session:
            row = await gardens.lock(session, 1)
            assert row is not None
            asked.clear()
            await gardens.snapshot(session, row)
    finally:
        event.remove(database.engine.sync_engine, "before_cursor_execute", note)
    return {table for table in Base.metadata.tables for one in asked if f"FROM {table}" in one}


async def _place_names(database: Database) -> set[str]:
    async with database.begin() as session:
        row = await gardens.lock(session, 1)
        assert row is not None
        return {place.name for place in (await gardens.snapshot(session, row)).places}


async def _renamed(database: Database) -> None:
    async with database.begin() as session:
        row = await gardens.lock(session, 1)
        assert row is not None
        (await session.get_one(Place, 1)).name = "Renamed"


async def test_nothing_is_read_twice_while_nothing_changes(database: Database) -> None:
    assert await _asked(database) >= {"places", "plantings", "members", "plots"}
    assert await _asked(database) == set()


async def test_only_what_was_changed_is_read_anew(database: Database) -> None:
    await _asked(database)
    await _renamed(database)
    asked = await _asked(database)
    assert "places" in asked
    assert not asked & {"plantings", "members", "plots"}
    assert "Renamed" in await _place_names(database)


async def test_what_another_process_has_changed_is_seen(database: Database) -> None:
    await _place_names(database)
    another = Database(database.url.render_as_string(hide_password=False))
    await _renamed(another)
    await another.close()
    assert "Renamed" in await _place_names(database)


async def test_what_another_process_has_changed_is_seen_though_this_one_changes_more(database: Database) -> None:
    await _place_names(database)
    another = Database(database.url.render_as_string(hide_password=False))
    await _renamed(another)
    await another.close()
    async with database.begin() as session:  # it has not read the garden since
        await session.execute(update(Member).where(Member.garden_id == 1).values(heard_at=RECORDS_AT))
    assert "Renamed" in await _place_names(database)


async def test_what_was_undone_is_not_kept(database: Database) -> None:
    before = await _place_names(database)
    with pytest.raises(RuntimeError, match="on purpose"):
        async with database.begin() as session:
            row = await gardens.lock(session, 1)
            assert row is not None
            (await session.get_one(Place, 1)).name = "Renamed"
            assert "Renamed" in {place.name for place in (await gardens.snapshot(session, row)).places}
            raise RuntimeError("on purpose")
    assert await _place_names(database) == before


async def test_what_a_statement_about_many_has_changed_is_seen(database: Database) -> None:
    await _place_names(database)
    async with database.begin() as session:
        await session.execute(update(Place).where(Place.id == 1).values(name="Renamed"))
    assert "Renamed" in await _place_names(database)


async def test_what_is_gone_is_seen(database: Database) -> None:
    await _asked(database)
    async with database.begin() as session:
        await session.delete(await session.get_one(Planting, 1))
    async with database.begin() as session:
        row = await gardens.lock(session, 1)
        assert row is not None
        assert 1 not in {one.id for one in (await gardens.snapshot(session, row)).plantings}


def test_what_raises_no_revision_cannot_last() -> None:
    with pytest.raises(TypeError, match="revision"):

        @lasting(Outbox)
        async def _read(session: object, garden_id: int) -> int:
            return garden_id
