"""The warmth of past days, kept from the forecasts as the days went by; stages are reckoned from it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, time

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import days as weather_days
from bot.core.crop import Crop
from bot.core.forecast import Forecast
from bot.core.garden import Garden as CoreGarden
from bot.core.garden import Planting, Stage
from bot.core.stages import Warmth
from bot.storage.models import DayMean, Garden

__all__ = ["note_day", "since_sowing"]

#: By then most of a day's forecast has been corrected by what was measured.
_FROM = time(18)
_BY_HEAT = (Stage.GROWING, Stage.FLOWERING)


async def note_day(session: AsyncSession, row: Garden, forecast: Forecast | None, now: datetime) -> None:
    """Keep the mean of the day that is ending, once."""
    local = now.astimezone(row.tz)
    if forecast is None or local.time() < _FROM or await session.get(DayMean, (row.id, local.date())) is not None:
        return
    today = next((day for day in weather_days.days(forecast, row.tz) if day.on == local.date()), None)
    if today is not None and today.mean_c is not None:
        session.add(DayMean(garden_id=row.id, on=today.on, mean_c=today.mean_c))


async def since_sowing(session: AsyncSession, garden: CoreGarden, crops: Mapping[str, Crop]) -> Warmth:
    """What is known of the days since the oldest batch whose stage hangs on warmth; empty when none does."""
    started = [
        since
        for one in garden.plantings
        if (crop := crops.get(one.crop)) and _by_warmth(one, crop) and (since := one.sown_on or one.planted_on)
    ]
    if not started:
        return Warmth()
    query = select(DayMean.on, DayMean.mean_c).where(DayMean.garden_id == garden.id, DayMean.on >= min(started))
    return Warmth.of({row.on: row.mean_c for row in await session.execute(query)})


def _by_warmth(planting: Planting, crop: Crop) -> bool:
    if planting.stage is Stage.SOWN:
        return bool(crop.sowing.emergence)
    return planting.stage in _BY_HEAT and crop.harvest.degree_days is not None
