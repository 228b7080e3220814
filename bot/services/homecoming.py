"""Safely home? Asked of whoever had said yes to what is late; silence goes to an organiser (docs/rota.md)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services import afterwards
from bot.storage.models import Ask, Duty, Warning
from bot.storage.states import AskState, DutyState

__all__ = ["Late", "ask_now", "home", "silent_now"]

#: After the latest safe time, before anybody is asked: most are on their way; common practice, no source.
GRACE = timedelta(minutes=20)
#: Silence for so long goes to an organiser; common practice, no source.
SILENCE = timedelta(minutes=45)
#: What is later than that is no longer the same evening.
REACH = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class Late:
    """One member's late duties of one garden. done: they, or somebody for them, reported it, but late."""

    member_id: int
    duty_ids: tuple[int, ...]
    place_ids: tuple[int, ...]
    due_at: datetime
    done: bool


async def ask_now(session: AsyncSession, garden_id: int, now: datetime) -> list[Late]:
    """Who is to be asked now; each is told of once. What is undone by daylight afterwards is not asked about."""
    found: dict[int, list[tuple[Ask, Duty]]] = defaultdict(list)
    for ask, duty in await _accepted(session, garden_id, now):
        if ask.home_asked_at is None and _is_late(duty, now):
            ask.home_asked_at = now
            found[ask.member_id].append((ask, duty))
    return [_late(member_id, those) for member_id, those in found.items()]


async def silent_now(session: AsyncSession, garden_id: int, now: datetime) -> list[Late]:
    """Who was asked and has said nothing since, not even that it is done; each is told of once."""
    found: dict[int, list[tuple[Ask, Duty]]] = defaultdict(list)
    for ask, duty in await _accepted(session, garden_id, now):
        if ask.home_asked_at is None or ask.home_said_at is not None or ask.home_told_at is not None:
            continue
        if duty.done_at is not None and duty.done_at > ask.home_asked_at and duty.done_by == ask.member_id:
            ask.home_said_at = duty.done_at
        elif now - ask.home_asked_at >= SILENCE:
            ask.home_told_at = now
            found[ask.member_id].append((ask, duty))
    return [_late(member_id, those) for member_id, those in found.items()]


async def home(session: AsyncSession, member_id: int, now: datetime) -> bool | None:
    """They say that they are home; whether organisers had been told of their silence, None where nothing was asked."""
    query = select(Ask).where(Ask.member_id == member_id, Ask.home_asked_at > now - 2 * REACH)
    asked = (await session.scalars(query)).all()
    open_ = [ask for ask in asked if ask.home_said_at is None]
    for ask in open_:
        ask.home_said_at = now
    await session.flush()
    return any(ask.home_told_at is not None for ask in open_) if asked else None


async def _accepted(session: AsyncSession, garden_id: int, now: datetime) -> Sequence[tuple[Ask, Duty]]:
    """Every yes to what was due lately."""
    rows = await session.execute(
        select(Ask, Duty)
        .join(Duty, Duty.id == Ask.duty_id)
        .join(Warning, Warning.id == Duty.warning_id)
        .where(
            Warning.garden_id == garden_id,
            Ask.state == AskState.ACCEPTED,
            Duty.task.not_in(afterwards.TASKS),
            Duty.state != DutyState.DROPPED,
            Duty.due_at.between(now - 2 * REACH, now),
        )
        .order_by(Ask.member_id, Duty.due_at, Duty.id)
    )
    return [(ask, duty) for ask, duty in rows]


def _is_late(duty: Duty, now: datetime) -> bool:
    if duty.done_at is not None:
        return duty.due_at < duty.done_at <= duty.due_at + REACH and now - duty.done_at < REACH
    return duty.due_at + GRACE <= now <= duty.due_at + REACH


def _late(member_id: int, those: Sequence[tuple[Ask, Duty]]) -> Late:
    duties = [duty for _, duty in those]
    return Late(
        member_id,
        tuple(duty.id for duty in duties),
        tuple(dict.fromkeys(duty.place_id for duty in duties)),
        min(duty.due_at for duty in duties),
        all(duty.state is DutyState.DONE for duty in duties),
    )
