"""The garden's odds of frost by date, from past minima near it, moved to the site by what its thermometer has taught."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather import climate
from bot.core.weather.climate import Climate
from bot.core.weather.ground import NightKind
from bot.forecasts import past_nights
from bot.services.weather import readings
from bot.storage.models import Garden, NightMinimum

__all__ = ["are_modelled", "of_garden"]

#: A weather model's square is milder than a garden's clear nights; so much is taken off before frosts are counted:
#: engineering estimate, on the safe side.
_MODEL_C = -1.5


async def of_garden(session: AsyncSession, row: Garden) -> Climate | None:
    """None with fewer than ten years of minima. Frosty nights are mostly clear and still, so it is their offset."""
    nights = await session.scalars(select(NightMinimum).where(NightMinimum.garden_id == row.id))
    minima_c = {one.on: one.min_c + (_MODEL_C if one.source == past_nights.SOURCE else 0.0) for one in nights}
    if not minima_c:
        return None
    taught = (await readings.learned(session, row)).fit(NightKind.RADIATION)
    if taught.count:
        minima_c = climate.shifted(minima_c, taught.offset_c(max(minima_c)))
    try:
        return climate.climate(minima_c, southern=row.latitude < 0)
    except climate.ClimateError:
        return None


async def are_modelled(session: AsyncSession, garden_id: int) -> bool:
    """Whether its past nights are a weather model's, and nobody's measurements."""
    query = select(NightMinimum.on).where(
        NightMinimum.garden_id == garden_id, NightMinimum.source == past_nights.SOURCE
    )
    return await session.scalar(query.limit(1)) is not None
