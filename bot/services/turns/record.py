"""What was last reported of the houses and the hoses, by turns and by the duties of warnings."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.chores import ChoreKind
from bot.core.hazards import Task
from bot.core.place_state import Did
from bot.storage import places, turns
from bot.storage.models import Duty, Garden, Warning
from bot.storage.states import DutyState, WarningState

__all__ = ["OF_TASK", "reported", "stand_open"]

#: Hoses once drained stay so until they are used, or for so long.
_DRAINED_FOR = timedelta(days=28)
#: Whoever opened or shut a house did not always say so: after these it is taken for shut.
_OPEN_FOR, _PERHAPS_FOR = timedelta(days=14), timedelta(days=3)
#: What a warning's duty does to a house, as the daily work calls it.
OF_TASK = {
    Task.VENT: ChoreKind.OPEN,
    Task.SHADE: ChoreKind.SHADE,
    Task.PIN: ChoreKind.CLOSE,
    Task.CLOSE: ChoreKind.CLOSE,
}
_HOUSES = {Did.OPENED: ChoreKind.OPEN, Did.SHUT: ChoreKind.CLOSE}


async def stand_open(session: AsyncSession, row: Garden, today: date) -> frozenset[int]:
    """Houses that are open or perhaps open, as they stood before anything was done about the warnings in force."""
    known, perhaps, _ = await reported(session, row, today)
    shut = await session.scalars(
        select(Duty.place_id)
        .join(Warning, Warning.id == Duty.warning_id)
        .where(
            Warning.garden_id == row.id,
            Warning.state != WarningState.OVER,
            Duty.task == Task.CLOSE,
            Duty.state == DutyState.DONE,
        )
    )
    return frozenset({*known, *perhaps, *shut})


async def reported(session: AsyncSession, row: Garden, today: date) -> tuple[set[int], set[int], bool]:
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
