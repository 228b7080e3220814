"""The warmth of past days, kept from the forecasts as the days went by; stages are reckoned from it."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.stages import Warmth
from bot.core.weather.days import Day
from bot.storage.models import PastDay

__all__ = ["since_chilled", "since_sowing"]

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
    query = select(PastDay.on, PastDay.mean_c).where(
        PastDay.garden_id == garden.id, PastDay.on >= min(started), PastDay.mean_c.is_not(None)
    )
    return Warmth.of({row.on: row.mean_c for row in await session.execute(query)})


async def since_chilled(session: AsyncSession, garden: CoreGarden, crops: Mapping[str, Crop]) -> tuple[Day, ...]:
    """The days, with their means, since the oldest living batch that chill may send to seed; none when there is none."""
    started = [
        since
        for one in garden.plantings
        if (crop := crops.get(one.crop)) and _by_chill(one, crop) and (since := one.sown_on or one.planted_on)
    ]
    if not started:
        return ()
    query = select(PastDay.on, PastDay.mean_c).where(
        PastDay.garden_id == garden.id, PastDay.on >= min(started), PastDay.mean_c.is_not(None)
    )
    return tuple(Day(row.on, mean_c=row.mean_c) for row in await session.execute(query))


def _by_chill(planting: Planting, crop: Crop) -> bool:
    return planting.stage is not Stage.ENDED and crop.bolting is not None and crop.bolting.chill_c is not None


def _by_warmth(planting: Planting, crop: Crop) -> bool:
    if planting.stage is Stage.SOWN:
        return bool(crop.sowing.emergence)
    return planting.stage in _BY_HEAT and crop.harvest.degree_days is not None
