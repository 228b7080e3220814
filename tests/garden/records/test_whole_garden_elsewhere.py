"""A whole garden out of one machine and into another, table by table: keys, weeks on call, calendar, journal and all."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from bot.core.calendar.entry import EntryKind, EntryState
from bot.core.garden.place_state import Did
from bot.core.garden.snapshot import Around, Cover
from bot.core.warnings.hazards import Hazard, Severity, TaskKind
from bot.core.weather.ground import NightKind
from bot.services.garden.records.exporting import export_csv
from bot.services.garden.records.files import read_folder
from bot.services.garden.records.history import NAME
from bot.services.people import codes
from bot.storage.garden import gardens
from bot.storage.models import (
    Ask,
    Base,
    Calendar,
    CalendarChange,
    CalendarEntry,
    Entry,
    Garden,
    Key,
    KeyMove,
    Learned,
    Member,
    NamedHelper,
    NightOdds,
    OnCall,
    OwnCrop,
    PastDay,
    PlaceLearned,
    PlaceReport,
    Planting,
    Reading,
    RuleChange,
    Support,
    Task,
    Thermometer,
    Warning,
)  # fmt: skip
from bot.storage.schema import upgrade
from bot.storage.session import Database
from bot.storage.states import AskState, KeyState, TaskState, WarningState
from tests.garden.records.record_files import bring_files, said
from tests.open_data import ROOT

AT = datetime(2026, 5, 3, 18, 30, tzinfo=UTC)
DAY = date(2026, 5, 3)

#: Tables that stay behind, and why: docs/records.md says the same.
LEFT_OUT = {
    "inbox": "messages of this bot",
    "outbox": "messages of this bot",
    "pending_notes": "questions of this bot that wait for an answer",
    "errands": "work in hand",
    "setups": "questions of this bot that wait for an answer",
    "claim_codes": "codes for accounts of this bot",
    "code_guesses": "the same",
    "knocks": "questions of this bot that wait for an answer",
    "task_reports": "who said what of a task, kept a month for disputes",
    "job_marks": "Done and Not now of the week's list, by row numbers; they run out in weeks",
    "weather": "the forecast, fetched anew",
    "warning_feeds": "named anew by the organiser; the operator's are this bot's",
    "warning_files": "official warnings, fetched anew",
    "official_warnings": "the same, as they hold here",
    "sensor_keys": "made anew, so that no two machines hold the same",
    "sent_readings": "kept some days until a night is over, then readings",
    "service_pauses": "what weather services asked of this bot",
    "last_moment": "when this bot last lived",
}
#: Columns that stay behind: accounts, chats and moments of this machine, and numbers of rows and messages.
BARE = {
    "gardens": {
        "call_h",
        "chat_id",
        "thread_id",
        "weather_missing_since_at",
        "weather_missing_said_at",
        "trouble_since_at",
        "trouble_said_at",
        "bot_status",
        "shut",
        "shut_at",
        "former_chat_id",
        "former_thread_id",
        "turns_planned_on",
        "revision",
        "hears_reports",
    },
    "people": {"user_id", "username", "garden_id", "private_ok_at", "blocked_at"},
    "members": {"joined_at", "removed_at", "heard_at", "still_asked_at", "lift_back_on", "lift_back_kg"},
    "named_helpers": {"asked_at", "agreed_at"},
    "journal": {"undo"},
    "calendars": {"pinned_id"},
    "own_crops": {"member_id", "changed_at"},
    "warnings": {"outbox_id"},
}


@pytest.fixture
async def first(tmp_path: Path) -> AsyncIterator[Database]:
    """The invented garden of the demo, with something in every table that is carried."""
    database = Database(f"sqlite+aiosqlite:///{tmp_path / 'first.sqlite3'}")
    await upgrade(database)
    files = await asyncio.to_thread(read_folder, ROOT / "bot/demo/garden")
    assert said(await bring_files(database, files)) == []
    async with database.begin() as session:
        garden = (await session.scalars(select(Garden))).one()
        people = (await session.scalars(select(Member).order_by(Member.id))).all()
        batch = (await session.scalars(select(Planting).order_by(Planting.id))).first()
        support = (await session.scalars(select(Support).order_by(Support.id))).first()
        assert batch is not None and support is not None
        one, other = people[0].id, people[1].id
        garden.gust_limit_ms, garden.height_wind_limit_ms, garden.hose_ban = 12.5, 9.25, True
        garden.around = Around.TOWN
        here = {"garden_id": garden.id}
        meter = Thermometer(name="Shed", height_m=1.5, shaded=True, **here)
        key = Key(name="Tunnel", place_id=batch.place_id, holder_member_id=one, state=KeyState.LENT, **here)
        entry = CalendarEntry(
            uid="a@b", title="Seed swap", kind=EntryKind.OTHER, first_on=DAY, last_on=DAY, starts=time(10), ends=time(12),
            rrule="FREQ=WEEKLY;COUNT=3", skips=["2026-05-10"], state=EntryState.PUBLISHED, sequence=2, created_by=one,
            changed_at=AT, **here,
        )  # fmt: skip
        warning = Warning(
            hazard=Hazard.COLD, window_on=DAY, state=WarningState.OVER, severity=Severity.SEVERE, starts_at=AT,
            ends_at=AT, due_at=AT, probability=0.7, detected_at=AT, called_at=AT, over_at=AT, stay=["garlic"],
            **here,
        )  # fmt: skip
        session.add_all([meter, key, entry, warning, Calendar(uid="cal", **here)])
        await session.flush()
        duty = Task(
            garden_id=warning.garden_id, on=warning.window_on, warning_id=warning.id, place_id=batch.place_id,
            support_id=support.id, kind=TaskKind.COVER, minutes=10,
            starts_at=AT, due_at=AT, state=TaskState.DONE, done_at=AT, done_by=one,
        )  # fmt: skip
        session.add(duty)
        await session.flush()
        session.add_all([
            KeyMove(key_id=key.id, member_id=other, holder_member_id=one, state=KeyState.LENT, moved_at=AT),
            OnCall(starts_on=date(2026, 5, 4), member_id=one, **here),
            OnCall(starts_on=date(2026, 5, 4), member_id=other, **here),
            CalendarChange(entry_id=entry.id, member_id=one, changed_at=AT, before=None),
            Entry(
                member_id=one, planting_id=batch.id, place_id=batch.place_id, written_at=AT, done_on=DAY,
                action="harvested", amount=3.25, unit="kg", words="3.25 kg – Łukasz's <best>", **here,
            ),
            Entry(member_id=None, written_at=AT, done_on=DAY, action="watered", words="", undone_at=AT, **here),
            RuleChange(member_id=one, crop="garlic", key="planting.in_row_cm", value={"value": 12}, changed_at=AT, **here),
            OwnCrop(
                member_id=one, key="own-dahlia", changed_at=AT, said={"name": "Dahlia's", "like": "potato-maincrop",
                "eaten": False, "frost": "kills", "out": 5, "harvest": [7, 10], "apart_cm": 60}, **here,
            ),
            Reading(thermometer_id=meter.id, member_id=one, read_at=AT, night_on=DAY, value_c=-1.5, accepted=True),
            Learned(correction={"lay": "hollow", "n": [1, 2.5]}, updated_at=AT, **here),
            PlaceLearned(thermometer_id=meter.id, correction={"other": {"count": 3}}, updated_at=AT),
            PastDay(on=DAY, source="open-meteo", noted_at=AT, min_c=3.5, mean_c=9.25, hours=None, **here),
            NamedHelper(member_id=one, helper_id=other, asked_at=AT, agreed_at=AT),
            NightOdds(
                evening_on=DAY, made_at=AT, forecast_c=1.25, mean_c=0.5, sd_c=1.1, frost_odds=0.33,
                kind=NightKind.RADIATION, lead_h=18.5, untaught_c=1.25, ground_c=-2.0, **here
            ),
            PlaceReport(
                place_id=batch.place_id, did=Did.COVERED, cover=Cover.FLEECE, at=AT, until_at=AT, member_id=one,
                task_id=duty.id,
            ),
            PlaceReport(place_id=batch.place_id, did=Did.UNCOVERED, at=AT, member_id=other, withdrawn_at=AT),
            Ask(task_id=duty.id, member_id=one, state=AskState.ACCEPTED, why="near fair", asked_at=AT, answered_at=AT),
        ])  # fmt: skip
    yield database
    await database.close()


async def exported(database: Database) -> dict[str, bytes]:
    async with database.begin() as session:
        return await export_csv(session, (await gardens.all_gardens(session))[0])


async def contents(database: Database) -> dict[str, list[dict[str, Any]]]:
    found = {}
    async with database.begin() as session:
        for table in Base.metadata.sorted_tables:
            if table.name not in LEFT_OUT:
                rows = await session.execute(select(table).order_by(*table.primary_key))
                bare = BARE.get(table.name, set())
                found[table.name] = [{k: v for k, v in row.items() if k not in bare} for row in rows.mappings()]
    return found


@pytest.fixture
async def second(tmp_path: Path) -> AsyncIterator[Database]:
    database = Database(f"sqlite+aiosqlite:///{tmp_path / 'second.sqlite3'}")
    await upgrade(database)
    yield database
    await database.close()


async def test_every_table_arrives_as_it_was_or_is_named_as_left_out(first: Database, second: Database) -> None:
    files = await exported(first)
    assert said(await bring_files(second, files)) == []
    before, after = await contents(first), await contents(second)
    assert {name for name, rows in before.items() if not rows} <= {"free_times", "aways", "night_minima"}
    for name, rows in before.items():
        assert after[name] == rows, name
    assert await exported(second) == files


async def test_brought_in_again_nothing_changes(first: Database, second: Database) -> None:
    files = await exported(first)
    await bring_files(second, files)
    before = await contents(second)
    again = await bring_files(second, files)
    assert all(not (tally.added or tally.changed) for tally in again.tallies.values())
    assert await contents(second) == before


async def test_what_was_written_since_stays_and_the_file_adds_only_what_is_missing(first: Database) -> None:
    files = await exported(first)
    async with first.begin() as session:
        entry = (await session.scalars(select(Entry).where(Entry.action == "watered"))).one()
        await session.delete(entry)
        key = (await session.scalars(select(Key))).one()
        key.state, key.holder_member_id = KeyState.SPARE, None
    report = await bring_files(first, files)
    assert {name for name, tally in report.tallies.items() if tally.added} == {"journal"}
    async with first.begin() as session:
        assert (await session.scalars(select(Key.state))).all() == [KeyState.SPARE]
        assert len((await session.scalars(select(Entry))).all()) == 2


async def test_no_code_account_chat_or_claim_goes_out(first: Database) -> None:
    async with first.begin() as session:
        garden = (await session.scalars(select(Garden))).one()
        garden.chat_id = -1009876543210
        (code,) = await codes.first(session, garden, AT)
        person = (await session.scalars(select(Member).order_by(Member.id))).all()[0].person
        person.user_id, person.username = 123454321, "account_name"
    whole = b"".join((await exported(first)).values())
    for secret in (b"1009876543210", code.text.encode(), b"123454321", b"account_name"):
        assert secret not in whole


async def test_a_warning_in_force_stays_behind_and_so_do_its_duties(first: Database) -> None:
    async with first.begin() as session:
        warning = (await session.scalars(select(Warning))).one()
        warning.state = WarningState.CALLED
    tables = json.loads((await exported(first))[NAME])["tables"]
    assert not {"warnings", "tasks", "asks"} & set(tables)


async def test_who_has_left_is_not_named_and_what_they_did_stays(first: Database, second: Database) -> None:
    async with first.begin() as session:
        gone = (await session.scalars(select(Member).order_by(Member.id))).all()[0]
        gone.left_at, name = AT + timedelta(days=1), gone.person.name
    files = await exported(first)
    assert name not in files[NAME].decode()
    assert said(await bring_files(second, files)) == []
    async with second.begin() as session:
        entries = (await session.scalars(select(Entry).order_by(Entry.id))).all()
    assert [(one.amount, one.member_id) for one in entries] == [(3.25, None), (None, None)]


@pytest.mark.parametrize(
    "break_it",
    [
        lambda whole: whole | {"format": 99},
        lambda whole: {"format": 1, "tables": {"people": [{"name": "x"}]}},
        lambda whole: {"format": 1, "tables": {"keys": [{"id": 1, "name": "x" * 500, "state": "held"}]}},
        lambda whole: {"format": 1, "tables": {"journal": [{"written_at": "yesterday"}]}},
        lambda whole: {"format": 1, "tables": {"keys": [{"name": "x", "state": "melted"}]}},
        lambda whole: [],
    ],
)
async def test_a_damaged_history_is_said_and_nothing_at_all_is_stored(
    first: Database, second: Database, break_it: Any
) -> None:
    files = await exported(first)
    broken = json.dumps(break_it(json.loads(files[NAME]))).encode()
    (problem,) = said(await bring_files(second, {**files, NAME: broken}))
    assert problem.startswith("history.json: ") and "export it again" in problem
    async with second.begin() as session:
        assert not await gardens.all_gardens(session)


async def test_a_repetition_that_falls_on_no_day_is_refused_before_it_can_stop_the_watch(
    first: Database, second: Database
) -> None:
    files = await exported(first)
    bad = files[NAME].replace(b"FREQ=WEEKLY;COUNT=3", b"FREQ=SECONDLY;COUNT=3")
    (problem,) = said(await bring_files(second, {**files, NAME: bad}))
    assert "calendar_entries" in problem
    async with second.begin() as session:
        assert not await gardens.all_gardens(session)
