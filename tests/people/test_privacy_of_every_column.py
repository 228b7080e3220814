"""Every table and column: what refers to a person is given out to them, and bears no name once they are forgotten.

A new table or column fails here until it is classed below, and until export and forget cover it.
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import (
    JSON,
    BigInteger,
    Column,
    LargeBinary,
    String,
    Table,
    insert,
    select,
)
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.services.people import personal_data, retention
from bot.storage.models import Base, Inbox, Member, Outbox, Person, Setup
from bot.storage.states import SendState
from bot.storage.types import Word
from tests.support.any_row import SOMEBODY_ELSE as YARA
from tests.support.any_row import any_value, points_at_people
from tests.support.stored import Stored, with_every_table

NOW = datetime(2026, 7, 1, 9, 0, tzinfo=UTC)
NAME, USERNAME, USER = "Zebedee Quill", "zebquill", 987_654_321_012

#: Columns that hold words, JSON or numbers of the chat platform, and what is done about people in them.
#: "theirs": the person's own, given out, and emptied when they are forgotten. "message": given out where it is their
#: chat or their words, emptied where it speaks of them. "kept": what they wrote for the garden stays as written (said
#: in docs/privacy.md). "garden": about the garden, its records or the program; no person is meant by it.
WORDS = {
    "asks": {"why": "garden"},
    "aways": {"given_on": "theirs"},
    "calendar_changes": {"before": "kept"},
    "calendar_entries": {"uid": "garden", "title": "kept", "rrule": "garden", "skips": "garden", "crop": "garden"},
    "calendars": {"uid": "garden"},
    "claim_codes": {"digest": "garden"},
    "code_guesses": {"user_id": "theirs"},
    "errands": {"chat_id": "theirs", "asked": "theirs", "file_id": "theirs", "file_name": "theirs",
                "file_bytes_n": "theirs", "data": "theirs", "error": "theirs"},
    "gardens": {"name": "garden", "chat_id": "garden", "zone": "garden", "language": "garden", "wind_unit": "garden",
                "second_language": "garden", "wordings": "garden",
                "bot_status": "garden", "shut": "garden", "former_chat_id": "garden"},
    "inbox": {"update_id": "garden", "chat_id": "message", "payload": "message", "error": "garden"},
    "job_marks": {"job": "theirs"},
    "journal": {"action": "garden", "unit": "garden", "words": "kept", "photo_id": "theirs", "undo": "garden"},
    "keys": {"name": "garden"},
    "knocks": {"shown": "theirs"},
    "learned": {"correction": "garden"},
    "members": {"skills": "theirs"},
    "night_minima": {"source": "garden"},
    "night_odds": {"forecast": "garden"},
    "official_warnings": {"sender": "garden", "identifier": "garden", "severity": "garden", "words": "garden"},
    "outbox": {"key": "garden", "chat_id": "message", "method": "garden", "payload": "message", "error": "garden"},
    "own_crops": {"key": "garden", "said": "garden"},
    "past_days": {"source": "garden", "hours": "garden"},
    "pending_notes": {"note": "theirs"},
    "people": {"name": "theirs", "user_id": "theirs", "username": "theirs", "language": "theirs"},
    "place_learned": {"correction": "garden"},
    "places": {"name": "garden"},
    "plantings": {"crop": "garden", "variety": "garden", "batch": "garden"},
    "plots": {"name": "garden"},
    "rule_changes": {"crop": "garden", "key": "garden", "value": "garden"},
    "sensor_keys": {"digest": "garden"},
    "service_pauses": {"service": "garden"},
    "setups": {"chat_id": "theirs", "title": "theirs", "name": "theirs", "zone": "theirs", "asks": "theirs",
               "bot_status": "garden", "draft": "theirs"},
    "thermometers": {"name": "garden"},
    "task_reports": {"before": "garden"},
    "tasks": {"crops": "garden", "item": "garden", "why": "garden"},
    "warning_feeds": {"url": "garden", "codes": "garden", "last_modified": "garden", "note": "garden"},
    "warning_files": {"url": "garden", "body": "garden", "note": "garden"},
    "warnings": {"said_needs": "garden", "safe": "garden", "stay": "garden", "lost": "garden", "spell": "garden",
                 "off_reason": "kept"},
    "weather": {"service": "garden", "stored": "garden"},
}  # fmt: skip


def _holds_words(column: Column[Any]) -> bool:
    return isinstance(column.type, (String, JSON, BigInteger, LargeBinary)) and not isinstance(column.type, Word)


def test_every_column_of_words_json_or_platform_numbers_is_classed() -> None:
    found = {
        table.name: {column.name for column in table.columns if _holds_words(column)}
        for table in Base.metadata.sorted_tables
    }
    assert {name: columns for name, columns in found.items() if columns} == {
        name: set(told) for name, told in WORDS.items()
    }


POINTING = [
    (table, column) for table in Base.metadata.sorted_tables for column in table.columns if points_at_people(column)
]


@pytest.fixture
async def session(stored: Stored) -> AsyncIterator[AsyncSession]:
    async with stored.opened(with_every_table) as database, database.begin() as opened:
        yield opened


async def _zebedee(session: AsyncSession) -> Person:
    """One member, Yara who is an organiser, and a row for each column that can point at him."""
    for table in Base.metadata.sorted_tables:
        columns: list[Column[Any] | None] = [column for column in table.columns if points_at_people(column)]
        for n, column in enumerate(columns or [None], 1):
            if table.name in ("inbox", "outbox", "people"):
                break
            row = {one.name: any_value(table, one, n) for one in table.columns}
            if column is not None:
                row[column.name] = 1
            await session.execute(insert(table).values(row))
        if table.name == "people":
            session.add(Person(id=1, name=NAME, user_id=USER, username=USERNAME, private_ok_at=NOW))
            session.add(Person(id=2, name="Yara", user_id=5, private_ok_at=NOW))
            await session.flush()
        if table.name == "members":
            session.add(Member(id=YARA, garden_id=1, person_id=2, role=Role.ORGANISER, joined_at=NOW))
            await session.flush()
    return await session.get_one(Person, 1)


@pytest.mark.parametrize(
    ("table", "column"), POINTING, ids=[f"{table.name}.{column.name}" for table, column in POINTING]
)
async def test_what_points_at_a_person_is_given_out(session: AsyncSession, table: Table, column: Column[Any]) -> None:
    person = await _zebedee(session)
    given = await personal_data.export(session, person)
    rows = given.get(table.name, [])
    assert any(row[column.name] == 1 for row in rows)


async def test_nothing_names_a_forgotten_person_anywhere(session: AsyncSession) -> None:
    person = await _zebedee(session)
    await _messages(session)
    done = await personal_data.forget(session, person, NOW)
    assert done.alone_in == ()
    await session.flush()
    session.expire_all()
    left = []
    for table in Base.metadata.sorted_tables:
        for row in (await session.execute(select(table))).mappings():
            text = json.dumps({name: str(value) for name, value in row.items()}, ensure_ascii=False)
            left += [f"{table.name}: {text}" for word in (NAME, USERNAME, str(USER)) if word in text]
    assert left == []
    sent = (await session.scalars(select(Outbox).order_by(Outbox.id))).all()
    waiting = [row.payload["text"] for row in sent if row.state is SendState.PENDING]
    assert waiting == [f"Thank you, {personal_data.NOBODY}, and the Quills may stay!"], (
        "only the name as a word of its own"
    )
    member = await session.get_one(Member, 1)
    assert (member.lift_kg, member.per_week, member.skills) == (None, None, "")
    assert (member.heard_at, member.still_asked_at) == (None, None)


async def test_whoever_has_only_begun_to_set_a_garden_up_is_forgotten_as_well(session: AsyncSession) -> None:
    person = Person(name=NAME, user_id=USER, username=USERNAME)
    session.add(person)
    await session.flush()
    session.add(Setup(person_id=person.id, chat_id=-7, asks="zone", name="Quill Yard", latitude=51.0, touched_at=NOW))
    await _messages(session)
    await personal_data.forget(session, person, NOW)
    assert (await session.scalars(select(Setup))).all() == []
    assert USER not in (await session.scalars(select(Outbox.chat_id))).all(), "nor does our private chat stay"


async def _messages(session: AsyncSession) -> None:
    """What is said to him, of him in the group, written by him there, and an answer to him by somebody else."""
    update = {"update_id": 1, "message": {"from": {"id": USER, "first_name": NAME}, "text": "sown"}}
    answer = {"update_id": 2, "message": {"from": {"id": 5}, "text": "yes", "reply_to_message": update["message"]}}
    for number, payload in enumerate((update, answer), 1):
        session.add(Inbox(update_id=number, chat_id=-7, payload=payload, received_at=NOW, done_at=NOW))
    texts = (
        (USER, f"Hello {NAME}", SendState.SENT),
        (-7, f"Thank you, {NAME}!", SendState.SENT),
        (-7, f'<a href="tg://user?id={USER}">he</a>', SendState.SENT),
        (-7, f"Thank you, {NAME}, and the Quills may stay!", SendState.PENDING),
    )
    for n, (chat_id, text, state) in enumerate(texts):
        session.add(
            Outbox(
                key=f"k{n}", chat_id=chat_id, method="sendMessage", payload={"text": text}, urgency=1, state=state,
                queued_at=NOW, send_at=NOW, settled_at=NOW if state is SendState.SENT else None,
            )
        )  # fmt: skip
    await session.flush()


async def test_whoever_only_began_to_set_a_garden_up_is_forgotten_too(session: AsyncSession) -> None:
    person = Person(id=1, name=NAME, user_id=USER, username=USERNAME, private_ok_at=NOW)
    session.add(person)
    await session.flush()
    session.add(Setup(person_id=1, chat_id=USER, asks="place", touched_at=NOW))
    await _messages(session)
    await personal_data.forget(session, person, NOW)
    assert (await session.scalars(select(Setup))).all() == []
    assert NAME not in str([row.payload for row in await session.scalars(select(Outbox))])


async def test_what_they_wrote_in_the_group_is_given_out_and_what_others_wrote_is_not(session: AsyncSession) -> None:
    person = await _zebedee(session)
    await _messages(session)
    given = await personal_data.export(session, person)
    assert [row["update_id"] for row in given["inbox"]] == [1]
    assert [row["chat_id"] for row in given["outbox"]] == [USER]


async def test_whoever_left_two_years_ago_is_forgotten_by_the_clock(session: AsyncSession) -> None:
    person = await _zebedee(session)
    for member in await session.scalars(select(Member).where(Member.person_id == person.id)):
        member.left_at = NOW
    await session.flush()
    await retention.tidy(session, NOW + retention.LEFT_FOR - timedelta(days=1))
    assert person.name == NAME
    await retention.tidy(session, NOW + retention.LEFT_FOR + timedelta(days=1))
    assert person.name == personal_data.NOBODY
    yara = await session.get_one(Person, 2)
    assert yara.name == "Yara"
