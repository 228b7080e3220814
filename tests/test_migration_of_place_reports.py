"""What duties and notes had written over the places' flags is told by a ledger afterwards, and nothing of it is lost."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Any

import pytest
from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, MetaData, insert, select

from bot.storage import schema
from bot.storage.models import Base, Place, PlaceReport
from bot.storage.session import Database

EVENING, SUNRISE = datetime(2026, 5, 4, 19, 36, tzinfo=UTC), datetime(2026, 5, 5, 4, 16, tzinfo=UTC)
DONE_AT, LATER_AT = datetime(2026, 5, 4, 15, 0, tzinfo=UTC), datetime(2026, 5, 5, 9, 0, tzinfo=UTC)
BARE = {"cover": "none", "inside": None}

Rows = dict[str, list[dict[str, Any]]]


def _step(connection: Connection, revision: str) -> None:
    config = schema._config()
    config.attributes["connection"] = connection
    command.upgrade(config, revision)


def _before() -> str:
    """The revision that the ledger's migration follows."""
    revision = ScriptDirectory.from_config(schema._config()).get_revision("0015")
    assert revision is not None and isinstance(revision.down_revision, str)
    return revision.down_revision


def _put(connection: Connection, rows: Rows) -> None:
    meta = MetaData()
    meta.reflect(connection)
    for table in meta.sorted_tables:
        for row in rows.get(table.name, []):
            connection.execute(insert(table).values(row))


def _garden(places: Sequence[dict[str, Any]], **more: list[dict[str, Any]]) -> Rows:
    flags = {"shared": True, "movable": False, "needs_key": False, "cover": "none", "inside": None, "garden_id": 1}
    return {
        "gardens": [
            {"id": 1, "name": "Teasel Lane", "latitude": 52.2, "longitude": -1.5, "zone": "Europe/London", "language": "en",
             "wind_unit": "mph", "lay": "open", "quiet_from_h": 21, "quiet_to_h": 7}
        ],
        "people": [{"id": 1, "name": "Farah", "language": "en"}],
        "members": [
            {"id": 1, "garden_id": 1, "person_id": 1, "role": "member", "adult": True, "has_key": False,
             "mornings_only": False, "skills": "", "joined_at": EVENING}
        ],
        "places": [{**flags, "id": n, "name": f"Place {n}", "kind": "open bed", **one} for n, one in enumerate(places, 1)],
        "warnings": [
            {"id": 1, "garden_id": 1, "hazard": "cold", "window_on": date(2026, 5, 4), "state": "over", "severity": "severe",
             "starts_at": EVENING, "ends_at": SUNRISE, "due_at": EVENING, "probability": 0.9, "detected_at": DONE_AT,
             "said": {}}
        ],
        **more,
    }  # fmt: skip


def _duty(id_: int, place_id: int, task: str, **more: Any) -> dict[str, Any]:
    return {
        "id": id_, "warning_id": 1, "place_id": place_id, "support_id": 0, "task": task, "unliftable": False, "crops": "",
        "people": 1, "minutes": 10, "starts_at": DONE_AT, "due_at": EVENING, "state": "done", "done_at": DONE_AT,
        "done_by": 1, "before": None, "cover": None, "target_place_id": None, **more,
    }  # fmt: skip


async def _moved(database: Database, rows: Rows) -> tuple[dict[int, tuple[Any, ...]], list[tuple[Any, ...]]]:
    """The places' records and the ledger after the migration of a database with these rows."""
    async with database.engine.begin() as connection:
        await connection.run_sync(Base.metadata.drop_all)
    async with database.engine.connect() as connection:
        await connection.run_sync(_step, _before())
        await connection.commit()
        await connection.run_sync(_put, rows)
        await connection.commit()
        await connection.run_sync(_step, "head")
        await connection.commit()
    async with database.begin() as session:
        standing = (await session.scalars(select(Place))).all()
        places: dict[int, tuple[Any, ...]] = {one.id: (one.cover.value, one.inside) for one in standing}
        query = select(PlaceReport).order_by(PlaceReport.place_id, PlaceReport.at, PlaceReport.id)
        found = [
            (
                one.place_id,
                one.did.value,
                one.cover,
                one.target_place_id,
                one.at,
                one.until_at,
                one.member_id,
                one.task_id,
            )
            for one in await session.scalars(query)
        ]
    return places, found


