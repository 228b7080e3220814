"""Past nights of a garden that has none on record, asked for once from the archive of its weather service."""

from __future__ import annotations

from datetime import datetime, timedelta

import httpx
from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather.forecast import ForecastError
from bot.forecasts import open_meteo, past_nights, request
from bot.forecasts.reader import Point
from bot.forecasts.stored import Stored, from_row, to_row
from bot.services.weather import service_pauses
from bot.services.weather.garden_forecast import Source
from bot.storage.garden import gardens
from bot.storage.models import Garden, NightMinimum, Weather
from bot.storage.session import Database

__all__ = ["fetch"]

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
        if past_nights.NAME in await service_pauses.known(session, now):
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
        await service_pauses.note(session, [stored], now)
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
