"""The garden's odds of frost by date, from past minima near it, moved by as much as the garden differs from that place.

Past nights of a garden that has none on record, asked for once from the archive of its weather service.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

import httpx
from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather import climate
from bot.core.weather.climate import Climate
from bot.core.weather.forecast import ForecastError
from bot.forecasts import open_meteo, past_nights, request
from bot.forecasts.reader import Point
from bot.forecasts.request import Stored, from_row, to_row
from bot.services.weather import garden_forecast, score
from bot.services.weather.garden_forecast import Source
from bot.storage.garden import gardens
from bot.storage.models import Garden, NightMinimum, Reading, Thermometer, Weather
from bot.storage.read_once import lasting
from bot.storage.session import Database

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


@lasting(NightMinimum, Reading, Thermometer, Garden)
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


_TRY_AGAIN = timedelta(days=7)


async def fetch(database: Database, garden_id: int, source: Source, now: datetime, http: httpx.AsyncClient) -> str:
    """Ask for them where there are none, or only nights of an archive without their days' maxima, and it was not asked this
    week. Returns what failed, or "".

    Only of the service that the garden's forecasts come from.
    """
    if source.setting != open_meteo.NAME:
        return ""
    async with database.begin() as session:
        garden = await gardens.by_id(session, garden_id)
        if garden is None or not await _wants(session, garden, now):
            return ""
        if past_nights.NAME in await garden_forecast.known(session, now):
            return ""
        point = Point(garden.latitude, garden.longitude, garden.altitude_m)
    failed, found, leave_until_at = "", None, None
    try:
        query = past_nights.query(point, now.year - 1)
        body = await request.once(past_nights.URL, query, http, source.contact)
        found = past_nights.parse(body, point.rounded())
    except ForecastError as error:
        failed = f"{past_nights.NAME}: {error}"
        leave_until_at = error.until(now) if isinstance(error, request.Throttled) else None
    async with database.begin() as session:
        garden = await gardens.by_id(session, garden_id)
        if garden is None or not await _lacks_nights(session, garden_id):
            return failed
        if found:
            await session.execute(delete(NightMinimum).where(NightMinimum.garden_id == garden_id))
            session.add_all(
                NightMinimum(garden_id=garden_id, on=on, min_c=day.min_c, max_c=day.max_c, source=past_nights.SOURCE)
                for on, day in found.items()
            )
        again_at = leave_until_at or now + _TRY_AGAIN
        stored = Stored(
            past_nights.NAME, point.rounded(), retry_after_at=again_at, note=failed, leave_until_at=leave_until_at
        )
        await garden_forecast.note(session, [stored], now)
        state = to_row(stored)
        row = await _state(session, garden_id)
        if row is None:
            session.add(Weather(garden_id=garden_id, service=past_nights.NAME, stored=state))
        else:
            row.stored = state
    return failed


async def _wants(session: AsyncSession, garden: Garden, now: datetime) -> bool:
    row = await _state(session, garden.id)
    stored = from_row(row.stored) if row is not None else None
    return (stored is None or stored.due(now)) and await _lacks_nights(session, garden.id)


async def _lacks_nights(session: AsyncSession, garden_id: int) -> bool:
    return bool(await gardens.without_past_nights(session, past_nights.SOURCE, garden_id))


async def _state(session: AsyncSession, garden_id: int) -> Weather | None:
    found: Weather | None = await session.scalar(
        select(Weather).where(Weather.garden_id == garden_id, Weather.service == past_nights.NAME)
    )
    return found
