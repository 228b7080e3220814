"""What is kept for a time, given out and forgotten, and what organisers keep, on both databases."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.core.warnings.assumed import Assumed, ColdNight
from bot.core.warnings.safety import Closed
from bot.services.people import keys, personal_data, retention
from bot.services.tasks import weeks_on_call
from bot.services.warnings import expected, manual
from bot.services.warnings.expected import Call
from bot.storage.models import Away, Entry, Garden, Inbox, Key, Member, Outbox, Person
from bot.storage.session import Database
from bot.storage.states import KeyState, SendState

NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)  # a Monday
ALBA, BRAM = 501, 502


@pytest.fixture
async def garden(database: Database) -> Garden:
    """Two invented people; Alba is the organiser, Bram holds a key."""
    async with database.begin() as session:
        garden = Garden(name="Teasel Lane", latitude=52.2, longitude=-1.5, zone="Europe/London")
        session.add(garden)
        await session.flush()
        for user, name in ((ALBA, "Alba"), (BRAM, "Bram")):
            person = Person(name=name, user_id=user, private_ok_at=NOW)
            session.add(person)
            await session.flush()
            role = Role.ORGANISER if user == ALBA else Role.MEMBER
            member = Member(garden_id=garden.id, person_id=person.id, role=role, has_key=user == BRAM, joined_at=NOW)
            session.add(member)
            await session.flush()
            session.add(Away(member_id=member.id, from_on=date(2026, 6, 1), to_on=date(2026, 6, 7)))
            session.add(
                Entry(garden_id=garden.id, member_id=member.id, written_at=NOW, done_on=NOW.date(), action="sowed")
            )
        await session.flush()
        return garden


async def _message(session: AsyncSession, key: str, at: datetime, **more: object) -> Outbox:
    row = Outbox(
        key=key, chat_id=BRAM, method="sendMessage", payload={"text": "Hello, Bram"}, urgency=1, state=SendState.SENT,
        queued_at=at, send_at=at, settled_at=at, message_id=1, **more,
    )  # fmt: skip
    session.add(row)
    await session.flush()
    return row


async def test_old_messages_go_and_what_still_changes_goes_after_its_changes(
    database: Database, garden: Garden
) -> None:
    async with database.begin() as session:
        first = await _message(session, "first", NOW)
        await _message(session, "change", NOW + timedelta(days=20), edits=first.id)
        session.add(
            Inbox(update_id=1, chat_id=BRAM, payload={"message": {"text": "hello"}}, received_at=NOW, done_at=NOW)
        )
    for days, removed in ((6, (0, 0)), (8, (1, 0)), (8, (0, 0)), (31, (0, 0)), (51, (0, 2)), (51, (0, 0))):
        async with database.begin() as session:
            gone = await retention.tidy(session, NOW + timedelta(days=days))
        assert (gone.inbox_n, gone.outbox_n) == removed, f"after {days} days"
    async with database.begin() as session:
        assert (await session.scalars(select(Inbox))).all() == []


async def test_a_person_s_rows_are_given_out_and_forgotten(database: Database, garden: Garden) -> None:
    async with database.begin() as session:
        bram = (await session.scalars(select(Person).where(Person.user_id == BRAM))).one()
        await keys.of_garden(session, garden.id)
        await _message(session, "first", NOW)
        stored = await personal_data.export(session, bram)
        assert stored.keys() == {"people", "members", "aways", "journal", "keys", "outbox"}
        assert "Alba" not in str(stored)
    async with database.begin() as session:
        bram = (await session.scalars(select(Person).where(Person.user_id == BRAM))).one()
        done = await personal_data.forget(session, bram, NOW)
        assert done.keys == {garden.id: ("1",)} and not done.alone_in
    async with database.begin() as session:
        assert (await session.scalars(select(Key.state))).one() is KeyState.LOST
        assert sorted(await session.scalars(select(Person.name))) == ["Alba", personal_data.NOBODY]
        assert len((await session.scalars(select(Entry))).all()) == 2
        assert (await session.scalars(select(Outbox))).all() == []


async def test_the_only_organiser_is_not_forgotten(database: Database, garden: Garden) -> None:
    async with database.begin() as session:
        alba = (await session.scalars(select(Person).where(Person.user_id == ALBA))).one()
        done = await personal_data.forget(session, alba, NOW)
    assert done.alone_in == ("Teasel Lane",)
    async with database.begin() as session:
        assert (await session.scalars(select(Person.name).where(Person.user_id == ALBA))).one() == "Alba"


async def test_weeks_on_call_are_the_same_when_asked_again_and_nobody_away_has_one(
    database: Database, garden: Garden
) -> None:
    async with database.begin() as session:
        first = await weeks_on_call.weeks(session, garden, NOW)
    async with database.begin() as session:
        assert await weeks_on_call.weeks(session, garden, NOW) == first
    assert [len(week.people) for week in first] == [2, 2, 2, 2, 0, 2], "both are away from 1 to 7 June"


async def test_calls_by_hand_are_kept_until_they_are_past_or_called_off(database: Database, garden: Garden) -> None:
    cold, closed = ColdNight(NOW.date(), -2.0), Closed(NOW + timedelta(hours=3), NOW + timedelta(hours=6))
    async with database.begin() as session:
        assert await manual.call(session, garden, Call(cold), NOW)
        assert not await manual.call(session, garden, Call(cold), NOW), "the very same"
        assert await manual.call(session, garden, Call(closed), NOW)
    async with database.begin() as session:
        kept = await expected.assumed(session, garden.id, NOW)
        assert (kept.nights, kept.closed) == ((cold,), (closed,))
        assert not await expected.closed_now(session, garden.id, NOW)
        assert await expected.closed_now(session, garden.id, NOW + timedelta(hours=3))
        assert (await expected.assumed(session, garden.id, NOW + timedelta(hours=6))).closed == ()
        assert (await expected.assumed(session, garden.id, NOW + timedelta(days=1))).nights == ()
    async with database.begin() as session:
        for warning in await manual.in_force(session, garden.id, NOW):
            assert await manual.call_off(session, garden, warning, "", NOW)
            assert not await manual.call_off(session, garden, warning, "", NOW)
        assert await expected.assumed(session, garden.id, NOW) == Assumed()
