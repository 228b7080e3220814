"""Setting a garden up in the chat: one open dialogue a person, kept in a table, so that it can wait for days."""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import StrEnum
from functools import cache
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Lay, Role
from bot.storage.models import Garden, Member, Person, Setup
from bot.storage.read_once import read_once

__all__ = [
    "ANSWER_FOR", "Question", "begin", "born", "change", "close", "in_group", "is_waiting", "next_question", "of_person",
]  # fmt: skip

#: How long the next message of somebody who has a garden already counts as the answer to a question.
ANSWER_FOR = timedelta(minutes=30)


class Question(StrEnum):
    NAME = "name"
    PLACE = "place"
    ZONE = "zone"
    LAY = "lay"
    ALTITUDE = "altitude"
    ADD = "add"  # lines that say what there is
    RENAME = "rename"


#: Without these there is no garden; in the order in which they are asked.
FIRST = (Question.NAME, Question.PLACE, Question.ZONE)


@read_once(Setup)
async def of_person(session: AsyncSession, person_id: int) -> Setup | None:
    found: Setup | None = await session.scalar(_of_person(), {"person_id": person_id})
    return found


@cache
def _of_person() -> Any:
    return select(Setup).where(Setup.person_id == bindparam("person_id"))


def is_waiting(row: Setup, now: datetime, *, belongs: bool) -> bool:
    """Whether the next message is its answer; whoever belongs to a garden may mean something else after a while."""
    return not belongs or now - row.touched_at <= ANSWER_FOR


async def in_group(session: AsyncSession, chat_id: int, thread_id: int | None) -> Setup | None:
    """A garden that is being set up for this group or topic."""
    here = (Setup.chat_id == chat_id, Setup.thread_id == thread_id, Setup.garden_id.is_(None))
    return await session.scalar(select(Setup).where(*here).order_by(Setup.id).limit(1))


async def begin(
    session: AsyncSession, person: Person, chat_id: int, thread_id: int | None, title: str, now: datetime
) -> Setup:
    """This person sets a garden up for this group from now on, going on where another has left off."""
    mine = await of_person(session, person.id)
    there = await in_group(session, chat_id, thread_id)
    if there is not None and mine is not None and there.id != mine.id:
        await session.delete(mine)
        await session.flush()
    if there is None and mine is not None and mine.garden_id is None and mine.chat_id == chat_id:
        there = mine
    if there is None:
        if mine is not None:
            await session.delete(mine)
            await session.flush()
        there = Setup(chat_id=chat_id, asks=Question.NAME)
        session.add(there)
    there.person_id, there.thread_id, there.title, there.touched_at = person.id, thread_id, title[:80], now
    await session.flush()
    return there


async def change(session: AsyncSession, person: Person, garden: Garden, asks: Question, now: datetime) -> Setup:
    """A question about a garden that is there; it takes the place of any other that was open."""
    await close(session, person.id)
    row = Setup(person_id=person.id, garden_id=garden.id, asks=asks, touched_at=now)
    session.add(row)
    await session.flush()
    return row


async def close(session: AsyncSession, person_id: int) -> None:
    row = await of_person(session, person_id)
    if row is not None:
        await session.delete(row)
        await session.flush()


def next_question(row: Setup) -> Question | None:
    """The first that has no answer yet; None when a garden can begin."""
    answers = (row.name, row.latitude, row.zone)
    return next((question for question, answer in zip(FIRST, answers, strict=True) if answer is None), None)


async def born(session: AsyncSession, row: Setup, person: Person, now: datetime) -> Garden:
    """The garden that the answers describe, with this person as its organiser, an adult by their own word."""
    assert row.name is not None and row.latitude is not None and row.longitude is not None and row.zone is not None
    garden = Garden(
        name=row.name,
        chat_id=row.chat_id,
        thread_id=row.thread_id,
        latitude=row.latitude,
        longitude=row.longitude,
        zone=row.zone,
        language=person.language,
        wind_unit="mph" if row.zone == "Europe/London" else "km/h",
        lay=Lay.OPEN,
        bot_status=row.bot_status,
    )
    session.add(garden)
    await session.flush()
    session.add(Member(garden_id=garden.id, person=person, role=Role.ORGANISER, adult=True, joined_at=now))
    person.garden_id = garden.id
    row.garden_id, row.asks, row.touched_at = garden.id, Question.LAY, now
    await session.flush()
    return garden
