"""The garden's odds of frost by date, from past minima near it, moved to the site by what its thermometer has taught."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather import climate
from bot.core.weather.climate import Climate
from bot.core.weather.ground import NightKind
from bot.services.weather import readings
from bot.storage.models import Garden, NightMinimum

__all__ = ["of_garden"]


async def of_garden(session: AsyncSession, row: Garden) -> Climate | None:
    """None with fewer than ten years of minima. Frosty nights are mostly clear and still, so it is their offset."""
    minima_c = {
        one.on: one.min_c for one in await session.scalars(select(NightMinimum).where(NightMinimum.garden_id == row.id))
    }
    if not minima_c:
        return None
    taught = (await readings.learned(session, row)).fit(NightKind.RADIATION)
    if taught.count:
        minima_c = climate.shifted(minima_c, taught.offset_c(max(minima_c)))
    try:
        return climate.climate(minima_c, southern=row.latitude < 0)
    except climate.ClimateError:
        return None
