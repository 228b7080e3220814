"""What follows a duty that was done, once its hazard is over. What undoes it is asked for in `services.settling`."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import sun
from bot.core.closed import ENOUGH, Closed
from bot.core.hazards import AFTERWARDS, Task
from bot.storage import warnings as store
from bot.storage.models import Duty, Garden, Warning
from bot.storage.states import AskState, DutyState

__all__ = ["TASKS", "daylight_ends", "plan", "postpone", "unplan", "withdraw"]

TASKS = frozenset(AFTERWARDS.values())


async def plan(session: AsyncSession, row: Garden, warning: Warning, now: datetime) -> None:
    """A look for damage after each duty that asks for it and is done; planned twice, it is there once."""
    known = await _known(session, warning)
    for duty in await store.duties_of(session, [warning.id]):
        if duty.state is not DutyState.DONE or AFTERWARDS.get(duty.task) is not Task.LOOK:
            continue
        look = known.get((duty.place_id, duty.support_id, Task.LOOK))
        if look is None:
            look = Duty(warning_id=warning.id, place_id=duty.place_id, support_id=duty.support_id, task=Task.LOOK)
            known[duty.place_id, duty.support_id, Task.LOOK] = look
            session.add(look)
        elif look.state is not DutyState.DROPPED:
            continue
        look.state, look.done_at, look.done_by, look.escalated_at = DutyState.OPEN, None, None, None
        look.crops, look.people, look.minutes = duty.crops, duty.people, duty.minutes
        look.starts_at, look.due_at = now, daylight_ends(row, now)
    await session.flush()


async def unplan(session: AsyncSession, duty: Duty) -> bool:
    """A duty was not done after all: nothing of it is to be undone. False where it has been undone already."""
    query = select(Duty).where(
        Duty.warning_id == duty.warning_id,
        Duty.place_id == duty.place_id,
        Duty.support_id == duty.support_id,
        Duty.task == AFTERWARDS.get(duty.task),
    )
    undo = await session.scalar(query)
    if undo is not None and undo.state is DutyState.DONE:
        return False
    if undo is not None:
        undo.state = DutyState.DROPPED
        await _release(session, undo)
    return True


async def withdraw(session: AsyncSession, warning: Warning) -> None:
    """The hazard is back: nothing is to be undone or looked at now; what is on is on by what was reported of it."""
    for undo in (await _known(session, warning)).values():
        undo.state = DutyState.DROPPED
        await _release(session, undo)


async def postpone(session: AsyncSession, row: Garden, closed: Iterable[Closed], now: datetime) -> None:
    """What only undoes things waits for daylight after closed hours; all else is reckoned anew by the watch."""
    stretches = sorted(closed, key=lambda one: one.start_at)
    if not stretches:
        return
    for warning in await store.active(session, row.id, now):
        for duty in await store.duties_of(session, [warning.id]):
            if duty.state not in store.LIVE or duty.task not in TASKS:
                continue
            for one in stretches:
                if one.start_at < duty.due_at < one.end_at + ENOUGH:
                    duty.due_at = daylight_ends(row, one.end_at)
    await session.flush()


async def _known(session: AsyncSession, warning: Warning) -> dict[tuple[int, int, Task | None], Duty]:
    """What undoes duties of this warning, dropped ones too, by place, support and task."""
    rows = await session.scalars(select(Duty).where(Duty.warning_id == warning.id, Duty.task.in_(TASKS)))
    return {(duty.place_id, duty.support_id, duty.task): duty for duty in rows}


async def _release(session: AsyncSession, duty: Duty) -> None:
    for ask in await store.asks_of(session, [duty.id]):
        ask.state = AskState.RELEASED


def daylight_ends(row: Garden, now: datetime) -> datetime:
    """Sunset of today when there is time enough before it, else of tomorrow; what undoes a duty is work by daylight."""
    today = now.astimezone(row.tz).date()
    for on in (today, today + timedelta(days=1)):
        sunset_at = sun.sun_day(on, row.tz, row.latitude, row.longitude).sunset_at
        if sunset_at is not None and sunset_at - now >= timedelta(hours=5):
            return sunset_at
    return now + timedelta(hours=24)
