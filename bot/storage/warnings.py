"""Warnings, their duties, and who was asked."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.hazards import Hazard
from bot.storage.models import Ask, Duty, Warning
from bot.storage.states import AskState, DutyState, WarningState

LIVE = (DutyState.OPEN, DutyState.ACCEPTED)
#: No spell that is spoken of at once is longer than a forecast is good for.
_LONGEST_SPELL = timedelta(days=10)

__all__ = [
    "LIVE",
    "active",
    "asks_of",
    "by_id",
    "by_window",
    "duties_of",
    "duty",
    "freed",
    "open_asks_of_member",
    "spells",
    "told_with",
]


async def active(session: AsyncSession, garden_id: int, now: datetime) -> Sequence[Warning]:
    """Every warning that is not over, or has still something to undo, the soonest first."""
    undoing = select(Duty.warning_id).where(Duty.state.in_(LIVE), Duty.due_at > now)
    query = select(Warning).where(
        Warning.garden_id == garden_id, (Warning.state != WarningState.OVER) | Warning.id.in_(undoing)
    )
    return (await session.scalars(query.order_by(Warning.due_at, Warning.id))).all()


async def spells(session: AsyncSession, garden_id: int) -> Sequence[tuple[date, datetime]]:
    """The first day, and the end so far, of each wind that was warned of and is not over."""
    query = select(Warning.window_on, Warning.ends_at).where(
        Warning.garden_id == garden_id, Warning.hazard == Hazard.WIND, Warning.state != WarningState.OVER
    )
    return [(on, ends_at) for on, ends_at in await session.execute(query)]


async def by_id(session: AsyncSession, warning_id: int) -> Warning | None:
    return await session.get(Warning, warning_id)


async def by_window(session: AsyncSession, garden_id: int, hazard: Hazard, window_on: date) -> Warning | None:
    return await session.scalar(
        select(Warning).where(Warning.garden_id == garden_id, Warning.hazard == hazard, Warning.window_on == window_on)
    )


async def told_with(session: AsyncSession, garden_id: int, evening_on: date) -> frozenset[date]:
    """The evenings of which a message that rang has said, with an earlier one, that they are cold. evening_on: not those
    of messages long before it.
    """
    rows = await session.scalars(
        select(Warning.said).where(
            Warning.garden_id == garden_id,
            Warning.hazard == Hazard.COLD,
            Warning.window_on <= evening_on,
            Warning.window_on >= evening_on - _LONGEST_SPELL,
        )
    )
    return frozenset(date.fromisoformat(on) for said in rows for on in said.get("spell", ()))


async def duties_of(session: AsyncSession, warning_ids: Collection[int]) -> Sequence[Duty]:
    """The duties of these warnings that still count, in a fixed order."""
    query = select(Duty).where(Duty.warning_id.in_(warning_ids), Duty.state != DutyState.DROPPED)
    return (await session.scalars(query.order_by(Duty.due_at, Duty.id))).all()


async def duty(session: AsyncSession, duty_id: int) -> Duty | None:
    return await session.get(Duty, duty_id)


async def asks_of(session: AsyncSession, duty_ids: Collection[int]) -> Sequence[Ask]:
    query = select(Ask).where(Ask.duty_id.in_(duty_ids))
    return (await session.scalars(query.order_by(Ask.asked_at, Ask.id))).all()


async def freed(session: AsyncSession, garden_id: int) -> Sequence[tuple[Ask, Duty, Warning]]:
    """Of a garden, each yes that is no longer needed and whose member has yet to hear of it."""
    rows = await session.execute(
        select(Ask, Duty, Warning)
        .join(Duty, Duty.id == Ask.duty_id)
        .join(Warning, Warning.id == Duty.warning_id)
        .where(Warning.garden_id == garden_id, Ask.state == AskState.FREED)
        .order_by(Ask.member_id, Duty.due_at, Duty.id)
    )
    return [(ask, duty, warning) for ask, duty, warning in rows]


async def open_asks_of_member(session: AsyncSession, member_id: int) -> Sequence[tuple[Ask, Duty]]:
    """What a member has been asked for, or has accepted, and is not done yet."""
    rows = await session.execute(
        select(Ask, Duty)
        .join(Duty, Duty.id == Ask.duty_id)
        .where(
            Ask.member_id == member_id,
            Ask.state.in_((AskState.ASKED, AskState.ACCEPTED)),
            Duty.state.in_((DutyState.OPEN, DutyState.ACCEPTED)),
        )
        .order_by(Duty.due_at, Duty.id)
    )
    return [(ask, duty) for ask, duty in rows]
