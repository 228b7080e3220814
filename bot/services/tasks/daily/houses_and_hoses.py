"""What was last reported of the houses and the hoses, by turns and by the duties of warnings."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.place_state import Did
from bot.core.warnings.hazards import TaskKind
from bot.storage.garden import place_reports
from bot.storage.models import Garden, Place, PlaceReport, Task, Warning
from bot.storage.read_once import lasting
from bot.storage.states import TaskState, WarningState
from bot.storage.tasks import tasks

#: Hoses once drained stay so until they are used, or for so long.
_DRAINED_FOR = timedelta(days=28)
#: Whoever opened or shut a house did not always say so: after these it is taken for shut.
_OPEN_FOR, _PERHAPS_FOR = timedelta(days=14), timedelta(days=3)
#: What of a warning's tasks does to a house what the day may ask for, and what that is.
AS_DAILY = {
    TaskKind.VENT: TaskKind.VENT,
    TaskKind.SHADE: TaskKind.SHADE,
    TaskKind.PIN: TaskKind.CLOSE,
    TaskKind.CLOSE: TaskKind.CLOSE,
}
_HOUSES = {Did.OPENED: TaskKind.VENT, Did.SHUT: TaskKind.CLOSE}


@lasting(Garden, Place, PlaceReport, Task, Warning)
async def stand_open(session: AsyncSession, row: Garden, today: date) -> frozenset[int]:
    """Houses that are open or perhaps open, as they stood before anything was done about the warnings in force."""
    known, perhaps, _ = await reported(session, row, today)
    shut = await session.scalars(
        select(Task.place_id)
        .join(Warning, Warning.id == Task.warning_id)
        .where(
            Warning.garden_id == row.id,
            Warning.state != WarningState.OVER,
            Task.kind == TaskKind.CLOSE,
            Task.state == TaskState.DONE,
        )
    )
    return frozenset({*known, *perhaps, *shut})


@lasting(Garden, Place, PlaceReport, Task)
async def reported(session: AsyncSession, row: Garden, today: date) -> tuple[frozenset[int], frozenset[int], bool]:
    """(houses that stand open, houses that perhaps do, whether hoses are drained), by what was last reported."""
    since_at = datetime.combine(today - _OPEN_FOR, time(), row.tz)
    done: list[tuple[datetime, TaskKind, int]] = [
        (one.at, _HOUSES[one.did], place_id)
        for place_id, told in (await place_reports.reports(session, row.id, since_at)).items()
        for one in told
        if one.did in _HOUSES
    ]
    given: list[tuple[datetime, TaskKind, int]] = []
    for one in await tasks.of_days(session, row.id, today - _DRAINED_FOR, today):
        if one.state is TaskState.DONE and one.done_at is not None and one.kind not in _HOUSES.values():
            done.append((one.done_at, one.kind, one.where_id))
        elif one.state is not TaskState.DONE and one.on >= today - _PERHAPS_FOR:
            given.append((one.due_at, one.kind, one.where_id))
    last = {(task, place_id): at for at, task, place_id in sorted(done)}
    shut = {place_id: max(at, since_at) for (task, place_id), at in last.items() if task is TaskKind.CLOSE}
    opened = {place_id: at for (task, place_id), at in last.items() if task is TaskKind.VENT}
    reported = {one for one, at in opened.items() if at > shut.get(one, since_at)}
    perhaps = {one for at, task, one in given if task is TaskKind.VENT and at > shut.get(one, since_at)}
    # Somebody was to shut it since, and has not said so: it may be shut, and is opened again when that is wanted.
    doubtful = {one for at, task, one in given if task is TaskKind.CLOSE and one in reported and at > opened[one]}
    stands_open, perhaps = reported - doubtful, perhaps | doubtful
    drained_at = last.get((TaskKind.DRAIN, 0))
    watered = (at for (task, _), at in last.items() if task is TaskKind.WATER)
    return frozenset(stands_open), frozenset(perhaps), drained_at is not None and all(at < drained_at for at in watered)
