"""Safely home? Asked of whoever had said yes to what is late; silence goes to an organiser (docs/rota.md)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import IntEnum, StrEnum
from functools import cache
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.warnings import aftermath
from bot.storage.models import Ask, Task, TaskReport, Warning
from bot.storage.read_once import read_once
from bot.storage.states import AskState, TaskState
from bot.storage.wire import said

#: After the latest safe time, before anybody is asked: most are on their way; common practice, no source.
GRACE = timedelta(minutes=20)
#: Silence for so long goes to an organiser; common practice, no source.
SILENCE = timedelta(minutes=45)
#: What is later than that is no longer the same evening.
REACH = timedelta(hours=6)


class Asked(StrEnum):
    """Whether somebody was asked lately whether they are safely home."""

    NOT = "not asked"
    OPEN = "asked, and has not said"
    OVER = "asked, and has said"


class Reached(IntEnum):
    """Who was told of somebody, the best last."""

    NOBODY = 0
    GROUP = 1
    ORGANISERS = 2


@dataclass(frozen=True, slots=True)
class Late:
    """One member's late duties of one garden. done: they, or somebody for them, reported it, but late."""

    member_id: int
    task_ids: tuple[int, ...]
    place_ids: tuple[int, ...]
    due_at: datetime
    done: bool


async def ask_now(session: AsyncSession, garden_id: int, now: datetime) -> list[Late]:
    """Who is to be asked now; each is told of once. What is undone by daylight afterwards is not asked about."""
    found: dict[int, list[tuple[Ask, Task]]] = defaultdict(list)
    for ask, duty in await _accepted(session, garden_id, now):
        if ask.home_asked_at is None and _is_late(duty, now):
            ask.home_asked_at = now
            found[ask.member_id].append((ask, duty))
    return [_late(member_id, those) for member_id, those in found.items()]


async def silent_now(session: AsyncSession, garden_id: int, now: datetime) -> list[Late]:
    """Who was asked and has said nothing since, not even that it is done; each is told of once."""
    found: dict[int, list[tuple[Ask, Task]]] = defaultdict(list)
    for ask, duty in await _accepted(session, garden_id, now):
        if ask.home_asked_at is None or ask.home_said_at is not None or ask.home_told_at is not None:
            continue
        if (said_at := await _reported_at(session, ask)) is not None and said_at > ask.home_asked_at:
            ask.home_said_at = said_at
        elif now - ask.home_asked_at >= SILENCE:
            ask.home_told_at = now
            found[ask.member_id].append((ask, duty))
    return [_late(member_id, those) for member_id, those in found.items()]


async def home(session: AsyncSession, member_id: int, now: datetime) -> bool:
    """They say that they are home; whether organisers had been told of them."""
    open_ = [ask for ask in await _asks(session, member_id, now) if ask.home_said_at is None]
    for ask in open_:
        ask.home_said_at = now
    await session.flush()
    return any(ask.home_told_at is not None for ask in open_)


async def home_unasked(session: AsyncSession, member_id: int, now: datetime) -> bool:
    """They say so before they are asked: whether they were on anything that is done or past its time, of which nobody asks
    them now.
    """
    query = select(Ask, Task).join(Task, Task.id == Ask.task_id)
    mine = query.where(Ask.member_id == member_id, Ask.state == AskState.ACCEPTED, Task.kind.not_in(aftermath.TASKS))
    rows = await session.execute(mine.where(Task.due_at.between(now - 2 * REACH, now + REACH)))
    back = [ask for ask, duty in rows if duty.state is TaskState.DONE or duty.due_at <= now]
    for ask in back:
        ask.home_asked_at, ask.home_said_at = ask.home_asked_at or now, ask.home_said_at or now
    await session.flush()
    return bool(back)


async def asked(session: AsyncSession, member_id: int, now: datetime) -> Asked:
    """Whether they were asked within the last hours, and have not said yet. A question does not end with the night."""
    asks = await _asks(session, member_id, now)
    if not asks:
        return Asked.NOT
    return Asked.OPEN if any(ask.home_said_at is None for ask in asks) else Asked.OVER


