"""A season of the first version's database becomes tasks, and nothing is lost: duties, walks, who was asked, what was said."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from alembic import command
from sqlalchemy import Connection, MetaData, insert, select

from bot.core.tasks.daily_work import Part
from bot.core.warnings.hazards import Severity, TaskKind
from bot.services.tasks import completion
from bot.services.tasks.answers import Reply, Walk
from bot.storage import schema
from bot.storage.models import Ask, Away, Base, Member, PlaceReport, Task, TaskReport, Warning
from bot.storage.session import Database
from bot.storage.states import AskState, TaskState
from bot.storage.tasks import tasks

EVENING, SUNRISE = datetime(2026, 5, 4, 19, 36, tzinfo=UTC), datetime(2026, 5, 5, 4, 16, tzinfo=UTC)
MORNING, NOON = datetime(2026, 5, 4, 7, 0, tzinfo=UTC), datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
#: The revision of version 0.1.0, and the last before this migration.
FIRST, BEFORE = "0007", "0017"


def _step(connection: Connection, revision: str) -> None:
    config = schema._config()
    config.attributes["connection"] = connection
    command.upgrade(config, revision)


def _back(connection: Connection, revision: str) -> None:
    config = schema._config()
    config.attributes["connection"] = connection
    command.downgrade(config, revision)


def _put(connection: Connection, rows: dict[str, list[dict[str, Any]]]) -> None:
    meta = MetaData()
    meta.reflect(connection)
    for table in meta.sorted_tables:
        for row in rows.get(table.name, []):
            connection.execute(insert(table).values(row))


async def _at(database: Database, revision: str, rows: dict[str, list[dict[str, Any]]]) -> None:
    async with database.engine.begin() as connection:
        await connection.run_sync(Base.metadata.drop_all)
    async with database.engine.connect() as connection:
        await connection.run_sync(_step, revision)
        await connection.commit()
        await connection.run_sync(_put, rows)
        await connection.commit()


async def _to(database: Database, revision: str = "head") -> None:
    async with database.engine.connect() as connection:
        await connection.run_sync(_step, revision)
        await connection.commit()


def season(said: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """A garden of two places and two people, one called night, one day of two walks."""
    flags = {"shared": True, "movable": False, "needs_key": False, "cover": "none", "inside": None, "garden_id": 1}
    member = {"garden_id": 1, "role": "member", "adult": True, "has_key": False, "mornings_only": False, "skills": ""}
    duty = {
        "warning_id": 1, "support_id": 0, "unliftable": False, "crops": "pea", "minutes": 10, "starts_at": NOON,
        "due_at": EVENING, "cover": None, "target_place_id": None,
    }  # fmt: skip
    return {
        "gardens": [
            {"id": 1, "name": "Teasel Lane", "latitude": 52.2, "longitude": -1.5, "zone": "Europe/London", "language": "en",
             "wind_unit": "mph", "lay": "open", "quiet_from_h": 21, "quiet_to_h": 7}
        ],
        "people": [{"id": n, "name": name, "language": "en"} for n, name in ((1, "Farah"), (2, "Idris"))],
        "members": [{**member, "id": n, "person_id": n, "joined_at": MORNING} for n in (1, 2)],
        "places": [{**flags, "id": n, "name": f"Place {n}", "kind": "open bed"} for n in (1, 2)],
        "warnings": [
            {"id": 1, "garden_id": 1, "hazard": "cold", "window_on": date(2026, 5, 4), "state": "called", "severity": "severe",
             "starts_at": EVENING, "ends_at": SUNRISE, "due_at": EVENING, "probability": 0.9, "detected_at": MORNING,
             "called_at": NOON, "said": said}
        ],
        "duties": [
            {**duty, "id": 1, "place_id": 1, "task": "cover", "people": 2, "state": "done", "done_at": NOON, "done_by": 1,
             "cover": "fleece"},
            {**duty, "id": 2, "place_id": 2, "task": "earth up", "people": 1, "state": "open"},
        ],
        "asks": [
            {"id": 1, "duty_id": 1, "member_id": 1, "state": "accepted", "why": "FAIR", "asked_at": NOON, "answered_at": NOON},
            {"id": 2, "duty_id": 2, "member_id": 2, "state": "asked", "why": "FAIR", "asked_at": NOON},
        ],
        "duty_reports": [
            {"id": 1, "duty_id": 1, "member_id": 1, "done": True, "reported_at": NOON}
        ],
        "day_turns": [
            {"id": 1, "garden_id": 1, "on": date(2026, 5, 4), "part": "morning", "minutes": 23, "due_at": NOON,
             "state": "done", "done_at": NOON, "done_by": 2, "chores": [
                 {"kind": "open", "place_id": 1, "due_at": NOON.isoformat(), "minutes": 10, "litres": None, "key": "",
                  "why": []},
                 {"kind": "water", "place_id": 2, "due_at": EVENING.isoformat(), "minutes": 13, "litres": 12.5,
                  "key": "water:2", "why": [["deficit", 12.5, None, None, "practice"]]},
             ]},
            {"id": 2, "garden_id": 1, "on": date(2026, 5, 4), "part": "evening", "minutes": 15, "due_at": EVENING,
             "state": "open", "chores": [
                 {"kind": "drain hoses", "place_id": 0, "due_at": EVENING.isoformat(), "minutes": 15, "litres": None,
                  "key": "", "why": []}
             ]},
        ],
        "day_turn_asks": [
            {"id": 1, "turn_id": 1, "member_id": 1, "state": "passed", "asked_at": MORNING, "answered_at": MORNING},
            {"id": 2, "turn_id": 1, "member_id": 2, "state": "accepted", "asked_at": NOON, "answered_at": NOON},
            {"id": 3, "turn_id": 2, "member_id": 1, "state": "asked", "asked_at": NOON, "answered_at": None},
        ],
    }  # fmt: skip


async def test_a_season_of_the_first_version_is_all_there_and_goes_on(database: Database) -> None:
    await _at(database, FIRST, season({}))
    await _to(database)
    async with database.begin() as session:
        rows = (await session.scalars(select(Task).order_by(Task.id))).all()
        assert [(row.id, row.warning_id, row.on, row.part, row.place_id, row.kind, row.state) for row in rows] == [
            (1, 1, date(2026, 5, 4), None, 1, TaskKind.COVER, TaskState.DONE),
            (2, 1, date(2026, 5, 4), None, 2, TaskKind.EARTH_UP, TaskState.OPEN),
            (3, None, date(2026, 5, 4), Part.MORNING, 1, TaskKind.VENT, TaskState.DONE),
            (4, None, date(2026, 5, 4), Part.MORNING, 2, TaskKind.WATER, TaskState.DONE),
            (5, None, date(2026, 5, 4), Part.EVENING, None, TaskKind.DRAIN, TaskState.OPEN),
        ]
        water = rows[3]
        assert (water.litres, water.item, water.minutes, water.due_at) == (12.5, "water:2", 13, EVENING)
        assert water.why == [["deficit", 12.5, None, None, "practice"]]
        assert (rows[0].people, rows[0].crops, rows[0].done_by, rows[2].done_by) == (2, "pea", 1, 2)
        asks = {(ask.task_id, ask.member_id): ask.state for ask in await session.scalars(select(Ask))}
        assert asks == {
            (1, 1): AskState.ACCEPTED, (2, 2): AskState.ASKED, (3, 1): AskState.PASSED, (3, 2): AskState.ACCEPTED,
            (4, 1): AskState.PASSED, (4, 2): AskState.ACCEPTED, (5, 1): AskState.ASKED,
        }  # fmt: skip
        (report,) = await session.scalars(select(TaskReport))
        assert (report.task_id, report.member_id, report.done) == (1, 1, True)
        told = {(one.place_id, one.did.value, one.task_id) for one in await session.scalars(select(PlaceReport))}
        assert told == {(1, "covered", 1), (1, "opened", None)}
        # and it goes on from there
        idris = await session.get_one(Member, 2)
        walk = Walk(tuple(await tasks.walk(session, 5)))
        given = await completion.done(session, walk, idris, datetime(2026, 5, 4, 18, 0, tzinfo=UTC))
        assert given.reply is Reply.THANKS
        again = Task(
            garden_id=1, on=date(2026, 5, 5), part=Part.MORNING, kind=TaskKind.DRAIN, minutes=5, starts_at=SUNRISE,
            due_at=SUNRISE,
        )  # fmt: skip
        session.add(again)
        await session.flush()
        assert again.id == 6


async def test_what_a_warning_had_said_stands_in_columns_of_its_own(database: Database) -> None:
    said = {
        "last": {
            "severity": "severe", "due_at": EVENING.isoformat(), "needs": [[1, 0, "cover"]], "probability": 0.8,
            "loudest": "severe", "spoken_due_at": NOON.isoformat(), "ground_c": -3.5,
        },
        "facts": {"plant_c": -2.1, "low_c": -4.0, "high_c": 0.5},
        "safe": [{"from": NOON.isoformat(), "to": EVENING.isoformat()}],
        "stay": ["kale"], "lost": [[7, "courgette", "2026-05-03"]], "open_call": True, "by_hand": True,
        "called": {"plant_c": -2.5}, "more": {"1": 1}, "told": {"2": NOON.isoformat()},
        "unneeded": {"2": MORNING.isoformat()}, "kept": {"1": SUNRISE.isoformat()}, "off": "cloud has come",
    }  # fmt: skip
    await _at(database, BEFORE, season(said))
    await _to(database)
    async with database.begin() as session:
        warning = await session.get_one(Warning, 1)
        assert (warning.said_severity, warning.said_due_at, warning.spoken_due_at) == (Severity.SEVERE, EVENING, NOON)
        assert (warning.said_probability, warning.said_ground_c, warning.said_needs) == (0.8, -3.5, [[1, 0, "cover"]])
        assert (warning.plant_c, warning.low_c, warning.high_c, warning.gust_ms) == (-2.1, -4.0, 0.5, None)
        assert warning.safe == [[NOON.isoformat(), EVENING.isoformat()]]
        assert (warning.stay, warning.lost) == (["kale"], [[7, "courgette", "2026-05-03"]])
        assert (warning.open_called, warning.by_hand, warning.called_plant_c) == (True, True, -2.5)
        assert (warning.off_reason, warning.again, warning.cleared) == ("cloud has come", False, False)
        one, two = [await session.get_one(Task, id_) for id_ in (1, 2)]
        assert (one.more, one.kept_until_at, two.told_due_at, two.unneeded_since_at) == (1, SUNRISE, NOON, MORNING)


async def test_an_absence_can_still_be_taken_back_with_all_that_it_gave_on(database: Database) -> None:
    rows = season({})
    rows["aways"] = [
        {"id": 1, "member_id": 1, "from_on": date(2026, 5, 4), "to_on": date(2026, 5, 4),
         "given_on": {"asks": [[2, "asked", "open"]], "walks": [[1, "accepted", "accepted"]]}}
    ]  # fmt: skip
    await _at(database, BEFORE, rows)
    await _to(database)
    async with database.begin() as session:
        away = await session.get_one(Away, 1)
        walk = [ask.id for ask in await session.scalars(select(Ask).where(Ask.member_id == 1, Ask.task_id.in_((3, 4))))]
        assert away.given_on == {
            "asks": [[2, "asked", "open"], *([id_, "accepted", "accepted"] for id_ in sorted(walk))]
        }
        assert len(walk) == 2


async def test_it_can_be_gone_back_from_with_the_duties_of_warnings(database: Database) -> None:
    await _at(database, BEFORE, season({"stay": ["kale"]}))
    await _to(database)
    async with database.engine.connect() as connection:
        await connection.run_sync(_back, BEFORE)
        await connection.commit()
        duties = (await connection.exec_driver_sql("SELECT id, task, state FROM duties ORDER BY id")).all()
        asks = (await connection.exec_driver_sql("SELECT duty_id, member_id FROM asks ORDER BY id")).all()
    assert [tuple(row) for row in duties] == [(1, "cover", "done"), (2, "earth up", "open")]
    assert [tuple(row) for row in asks] == [(1, 1), (2, 2)]
