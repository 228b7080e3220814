"""What a day wants by turns: found once, in the morning, from the forecast, the records and what warnings ask for."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, datetime, time, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import chores as core
from bot.core.chores import Chore, ChoreKind, Part
from bot.core.hazards import Task
from bot.core.place_state import Did
from bot.services import by_hand, watering
from bot.services.outlook import Outlook, quiet
from bot.services.turns import views
from bot.services.weather import is_stale
from bot.storage import places, turns
from bot.storage.models import DayTurn, Duty, Garden, Warning
from bot.storage.states import DutyState

__all__ = ["EARLIEST_H", "covered", "plan"]

#: Nobody is written to earlier, whatever the quiet hours: common practice, no source.
EARLIEST_H = 6
#: Hoses once drained stay so until they are used, or for so long.
_DRAINED_FOR = timedelta(days=28)
#: Whoever opened or shut a house did not always say so: after these it is taken for shut.
_OPEN_FOR, _PERHAPS_FOR = timedelta(days=14), timedelta(days=3)
_COVERS = {Task.VENT: ChoreKind.OPEN, Task.SHADE: ChoreKind.SHADE, Task.PIN: ChoreKind.CLOSE}
_HOUSES = {Did.OPENED: ChoreKind.OPEN, Did.SHUT: ChoreKind.CLOSE}
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
    stands_open, perhaps, drained = await _record(session, row, today)
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
    """What duties of warnings see to that day: opened, shaded, or shut before the wind of that day or the next."""
    rows = await session.execute(
        select(Duty.place_id, Duty.task, Warning.window_on)
        .join(Warning, Warning.id == Duty.warning_id)
        .where(
            Warning.garden_id == row.id,
            Warning.window_on.between(on, on + _DAY),
            Duty.task.in_(tuple(_COVERS)),
            Duty.state != DutyState.DROPPED,
        )
    )
    return frozenset((place_id, _COVERS[task]) for place_id, task, day in rows if day == on or task is Task.PIN)


async def _record(session: AsyncSession, row: Garden, today: date) -> tuple[set[int], set[int], bool]:
    """(houses that stand open, houses that perhaps do, whether hoses are drained), by what was last reported."""
    since_at = datetime.combine(today - _OPEN_FOR, time(), row.tz)
    done = [
        (one.at, _HOUSES[one.did], place_id)
        for place_id, told in (await places.reports(session, row.id, since_at)).items()
        for one in told
        if one.did in _HOUSES
    ]
    given: list[tuple[datetime, ChoreKind, int]] = []
    for turn in await turns.of_days(session, row.id, today - _DRAINED_FOR, today):
        if turn.state is DutyState.DONE and turn.done_at is not None:
            kinds = [(ChoreKind(one["kind"]), one["place_id"]) for one in turn.chores]
            done += [(turn.done_at, kind, place_id) for kind, place_id in kinds if kind not in _HOUSES.values()]
        elif turn.on >= today - _PERHAPS_FOR:
            given += [(turn.due_at, ChoreKind(one["kind"]), one["place_id"]) for one in turn.chores]
    last = {(kind, place_id): at for at, kind, place_id in sorted(done)}
    shut = {place_id: max(at, since_at) for (kind, place_id), at in last.items() if kind is ChoreKind.CLOSE}
    opened = {place_id: at for (kind, place_id), at in last.items() if kind is ChoreKind.OPEN}
    reported = {one for one, at in opened.items() if at > shut.get(one, since_at)}
    perhaps = {one for at, kind, one in given if kind is ChoreKind.OPEN and at > shut.get(one, since_at)}
    # Somebody was to shut it since, and has not said so: it may be shut, and is opened again when that is wanted.
    doubtful = {one for at, kind, one in given if kind is ChoreKind.CLOSE and one in reported and at > opened[one]}
    stands_open, perhaps = reported - doubtful, perhaps | doubtful
    drained_at = last.get((ChoreKind.DRAIN, 0))
    watered = (at for (kind, _), at in last.items() if kind is ChoreKind.WATER)
    return stands_open, perhaps, drained_at is not None and all(at < drained_at for at in watered)