async def crying(session: AsyncSession, now: datetime) -> frozenset[int]:
    """Ids of the members who cried for help within the last hours, and have not said since that all is well."""
    told: dict[tuple[str, int], int] = {}
    for key, row_id in (await said.queued(session, ("home:cry:", "home:safe:"), now - REACH)).items():
        _, what, number, *_ = key.split(":")
        told[what, int(number)] = max(row_id, told.get((what, int(number)), 0))
    return frozenset(
        id_ for (what, id_), row_id in told.items() if what == "cry" and row_id > told.get(("safe", id_), 0)
    )


async def passed_on(session: AsyncSession, member_id: int, now: datetime) -> None:
    """Organisers have their words: they are not told of silence as well."""
    for ask in await _asks(session, member_id, now):
        if ask.home_said_at is None:
            ask.home_told_at = ask.home_told_at or now
    await session.flush()


async def whereabouts(session: AsyncSession, member_id: int, now: datetime) -> list[int]:
    """Ids of the places where they are or were to be about now, by what they have said yes to."""
    rows = await session.scalars(
        select(Task.place_id)
        .join(Ask, Ask.task_id == Task.id)
        .where(
            Ask.member_id == member_id,
            Ask.state == AskState.ACCEPTED,
            Task.state != TaskState.DROPPED,
            Task.due_at.between(now - 2 * REACH, now + REACH),
        )
        .order_by(Task.due_at, Task.id)
    )
    return list(dict.fromkeys(id_ for id_ in rows if id_ is not None))


@read_once(Ask)
async def _asks(session: AsyncSession, member_id: int, now: datetime) -> Sequence[Ask]:
    return (await session.scalars(_asked_since(), {"member_id": member_id, "since_at": now - 2 * REACH})).all()


@cache
def _asked_since() -> Any:
    lately = (Ask.member_id == bindparam("member_id"), Ask.home_asked_at > bindparam("since_at"))
    return select(Ask).where(*lately).order_by(Ask.id)


async def _reported_at(session: AsyncSession, ask: Ask) -> datetime | None:
    """When they last reported this duty done, or their part of it."""
    query = select(TaskReport.reported_at).where(
        TaskReport.task_id == ask.task_id, TaskReport.member_id == ask.member_id, TaskReport.done
    )
    return await session.scalar(query.order_by(TaskReport.id.desc()).limit(1))


@read_once(Ask, Task, Warning)
async def _accepted(session: AsyncSession, garden_id: int, now: datetime) -> Sequence[tuple[Ask, Task]]:
    """Every yes to what was due lately."""
    rows = await session.execute(
        select(Ask, Task)
        .join(Task, Task.id == Ask.task_id)
        .join(Warning, Warning.id == Task.warning_id)
        .where(
            Warning.garden_id == garden_id,
            Ask.state == AskState.ACCEPTED,
            Task.kind.not_in(aftermath.TASKS),
            Task.state != TaskState.DROPPED,
            Task.due_at.between(now - 2 * REACH, now),
        )
        .order_by(Ask.member_id, Task.due_at, Task.id)
    )
    return [(ask, duty) for ask, duty in rows]


def _is_late(duty: Task, now: datetime) -> bool:
    if duty.done_at is not None:
        return duty.due_at < duty.done_at <= duty.due_at + REACH and now - duty.done_at < REACH
    return duty.due_at + GRACE <= now <= duty.due_at + REACH


def _late(member_id: int, those: Sequence[tuple[Ask, Task]]) -> Late:
    duties = [duty for _, duty in those]
    return Late(
        member_id,
        tuple(duty.id for duty in duties),
        tuple(dict.fromkeys(duty.where_id for duty in duties)),
        min(duty.due_at for duty in duties),
        all(duty.state is TaskState.DONE for duty in duties),
    )
