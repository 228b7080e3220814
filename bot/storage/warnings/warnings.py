"""Warnings, found again."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import bindparam, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.finding import Called
from bot.core.warnings.hazards import Hazard
from bot.storage.models import Ask, Task, Warning
from bot.storage.read_once import lasting, read_each, read_once
from bot.storage.states import TaskState, WarningState
from bot.storage.tasks import tasks

#: No spell that is spoken of at once is longer than a forecast is good for.
_LONGEST_SPELL = timedelta(days=10)
#: Nothing is said or undone any more of a warning that has been over for longer.
LATELY = timedelta(days=10)
#: The garden's number, the hazard, and the first day of a warning.
_Window = tuple[int, Hazard, date]


@read_once(Warning, Task)
async def active(session: AsyncSession, garden_id: int, now: datetime) -> Sequence[Warning]:
    """Every warning that is not over, or has still something to undo, the soonest first."""
    return (await session.scalars(_active(), {"garden_id": garden_id, "now": now})).all()


@cache
def _active() -> Any:
    of_garden = Task.garden_id == bindparam("garden_id")
    undoing = select(Task.warning_id).where(of_garden, Task.state.in_(tasks.LIVE), Task.due_at > bindparam("now"))
    is_open = (Warning.state != WarningState.OVER) | Warning.id.in_(undoing)
    return (
        select(Warning).where(Warning.garden_id == bindparam("garden_id"), is_open).order_by(Warning.due_at, Warning.id)
    )


@read_once(Warning)
async def lately_over(session: AsyncSession, garden_id: int, now: datetime) -> Sequence[Warning]:
    """Those that ended within the last days, in the order in which they were made: something may be left to say, or to undo."""
    query = select(Warning).where(
        Warning.garden_id == garden_id, Warning.state == WarningState.OVER, Warning.over_at > now - LATELY
    )
    return (await session.scalars(query.order_by(Warning.id))).all()


async def spells(session: AsyncSession, garden_id: int) -> Sequence[tuple[date, datetime]]:
    """The first day, and the end so far, of each wind that was warned of and is not over."""
    query = select(Warning.window_on, Warning.ends_at).where(
        Warning.garden_id == garden_id, Warning.hazard == Hazard.WIND, Warning.state != WarningState.OVER
    )
    return [(on, ends_at) for on, ends_at in await session.execute(query)]


@lasting(Warning, Task)
async def called(session: AsyncSession, garden_id: int, zone: ZoneInfo) -> Called:
    """For what people have been called, and nothing has been called off; of a spell of wind each of its days."""
    rows = await session.execute(
        select(Warning.hazard, Warning.window_on, Warning.ends_at, Task.place_id)
        .join(Task, Task.warning_id == Warning.id)
        .where(
            Warning.garden_id == garden_id,
            Warning.state != WarningState.OVER,
            Warning.called_at.is_not(None),
            Task.state != TaskState.DROPPED,
            Task.place_id.is_not(None),
        )
        .distinct()
    )
    found: set[tuple[Hazard, date, int]] = set()
    for hazard, window_on, ends_at, place_id in rows:
        last_on = ends_at.astimezone(zone).date() if hazard is Hazard.WIND else window_on
        days = max((last_on - window_on).days, 0) + 1
        found |= {(hazard, window_on + timedelta(days=n), place_id or 0) for n in range(days)}
    return frozenset(found)


async def by_id(session: AsyncSession, warning_id: int) -> Warning | None:
    return await session.get(Warning, warning_id)


async def by_window(session: AsyncSession, garden_id: int, hazard: Hazard, window_on: date) -> Warning | None:
    return (await by_windows(session, garden_id, [(hazard, window_on)]))[hazard, window_on]


async def by_windows(
    session: AsyncSession, garden_id: int, windows: Collection[tuple[Hazard, date]]
) -> Mapping[tuple[Hazard, date], Warning | None]:
    found = await _by_window(session, [(garden_id, *window) for window in windows])
    return {(hazard, on): warning for (_, hazard, on), warning in found.items()}


@read_each(Warning)
async def _by_window(session: AsyncSession, wanted: Collection[_Window]) -> Mapping[_Window, Warning | None]:
    days = {on for _, _, on in wanted}
    query = select(Warning).where(Warning.garden_id.in_({of for of, _, _ in wanted}), Warning.window_on.in_(days))
    found = {(one.garden_id, one.hazard, one.window_on): one for one in await session.scalars(query)}
    return {one: found.get(one) for one in wanted}


async def open_of_member(session: AsyncSession, member_id: int) -> list[tuple[Ask, Task]]:
    """What of warnings a member has been asked for, or has accepted, and is not done yet, the soonest first."""
    return [(ask, duty) for ask, duty in await tasks.open_of_member(session, member_id) if duty.warning_id is not None]


async def told_with(session: AsyncSession, garden_id: int, evening_on: date) -> frozenset[date]:
    """The evenings of which a message that rang has said, with an earlier one, that they are cold. evening_on: not those
    of messages long before it.
    """
    rows = await session.scalars(
        select(Warning.spell).where(
            Warning.garden_id == garden_id,
            Warning.hazard == Hazard.COLD,
            Warning.window_on <= evening_on,
            Warning.window_on >= evening_on - _LONGEST_SPELL,
        )
    )
    return frozenset(date.fromisoformat(on) for spell in rows for on in spell)
