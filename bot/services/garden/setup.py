"""Setting a garden up in the chat: one open dialogue a person, kept in a table, so that it can wait for days.

Which clocks a place may keep: the zones whose chief towns are nearest, from the time zone database's own list.

Offline and small; a border may lie between a place and its nearest town, so an organiser has the last word.

What a garden still lacks, from its own records; what works meanwhile is for the wording to say.
"""

from __future__ import annotations

import math
import re
from datetime import datetime, timedelta
from enum import StrEnum
from functools import cache
from importlib.resources import files
from typing import Any
from zoneinfo import available_timezones

from sqlalchemy import bindparam, func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Lay, PlaceKind, Role, Stage
from bot.crops.find import fold
from bot.services.people.membership import reachable
from bot.storage.models import Garden, Member, Person, Place, Planting, Setup, Thermometer
from bot.storage.people import members
from bot.storage.read_once import read_once

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
async def by_id(session: AsyncSession, row_id: int | None) -> Setup | None:
    return await session.get(Setup, row_id) if row_id is not None else None


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


# ISO 6709: +DDMM+DDDMM or +DDMMSS+DDDMMSS, as zone1970.tab's second column has it.
_PLACE = re.compile(r"([+-])(\d{2})(\d{2})(\d{2})?([+-])(\d{3})(\d{2})(\d{2})?")


def near(latitude: float, longitude: float, count: int = 4) -> list[str]:
    """IANA names, the zone of the nearest chief town first."""

    def distance(town: tuple[str, float, float]) -> float:
        _, north, east = town
        a, b = math.radians(latitude), math.radians(north)
        cosine = math.sin(a) * math.sin(b) + math.cos(a) * math.cos(b) * math.cos(math.radians(longitude - east))
        return math.acos(max(-1.0, min(1.0, cosine)))

    return [name for name, _, _ in sorted(_towns(), key=distance)[:count]]


def called(words: str) -> list[str]:
    """The zones that a town's or zone's name can mean, at most four."""
    wanted = fold(words)
    found = [name for name in sorted(available_timezones()) if wanted in (fold(name), fold(name.rsplit("/", 1)[-1]))]
    return [name for name in found if "/" in name and not name.startswith(("Etc/", "posix/", "right/"))][:4]


@cache
def _towns() -> tuple[tuple[str, float, float], ...]:
    lines = files("tzdata").joinpath("zoneinfo", "zone1970.tab").read_text(encoding="utf-8").splitlines()
    rows = [line.split("\t") for line in lines if line and not line.startswith("#")]
    return tuple((row[2], *_degrees(row[1])) for row in rows)


def _degrees(text: str) -> tuple[float, float]:
    found = _PLACE.fullmatch(text)
    assert found is not None, text
    north, d1, m1, s1, east, d2, m2, s2 = found.groups()
    latitude = int(d1) + int(m1) / 60 + int(s1 or 0) / 3600
    longitude = int(d2) + int(m2) / 60 + int(s2 or 0) / 3600
    return (latitude if north == "+" else -latitude), (longitude if east == "+" else -longitude)


class Lack(StrEnum):
    """In the order in which members need it."""

    GROUP = "group"
    # There is one that can't be written to as it should; the words of `Shut`.
    REMOVED = "removed"
    GONE = "gone"
    MUTED = "muted"
    CLOSED = "closed"
    TOPIC_CLOSED = "topic closed"
    TOPIC_GONE = "topic gone"
    ADMIN = "admin"  # the bot may neither pin nor look members up
    PIN = "pin"
    PRIVACY = "privacy"  # the bot sees only commands and what is addressed to it
    MEMBERS = "members"  # nobody but organisers
    UNREACHABLE = "unreachable"  # members who have not opened the private chat
    PLACES = "places"
    PLANTINGS = "plantings"
    CONTAINERS = "containers"
    THERMOMETER = "thermometer"


async def of_garden(session: AsyncSession, garden: Garden, *, reads_all: bool | None = None) -> list[Lack]:
    """reads_all: whether the bot's privacy mode is off, None where nobody can say. An administrator reads all anyway."""
    found: list[Lack] = []
    admin = garden.bot_status.startswith("administrator")
    if garden.shut:
        found.append(Lack(garden.shut))
    elif garden.chat_id is None:
        found.append(Lack.GROUP)
    elif garden.bot_status and not admin:
        found.append(Lack.ADMIN)
        if reads_all is False:
            found.append(Lack.PRIVACY)
    elif garden.bot_status == "administrator":
        found.append(Lack.PIN)
    people = await members.in_garden(session, garden.id)
    if len(people) < 2:
        found.append(Lack.MEMBERS)
    elif not all(reachable(one) for one in people):
        found.append(Lack.UNREACHABLE)
    count = select(func.count())
    here = Place.garden_id == garden.id
    pots = (here, Place.kind == PlaceKind.CONTAINER)
    growing = (Planting.garden_id == garden.id, Planting.stage != Stage.ENDED)
    for lack, table, conditions in (
        (Lack.PLACES, Place, (here,)),
        (Lack.PLANTINGS, Planting, growing),
        (Lack.CONTAINERS, Place, pots),
        (Lack.THERMOMETER, Thermometer, (Thermometer.garden_id == garden.id,)),
    ):
        if not await session.scalar(count.select_from(table).where(*conditions)):
            found.append(lack)
    return [lack for lack in found if lack is not Lack.CONTAINERS or Lack.PLACES not in found]
