"""What a day wants by turns: found once, in the morning, from the forecast, the records and what warnings ask for."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.week import finding_key
from bot.core.tasks import daily_work as core
from bot.core.tasks.daily_work import Chore
from bot.core.warnings.hazards import Hazard, TaskKind
from bot.services.growing import watering
from bot.services.growing.watering import job_key
from bot.services.look import Look, quiet
from bot.services.tasks.daily import houses_and_hoses
from bot.services.warnings import expected
from bot.services.weather.garden_forecast import is_stale
from bot.storage.models import LINE, Garden, Task, Warning
from bot.storage.states import TaskState

#: Nobody is written to earlier, whatever the quiet hours: common practice, no source.
EARLIEST_H = 6
_DAY = timedelta(days=1)


async def plan(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> None:
    """Write the work of today, once. Waits for the end of the quiet hours, and for a forecast that is not stale."""
    local = now.astimezone(row.tz)
    today = local.date()
    planned = row.turns_planned_on is not None and row.turns_planned_on >= today
    early = local.hour < EARLIEST_H or quiet(row).ends_at(now) > now
    if planned or early or outlook.forecast is None or is_stale(outlook.forecast, now):
        return
    row.turns_planned_on = today
    session.add_all([_row(row.id, today, chore, now) for chore in await _wanted(session, row, outlook, now, today)])
    await session.flush()


def _row(garden_id: int, today: date, chore: Chore, now: datetime) -> Task:
    watered = chore.kind is TaskKind.WATER and chore.place_id is not None
    item = job_key(chore.place_id or 0) if watered else finding_key(chore.finding) if chore.finding else ""
    return Task(
        garden_id=garden_id,
        on=today,
        part=chore.part,
        place_id=chore.place_id,
        kind=chore.kind,
        minutes=chore.minutes,
        litres=chore.litres,
        crops=" ".join(chore.crops)[:LINE],
        item=item,
        why=[[step.code.value, step.value, step.low, step.high, step.source] for step in chore.reasons],
        starts_at=now,
        due_at=chore.due_at,
        state=TaskState.OPEN,
    )


async def _wanted(session: AsyncSession, row: Garden, outlook: Look, now: datetime, today: date) -> tuple[Chore, ...]:
    if outlook.forecast is None:
        return ()
    by_warning = await covered(session, row, today)
    vented = {place_id for place_id, task in by_warning if task is TaskKind.VENT and place_id is not None}
    stands_open, perhaps, drained = await houses_and_hoses.reported(session, row, today)
    known = core.DayRecords(
        forecast=outlook.forecast,
        findings=outlook.findings,
        nights=(*outlook.called, *outlook.nights),
        watering=await watering.due(session, row, outlook, now),
        open_ids=frozenset(stands_open | vented),
        perhaps_ids=frozenset(perhaps),
        covered=by_warning,
        closed=(await expected.assumed(session, row.id, now)).closed,
        drained=drained,
    )
    return core.wanted(outlook.garden, outlook.crops, known, now)


async def covered(session: AsyncSession, row: Garden, on: date) -> frozenset[tuple[int | None, TaskKind]]:
    """What duties of warnings see to that day: opened, shaded, shut for the night or before a wind up to the next day."""
    day_at = datetime.combine(on, time(), row.tz)
    rows = await session.execute(
        select(Task.place_id, Task.kind, Warning.window_on)
        .join(Warning, Warning.id == Task.warning_id)
        .where(
            Warning.garden_id == row.id,
            Warning.window_on.between(on, on + _DAY) | ((Warning.hazard == Hazard.WIND) & (Warning.ends_at >= day_at)),
            Warning.window_on <= on + _DAY,
            Task.kind.in_(tuple(houses_and_hoses.AS_DAILY)),
            Task.state != TaskState.DROPPED,
        )
    )
    return frozenset(
        (place_id, houses_and_hoses.AS_DAILY[task]) for place_id, task, day in rows if day == on or task is TaskKind.PIN
    )
