"""What follows a duty once its hazard is over, done or not. What undoes it is asked for in `services.warnings.settling`."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings.hazards import AFTERWARDS, TaskKind
from bot.core.warnings.safety import ENOUGH, Closed
from bot.core.weather import sun
from bot.storage.models import Garden, Task, Warning
from bot.storage.states import AskState, TaskState
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store

TASKS = frozenset(AFTERWARDS.values())
_PAST = (TaskState.DONE, TaskState.MISSED)


async def plan(session: AsyncSession, row: Garden, warning: Warning, now: datetime) -> None:
    """A look for damage after each duty that asks for it; planned twice, it is there once.

    What nobody has done, or said to be done, has stood in the hazard as it was, and needs the look even more.
    """
    known = await _known(session, warning)
    for duty in await tasks.of_warnings(session, [warning.id]):
        if duty.state not in _PAST or AFTERWARDS.get(duty.kind) is not TaskKind.LOOK:
            continue
        look = known.get((duty.where_id, duty.support_id, TaskKind.LOOK))
        if look is None:
            look = Task(
                garden_id=row.id, warning_id=warning.id, on=warning.window_on, place_id=duty.place_id,
                support_id=duty.support_id, kind=TaskKind.LOOK,
            )  # fmt: skip
            known[duty.where_id, duty.support_id, TaskKind.LOOK] = look
            session.add(look)
        elif look.state is not TaskState.DROPPED:
            continue
        look.state, look.done_at, look.done_by, look.escalated_at = TaskState.OPEN, None, None, None
        look.crops, look.people, look.minutes = duty.crops, duty.people, duty.minutes
        look.starts_at, look.due_at = now, daylight_ends(row, now)
    await session.flush()


async def unplan(session: AsyncSession, duty: Task) -> bool:
    """A duty was not done after all: nothing of it is to be undone. False where it has been undone already. A look for
    damage stays, since it does not rest on that.
    """
    if AFTERWARDS.get(duty.kind) is TaskKind.LOOK:
        return True
    query = select(Task).where(
        Task.warning_id == duty.warning_id,
        Task.place_id == duty.place_id,
        Task.support_id == duty.support_id,
        Task.kind == AFTERWARDS.get(duty.kind),
    )
    undo = await session.scalar(query)
    if undo is not None and undo.state is TaskState.DONE:
        return False
    if undo is not None:
        undo.state = TaskState.DROPPED
        await _release(session, undo)
    return True


async def withdraw(session: AsyncSession, warning: Warning) -> None:
    """The hazard is back: nothing is to be undone or looked at now; what is on is on by what was reported of it."""
    for undo in (await _known(session, warning)).values():
        undo.state = TaskState.DROPPED
        await _release(session, undo)


async def postpone(session: AsyncSession, row: Garden, closed: Iterable[Closed], now: datetime) -> None:
    """What only undoes things waits for daylight after closed hours; all else is reckoned anew by the watch."""
    stretches = sorted(closed, key=lambda one: one.start_at)
    if not stretches:
        return
    for warning in await store.active(session, row.id, now):
        for duty in await tasks.of_warnings(session, [warning.id]):
            if duty.state not in tasks.LIVE or duty.kind not in TASKS:
                continue
            for one in stretches:
                if one.start_at < duty.due_at < one.end_at + ENOUGH:
                    duty.due_at = daylight_ends(row, one.end_at)
    await session.flush()


async def _known(session: AsyncSession, warning: Warning) -> dict[tuple[int, int, TaskKind | None], Task]:
    """What undoes duties of this warning, dropped ones too, by place, support and task."""
    rows = await tasks.every_of_warnings(session, [warning.id])
    return {(duty.where_id, duty.support_id, duty.kind): duty for duty in rows if duty.kind in TASKS}


async def _release(session: AsyncSession, duty: Task) -> None:
    for ask in await tasks.asks_of(session, [duty.id]):
        ask.state = AskState.RELEASED


def daylight_ends(row: Garden, now: datetime) -> datetime:
    """Sunset of today when there is time enough before it, else of tomorrow; what undoes a duty is work by daylight."""
    today = now.astimezone(row.tz).date()
    for on in (today, today + timedelta(days=1)):
        sunset_at = sun.sun_day(on, row.tz, row.latitude, row.longitude).sunset_at
        if sunset_at is not None and sunset_at - now >= timedelta(hours=5):
            return sunset_at
    return now + timedelta(hours=24)
