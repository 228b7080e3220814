"""The warmth of past days, kept from the forecasts as the days went by; stages are reckoned from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.stages import Warmth
from bot.core.weather.days import Day
from bot.storage.models import PastDay
from bot.storage.read_once import lasting

__all__ = ["since_chilled", "since_sowing", "soil_lately_c"]

_LATELY_DAYS = 14  # of air that the soil at 5 cm still tells of
_LEAST_DAYS = 3  # as core.warmth.soil_c
_FRESH_DAYS = 2
_BY_HEAT = (Stage.GROWING, Stage.FLOWERING)


async def since_sowing(session: AsyncSession, garden: CoreGarden, crops: Mapping[str, Crop]) -> Warmth:
    """What is known of the days since the oldest batch whose stage hangs on warmth; empty when none does."""
    started = [
        since
        for one in garden.plantings
        if (crop := crops.get(one.crop)) and _by_warmth(one, crop) and (since := one.sown_on or one.planted_on)
    ]
    if not started:
        return Warmth()
    return Warmth.of(dict(await _means_c(session, garden.id, min(started))))


async def since_chilled(session: AsyncSession, garden: CoreGarden, crops: Mapping[str, Crop]) -> tuple[Day, ...]:
    """The days, with their means, since the oldest living batch that chill may send to seed; none when there is none."""
    started = [
        since
        for one in garden.plantings
        if (crop := crops.get(one.crop)) and _by_chill(one, crop) and (since := one.sown_on or one.planted_on)
    ]
    if not started:
        return ()
    return tuple(Day(on, mean_c=mean_c) for on, mean_c in await _means_c(session, garden.id, min(started)))


@lasting(PastDay)
async def _means_c(session: AsyncSession, garden_id: int, since_on: date) -> Sequence[tuple[date, float]]:
    """The mean of each day from then on of which it is known."""
    query = select(PastDay.on, PastDay.mean_c).where(
        PastDay.garden_id == garden_id, PastDay.on >= since_on, PastDay.mean_c.is_not(None)
    )
    return [(row.on, row.mean_c) for row in await session.execute(query)]


@lasting(PastDay)
async def soil_lately_c(session: AsyncSession, garden_id: int, today: date) -> float | None:
    """Warmth of bare soil at about 5 cm, from the air of the days that were kept; None with fewer than three, or old ones.

    Forecasts of a service begin today and tell nothing of it.
    """
    query = select(PastDay.on, PastDay.mean_c).where(
        PastDay.garden_id == garden_id,
        PastDay.on >= today - timedelta(days=_LATELY_DAYS),
        PastDay.on < today,
        PastDay.mean_c.is_not(None),
    )
    known = {row.on: row.mean_c for row in await session.execute(query)}
    soil_c = Warmth.of(known).soil_c
    latest = max(soil_c, default=None)
    unbroken = latest is not None and all(latest - timedelta(days=n) in soil_c for n in range(_LEAST_DAYS))
    if latest is None or not unbroken or (today - latest).days > _FRESH_DAYS:
        return None
    return soil_c[latest]


def _by_chill(planting: Planting, crop: Crop) -> bool:
    return planting.stage is not Stage.ENDED and crop.bolting is not None and crop.bolting.chill_c is not None


def _by_warmth(planting: Planting, crop: Crop) -> bool:
    if planting.stage is Stage.SOWN:
        return bool(crop.sowing.emergence)
    return planting.stage in _BY_HEAT and crop.harvest.degree_days is not None
