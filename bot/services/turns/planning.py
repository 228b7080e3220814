"""What a day wants by turns: found once, in the morning, from the forecast, the records and what warnings ask for."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, datetime, time, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import chores as core
from bot.core.chores import Chore, ChoreKind, Part
from bot.core.hazards import Hazard, Task
from bot.services import by_hand, watering
from bot.services.outlook import Outlook, quiet
from bot.services.turns import record, views
from bot.services.weather import is_stale
from bot.storage.models import DayTurn, Duty, Garden, Warning
from bot.storage.states import DutyState

__all__ = ["EARLIEST_H", "covered", "plan"]

#: Nobody is written to earlier, whatever the quiet hours: common practice, no source.
EARLIEST_H = 6
_DAY = timedelta(days=1)


async def plan(session: AsyncSession, row: Garden, outlook: Outlook, now: datetime) -> None:
    """Write the walks of today, once. Waits for the end of the quiet hours, and for a forecast that is not stale."""
    local = now.astimezone(row.tz)
    today = local.date()
    planned = row.turns_planned_on is not None and row.turns_planned_on >= today
    early = local.hour < EARLIEST_H or quiet(row).ends_at(now) > now
    if planned or early or outlook.forecast is None or is_stale(outlook.forecast, now):
        return
    row.turns_planned_on = today
    by_part: dict[Part, list[Chore]] = defaultdict(list)
    for chore in await _wanted(session, row, outlook, now, today):
        by_part[chore.part].append(chore)
    for part, found in by_part.items():
        session.add(
            DayTurn(
                garden_id=row.id,
                on=today,
                part=part,
                chores=[views.kept(chore) for chore in found],
                minutes=sum(chore.minutes for chore in found),
                due_at=max(chore.due_at for chore in found),
                state=DutyState.OPEN,
            )
        )
    await session.flush()


async def _wanted(
    session: AsyncSession, row: Garden, outlook: Outlook, now: datetime, today: date
) -> tuple[Chore, ...]:
    if outlook.forecast is None:
        return ()
    by_warning = await covered(session, row, today)
    vented = {place_id for place_id, kind in by_warning if kind is ChoreKind.OPEN}
    stands_open, perhaps, drained = await record.reported(session, row, today)
    known = core.Known(
        forecast=outlook.forecast,
        findings=outlook.findings,
        nights=(*outlook.called, *outlook.nights),
        watering=await watering.due(session, row, outlook, now),
        open_ids=frozenset(stands_open | vented),
        perhaps_ids=frozenset(perhaps),
        covered=by_warning,
        closed=(await by_hand.assumed(session, row.id, now)).closed,
        drained=drained,
    )
    return core.wanted(outlook.garden, outlook.crops, known, now)


async def covered(session: AsyncSession, row: Garden, on: date) -> frozenset[tuple[int, ChoreKind]]:
    """What duties of warnings see to that day: opened, shaded, shut for the night or before a wind up to the next day."""
    day_at = datetime.combine(on, time(), row.tz)
    rows = await session.execute(
        select(Duty.place_id, Duty.task, Warning.window_on)
        .join(Warning, Warning.id == Duty.warning_id)
        .where(
            Warning.garden_id == row.id,
            Warning.window_on.between(on, on + _DAY) | ((Warning.hazard == Hazard.WIND) & (Warning.ends_at >= day_at)),
            Warning.window_on <= on + _DAY,
            Duty.task.in_(tuple(record.OF_TASK)),
            Duty.state != DutyState.DROPPED,
        )
    )
    return frozenset((place_id, record.OF_TASK[task]) for place_id, task, day in rows if day == on or task is Task.PIN)
