"""Whatever changes of a garden raises its revision, and no other garden's: every table, added, changed, deleted, in bulk."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Column, delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from bot.core.garden.snapshot import Role
from bot.services.people import leaving
from bot.services.people.retention import tidy
from bot.storage import revision
from bot.storage.garden import gardens
from bot.storage.models import (
    Base,
    Entry,
    Errand,
    Garden,
    Member,
    OnCall,
    PendingNote,
    Person,
    Place,
    Plot,
    PlotHolder,
)
from bot.storage.session import Database
from tests.support.any_row import NOW, any_value

#: What belongs to no garden, and why no look at one can rest on it.
OF_NO_GARDEN = {
    "inbox": "what came in, of whichever chat",
    "outbox": "what goes out, to whichever chat",
    "last_moment": "of the program",
    "code_guesses": "of an account that is nobody's yet",
    "sensor_keys": "no look rests on who may send",
    "sent_readings": "no look rests on them before they are a night's reading",
    "service_pauses": "of a weather service",
    "setups": "a dialogue with one person, of a garden that may be none yet",
}
MAPPED = sorted((one.class_ for one in Base.registry.mappers), key=lambda one: str(one.__tablename__))
ROWS = [one for one in MAPPED if one.__tablename__ not in OF_NO_GARDEN]


@pytest.fixture
async def database(tmp_path: Path) -> AsyncIterator[Database]:
    """Two gardens, each with a place, a plot, two members and whatever else the other tables point at."""
    opened = Database(f"sqlite+aiosqlite:///{tmp_path / 'g.sqlite3'}")
    async with opened.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)
        for table in Base.metadata.sorted_tables:
            for n in (1, 2):
                row = {one.name: _first(table, one, n) for one in table.columns}
                await connection.execute(insert(table).values(row))
    yield opened
    await opened.close()


def _first(table: Any, column: Column[Any], n: int) -> Any:
    """Of the first garden everything is 1, of the second 2."""
    if column.primary_key and not column.foreign_keys and column.name in ("id", "update_id"):
        return n
    if column.foreign_keys or column.name == "support_id":
        to = {key.column.table.name for key in column.foreign_keys}
        return None if to & {"journal", "outbox"} else n
    return any_value(table, column, n)


async def _revisions(database: Database) -> list[int]:
    async with database.begin() as session:
        return list(await session.scalars(select(Garden.revision).order_by(Garden.id)))


def test_every_table_leads_to_a_garden_or_says_why_not() -> None:
    leading = {
        table.name
        for table in Base.metadata.sorted_tables
        if table.name in ("gardens", "people") or revision.parent(table) is not None
    }
    assert {table.name for table in Base.metadata.sorted_tables} - leading == set(OF_NO_GARDEN)


def _plain(table: Any) -> list[str]:
    """Columns that may be changed without leading anywhere else."""
    fixed = ("garden_id", "revision", "support_id", "next_look_at", "ask_weather_at")
    return [one.name for one in table.columns if not (one.primary_key or one.foreign_keys or one.name in fixed)]


@pytest.mark.parametrize("row", [one for one in ROWS if _plain(one.__table__)], ids=lambda one: str(one.__tablename__))
async def test_a_row_that_is_changed_raises_it_once_and_makes_the_garden_due(
    database: Database, row: type[Any]
) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        for garden_id, revision_n in enumerate(before, 1):
            await revision.look_again(session, garden_id, revision_n, NOW + timedelta(minutes=5))
    assert await _due(database) == []
    async with database.begin() as session:
        first = (await session.scalars(select(row).order_by(*row.__table__.primary_key).limit(1))).one()
        _change(first, next(one for one in _plain(row.__table__) if getattr(first, one) is not None))
    assert await _revisions(database) == [before[0] + 1, before[1]], "the first garden's, by one"
    assert await _due(database) == [1]


async def _due(database: Database) -> list[int]:
    async with database.begin() as session:
        return [*await gardens.due(session, NOW, 0, 10)]


async def test_what_has_changed_since_the_look_began_keeps_the_garden_due(database: Database) -> None:
    first, _ = await _revisions(database)
    async with database.begin() as session:
        (await session.get_one(Garden, 1)).name = "Another name"
    async with database.begin() as session:
        await revision.look_again(session, 1, first, NOW + timedelta(minutes=5))
    assert 1 in await _due(database)


async def test_a_moment_that_a_wrong_clock_has_set_keeps_no_garden_waiting(database: Database) -> None:
    first, _ = await _revisions(database)
    async with database.begin() as session:
        await revision.look_again(session, 1, first, NOW + timedelta(days=4000))
    assert 1 in await _due(database)


#: What nothing else hangs on.
LEAVES = [
    one
    for one in ROWS
    if not any(
        key.column.table is one.__table__
        for table in Base.metadata.sorted_tables
        for column in table.columns
        for key in column.foreign_keys
    )
]


@pytest.mark.parametrize("row", LEAVES, ids=lambda one: str(one.__tablename__))
async def test_a_row_that_is_deleted_raises_it_once(database: Database, row: type[Any]) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        first = (await session.scalars(select(row).order_by(*row.__table__.primary_key).limit(1))).one()
        await session.delete(first)
    assert await _revisions(database) == [before[0] + 1, before[1]]


def _change(one: Any, name: str) -> None:
    value = getattr(one, name)
    if isinstance(value, bool):
        setattr(one, name, not value)
    elif isinstance(value, int | float):
        setattr(one, name, value + 1)
    elif isinstance(value, str) and type(value) is str:
        setattr(one, name, f"{value}?"[-20:])
    elif isinstance(value, dict):
        setattr(one, name, {"other": 1})
    elif isinstance(value, list):
        setattr(one, name, [1])
    elif isinstance(value, bytes):
        setattr(one, name, value + b".")
    elif value is None:
        pytest.fail(f"nothing to change in {name}")
    elif hasattr(type(value), "__members__"):
        setattr(one, name, next(each for each in type(value) if each is not value))
    else:
        setattr(one, name, value + timedelta(days=9))


async def test_a_row_that_is_added_raises_it(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        session.add(Plot(garden_id=2, name="New"))
    assert await _revisions(database) == [before[0], before[1] + 1]


async def test_what_changes_nothing_or_is_taken_back_raises_nothing(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        plot = await session.get_one(Plot, 1)
        plot.name = str(plot.name)
        assert await session.scalar(select(func.count()).select_from(Place)) == 2
    with pytest.raises(RuntimeError):
        async with database.begin() as session:
            session.add(Plot(garden_id=2, name="New"))
            await session.flush()
            raise RuntimeError
    assert await _revisions(database) == before


async def test_a_person_raises_each_garden_that_they_are_in(database: Database) -> None:
    async with database.begin() as session:
        session.add(Member(id=7, garden_id=2, person_id=1, role=Role.MEMBER, joined_at=NOW))
    before = await _revisions(database)
    async with database.begin() as session:
        (await session.get_one(Person, 1)).name = "Another"
    assert await _revisions(database) == [before[0] + 1, before[1] + 1]


async def test_a_statement_that_says_of_which_garden_raises_only_that_one(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        await session.execute(update(Place).where(Place.garden_id == 1).values(walk_min=3))
    assert await _revisions(database) == [before[0] + 1, before[1]]
    async with database.begin() as session:
        await session.execute(delete(OnCall).where(OnCall.garden_id == 2, OnCall.member_id == 2))
    assert await _revisions(database) == [before[0] + 1, before[1] + 1]


async def test_a_statement_that_says_of_whom_raises_only_their_garden(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        await session.execute(delete(PendingNote).where(PendingNote.member_id == 2))
    assert await _revisions(database) == [before[0], before[1] + 1]
    async with database.begin() as session:
        await session.execute(delete(PlotHolder).where(PlotHolder.member_id == 1))
    assert await _revisions(database) == [before[0] + 1, before[1] + 1]


async def test_what_is_too_old_for_any_look_goes_without_raising_one(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        await session.execute(update(Member).values(left_at=None, lift_back_on=None))
        await session.execute(update(Garden).values(call_h=None))  # reckoned anew by how fast people answer
    after = await _revisions(database)
    assert after != before
    async with database.begin() as session:
        removed = await tidy(session, NOW + timedelta(days=800))
        assert removed.questions_n == 2
        assert not (await session.scalars(select(Errand.id))).all()
    assert await _revisions(database) == after


async def test_a_member_who_leaves_raises_their_garden_alone(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        await leaving.end(session, await session.get_one(Member, 1), NOW)
    assert await _revisions(database) == [before[0] + 1, before[1]]


async def test_a_statement_that_finds_no_row_raises_nothing(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        await session.execute(delete(Plot).where(Plot.name == "none of these"))
        await session.execute(update(Entry).where(Entry.words == "none of these").values(unit="kg"))
    assert await _revisions(database) == before


async def test_a_statement_about_whichever_rows_raises_every_garden(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        await session.execute(update(Entry).where(Entry.words != "").values(unit="kg"))
    assert await _revisions(database) == [before[0] + 1, before[1] + 1]


async def test_a_statement_about_one_person_or_one_list_of_people_raises_wherever_they_are(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        session.add(Member(garden_id=2, person_id=1, joined_at=NOW))
    async with database.begin() as session:
        await session.execute(update(Person).where(Person.garden_id == 1).values(name="Anna"))
    assert await _revisions(database) == [before[0] + 1, before[1] + 2]

    async with database.begin() as session:
        await session.execute(delete(Member).where(Member.person_id == 1))
    assert await _revisions(database) == [before[0] + 2, before[1] + 3]


async def test_a_savepoint_that_is_rolled_back_leaves_the_rest_counted_once(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        async with session.begin_nested() as nested:
            session.add(Plot(garden_id=1, name="Tried"))
            await session.flush()
            await nested.rollback()
        session.add(Plot(garden_id=1, name="Kept"))
    assert await _revisions(database) == [before[0] + 1, before[1]]


async def test_a_savepoint_that_is_rolled_back_takes_nothing_from_what_was_changed_before_it(
    database: Database,
) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        session.add(Plot(garden_id=1, name="Kept"))
        await session.flush()
        async with session.begin_nested() as nested:
            session.add(Plot(garden_id=1, name="Tried"))
            await session.flush()
            tried = revision.changes(session.sync_session)
            await nested.rollback()
        assert revision.changes(session.sync_session) > tried, "what was looked at meanwhile holds no longer"
    assert await _revisions(database) == [before[0] + 1, before[1]]


async def test_a_flush_that_fails_in_a_savepoint_takes_nothing_from_what_was_changed_before_it(
    database: Database,
) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        session.add(Plot(garden_id=1, name="Kept"))
        await session.flush()
        with pytest.raises(IntegrityError):
            async with session.begin_nested():
                session.add(Plot(garden_id=99, name="Of no garden"))
                await session.flush()
    assert await _revisions(database) == [before[0] + 1, before[1]]


async def test_a_transaction_that_is_rolled_back_with_its_savepoint_raises_nothing(database: Database) -> None:
    before = await _revisions(database)
    async with database.begin() as session:
        session.add(Plot(garden_id=1, name="Gone"))
        await session.flush()
        await session.begin_nested()
        session.add(Plot(garden_id=1, name="Gone, too"))
        await session.flush()
        await session.rollback()
        assert not revision.changes(session.sync_session)
    assert await _revisions(database) == before
