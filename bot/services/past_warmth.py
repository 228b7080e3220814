"""The warmth of past days, kept from the forecasts as the days went by; stages are reckoned from it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import days as weather_days
from bot.core.crop import Crop
from bot.core.forecast import Forecast
from bot.core.garden import Garden as CoreGarden
from bot.core.garden import Planting, Stage
from bot.core.stages import Warmth
from bot.storage.models import PastDay

__all__ = ["since_sowing"]

_BY_HEAT = (Stage.GROWING, Stage.FLOWERING)


async def since_sowing(
    session: AsyncSession, garden: CoreGarden, crops: Mapping[str, Crop], forecast: Forecast | None, now: datetime
) -> Warmth:
    """What is known of the days since the oldest batch whose stage hangs on warmth; empty when none does."""
    started = [
        since
        for one in garden.plantings
        if (crop := crops.get(one.crop)) and _by_warmth(one, crop) and (since := one.sown_on or one.planted_on)
    ]
    if not started:
        return Warmth()
    zone = ZoneInfo(garden.zone)
    today, first_on = now.astimezone(zone).date(), min(started)
    query = select(PastDay.on, PastDay.mean_c).where(
        PastDay.garden_id == garden.id, PastDay.on.between(first_on, today), PastDay.mean_c.is_not(None)
    )
    known = {row.on: row.mean_c for row in await session.execute(query)}
    if forecast is not None:
        foreseen = {day.on: day.mean_c for day in weather_days.days(forecast, zone) if first_on <= day.on <= today}
        known = {on: mean_c for on, mean_c in foreseen.items() if mean_c is not None} | known
    return Warmth.of(known)


def _by_warmth(planting: Planting, crop: Crop) -> bool:
    if planting.stage is Stage.SOWN:
        return bool(crop.sowing.emergence)
    return planting.stage in _BY_HEAT and crop.harvest.degree_days is not None
