"""The garden's odds of frost by date, from past minima near it, moved by as much as the garden differs from that place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather import climate
from bot.core.weather.climate import Climate
from bot.forecasts import past_nights
from bot.services.weather import score
from bot.storage.models import Garden, NightMinimum

__all__ = ["LEAST_NIGHTS", "Difference", "are_modelled", "difference", "of_garden"]

#: Before so many nights measured in both places nothing is moved: this project's own choice.
LEAST_NIGHTS = 10
#: A weather model's square is milder than a garden's clear nights; so much is taken off before frosts are counted:
#: engineering estimate, on the safe side.
_MODEL_C = -1.5


@dataclass(frozen=True, slots=True)
class Difference:
    """How much warmer the garden's own minima were than those loaded, and on how many nights; the median."""

    warmer_c: float
    nights: int


async def of_garden(session: AsyncSession, row: Garden) -> Climate | None:
    """None with fewer than ten years of minima.

    They were measured, or are a model's, so what the garden's thermometer has taught about its forecast says nothing of
    them.
    """
    minima_c = await _minima_c(session, row)
    if not minima_c:
        return None
    known = await _difference(session, row, minima_c)
    if known is not None:
        minima_c = climate.shifted(minima_c, known.warmer_c)
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


async def difference(session: AsyncSession, row: Garden) -> Difference | None:
    """None with too few nights of which both places have a minimum; then the dates are those of the other place."""
    return await _difference(session, row, await _minima_c(session, row))


async def _difference(session: AsyncSession, row: Garden, minima_c: Mapping[date, float]) -> Difference | None:
    here_c = {
        evening_on + timedelta(days=1): low_c for evening_on, low_c in (await score.observed(session, row)).items()
    }
    warmer_c = [low_c - minima_c[on] for on, low_c in here_c.items() if on in minima_c]
    return Difference(median(warmer_c), len(warmer_c)) if len(warmer_c) >= LEAST_NIGHTS else None


async def _minima_c(session: AsyncSession, row: Garden) -> dict[date, float]:
    columns = NightMinimum.on, NightMinimum.min_c, NightMinimum.source
    nights = await session.execute(select(*columns).where(NightMinimum.garden_id == row.id))
    return {on: min_c + (_MODEL_C if source == past_nights.SOURCE else 0.0) for on, min_c, source in nights}