async def test_a_cover_and_a_pot_carried_in_become_reports_and_the_records_are_as_organisers_wrote_them(
    database: Database,
) -> None:
    rows = _garden(
        [{"cover": "fleece"}, {"kind": "container", "inside": "tunnel"}, {"kind": "tunnel"}, {"cover": "net"}],
        duties=[
            _duty(1, 1, "cover", cover="fleece", before=BARE),
            _duty(2, 2, "bring in", target_place_id=3, before=BARE),
            _duty(3, 3, "vent", done_at=LATER_AT),
        ],
    )
    places, reports = await _moved(database, rows)
    assert places == {1: ("none", None), 2: ("none", None), 3: ("none", None), 4: ("net", None)}
    assert reports == [
        (1, "covered", "fleece", None, DONE_AT, SUNRISE, 1, 1),
        (2, "brought in", None, 3, DONE_AT, SUNRISE, 1, 2),
        (3, "opened", None, None, LATER_AT, None, 1, 3),
    ]


async def test_what_was_uncovered_is_told_as_uncovered(database: Database) -> None:
    duties = [
        _duty(1, 1, "cover", cover="double fleece", before={"cover": "net", "inside": None}),
        _duty(2, 1, "uncover", done_at=LATER_AT),
    ]
    places, reports = await _moved(database, _garden([{"cover": "net"}], duties=duties))
    assert places == {1: ("net", None)}
    assert [one[1:3] for one in reports] == [("covered", "double fleece"), ("uncovered", None)]


async def test_a_note_that_covered_a_place_becomes_a_report_of_its_writer(database: Database) -> None:
    entry = {
        "id": 7, "garden_id": 1, "member_id": 1, "place_id": 1, "written_at": DONE_AT, "done_on": date(2026, 5, 4),
        "action": "covered", "unit": "", "words": "covered bed 1", "undone_at": None,
        "undo": {"cover": {"place": 1, "before": "none", "after": "fleece"}},
    }  # fmt: skip
    taken_back = {**entry, "id": 8, "undone_at": LATER_AT, "place_id": 2}
    rows = _garden([{"cover": "fleece"}, {}], journal=[entry, taken_back])
    places, reports = await _moved(database, rows)
    assert places == {1: ("none", None), 2: ("none", None)}
    assert [one[:3] for one in reports] == [(1, "covered", "fleece")]


async def test_a_cover_that_an_organiser_recorded_since_stays_the_record(database: Database) -> None:
    duties = [_duty(1, 1, "cover", cover="fleece", before=BARE)]
    places, reports = await _moved(database, _garden([{"cover": "cloche"}], duties=duties))
    assert places == {1: ("cloche", None)}
    assert [one[1] for one in reports] == ["covered", "recorded"]


async def test_a_walk_that_opened_a_house_is_a_report_of_it(database: Database) -> None:
    turn = {
        "id": 1, "garden_id": 1, "on": date(2026, 5, 5), "part": "morning", "minutes": 10, "due_at": LATER_AT,
        "state": "done", "done_at": LATER_AT, "done_by": 1, "escalated_at": None,
        "chores": [{"kind": "open", "place_id": 1}, {"kind": "water", "place_id": 2}],
    }  # fmt: skip
    _, reports = await _moved(database, _garden([{"kind": "greenhouse"}, {}], day_turns=[turn]))
    assert [one[:2] for one in reports] == [(1, "opened")]


@pytest.mark.parametrize("state", ["open", "missed", "dropped"])
async def test_what_nobody_did_is_no_report(database: Database, state: str) -> None:
    duties = [_duty(1, 1, "cover", cover="fleece", state=state, done_at=None, done_by=None)]
    assert await _moved(database, _garden([{}], duties=duties)) == ({1: ("none", None)}, [])
