"""Which plantings an earlier frost has ended: killed, or picked for it. Nobody is sent out for them again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.growing.crop import Crop
from bot.core.warnings import hazard_cold as core
from bot.core.warnings.hazards import Hazard, TaskKind
from bot.storage.models import Garden, PastDay, Task, Warning
from bot.storage.read_once import lasting
from bot.storage.states import TaskState

#: A frost longer ago has been seen by whoever tends the bed: common practice, no source.
LOOKED_BACK = timedelta(days=30)
_DAY = timedelta(days=1)
#: From these odds on a night that is past counts as the frost that it was called for; nobody is asked for the same again
#: within a week of it: common practice, no source.
_CAME, _ASKED_FOR = 0.5, timedelta(days=7)


async def killed(
    session: AsyncSession, row: Garden, garden: CoreGarden, crops: Mapping[str, Crop], now: datetime
) -> dict[int, date]:
    """The day of the frost that killed it, by planting id: by the air's minima of the days that are past."""
    today = now.astimezone(row.tz).date()
    minima_c = await _minima_c(session, row.id, today)
    if not core.killed(garden, crops, minima_c):
        return {}
    done = await session.execute(
        select(Task.place_id, Warning.window_on)
        .join(Warning, Warning.id == Task.warning_id)
        .where(
            Warning.garden_id == row.id,
            Warning.hazard == Hazard.COLD,
            Warning.window_on >= today - LOOKED_BACK - _DAY,
            Task.state == TaskState.DONE,
        )
    )
    # The coldest hour of a night belongs to the day that follows its evening, or still to the evening's.
    guarded = {(place_id, on + n * _DAY) for place_id, on in done if place_id is not None for n in (0, 1)}
    return core.killed(garden, crops, minima_c, guarded)


@lasting(PastDay)
async def _minima_c(session: AsyncSession, garden_id: int, today: date) -> Mapping[date, float]:
    """Of the days that are past."""
    days = await session.execute(
        select(PastDay.on, PastDay.min_c).where(
            PastDay.garden_id == garden_id,
            PastDay.on.between(today - LOOKED_BACK, today - _DAY),
            PastDay.min_c.is_not(None),
        )
    )
    return {on: min_c for on, min_c in days if min_c is not None}


async def picked(session: AsyncSession, row: Garden, garden: CoreGarden, now: datetime) -> dict[int, bool]:
    """By id, the plantings that were to be picked for a night that is past: picked, or left to a frost that most likely
    came; and whether that came.
    """
    today = now.astimezone(row.tz).date()
    gone: dict[tuple[int | None, str], bool] = {}
    for place_id, keys, state, on, odds, ends_at in await _to_pick(session, row.id, today):
        if ends_at > now:
            continue
        came = odds >= _CAME
        if state is TaskState.DONE or (came and on >= today - _ASKED_FOR):
            gone |= {(place_id, crop): came or gone.get((place_id, crop), False) for crop in keys.split()}
    return {one.id: gone[one.place_id, one.crop] for one in garden.plantings if (one.place_id, one.crop) in gone}


@lasting(Task, Warning)
async def _to_pick(
    session: AsyncSession, garden_id: int, today: date
) -> Sequence[tuple[int | None, str, TaskState, date, float, datetime]]:
    """What was to be picked lately, or is to be: place, crops, how far it is, the evening, its odds and its end."""
    rows = await session.execute(
        select(Task.place_id, Task.crops, Task.state, Warning.window_on, Warning.probability, Warning.ends_at)
        .join(Warning, Warning.id == Task.warning_id)
        .where(
            Warning.garden_id == garden_id,
            Warning.window_on >= today - LOOKED_BACK,
            Task.kind == TaskKind.PICK,
            Task.state != TaskState.DROPPED,
        )
    )
    return [(place_id, crops, state, on, odds, ends_at) for place_id, crops, state, on, odds, ends_at in rows]
