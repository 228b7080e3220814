"""The forecast of a garden: asked for by the clock, kept as the services' terms want, read by everything else."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path

import httpx
from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.forecast import Forecast, ForecastError
from bot.forecasts import client, file, request
from bot.forecasts.reader import Point
from bot.forecasts.stored import Stored, from_row, to_row
from bot.storage import gardens
from bot.storage.models import Garden, Weather
from bot.storage.session import Database

__all__ = ["STALE_AFTER", "Source", "current", "is_stale", "never_asked", "refresh"]

#: Services issue anew every 1 to 6 h; older than this, something has stopped and people must hear of it.
STALE_AFTER = timedelta(hours=12)
#: A forecast that ends sooner than this is as good as none for tonight.
REACH = timedelta(hours=18)


@dataclass(frozen=True, slots=True)
class Source:
    """Where forecasts come from: the setting's value, and the contact that the services' terms ask for."""

    setting: str
    contact: str = ""


async def refresh(
    database: Database, garden_id: int, source: Source, now: datetime, http: httpx.AsyncClient
) -> tuple[str, ...]:
    """Ask the services, where their terms allow it by now, and keep the answer. Returns what failed, a line each."""
    if source.setting.startswith("file:"):
        return ()
    async with database.begin() as session:
        garden = await gardens.by_id(session, garden_id)
        if garden is None:
            return ()
        point, stored = _point(garden), await _stored(session, garden_id)
    outcome = await client.latest(client.order(source.setting), point, stored, now, http, source.contact)
    async with database.begin() as session:
        for service, state in outcome.stored_by_service.items():
            if state != stored.get(service):
                await _keep(session, garden_id, service, state)
        garden = await gardens.by_id(session, garden_id)
        found = outcome.forecast
        if garden is not None and garden.altitude_m is None and found is not None and found.altitude_m is not None:
            garden.altitude_m = found.altitude_m  # the height of that point in the service's own map
    return outcome.errors


async def never_asked(session: AsyncSession, garden: Garden, source: Source) -> bool:
    """Whether no service has been asked for this garden yet, because it has only just begun."""
    return not source.setting.startswith("file:") and not await _stored(session, garden.id)


async def current(session: AsyncSession, garden: Garden, source: Source, now: datetime) -> Forecast | None:
    """The best forecast at hand that reaches past the coming night, else None."""
    if source.setting.startswith("file:"):
        found = await _from_file(garden, source, now)
    else:
        states = await _stored(session, garden.id)
        found = _newest([state for name in client.order(source.setting) if (state := states.get(name))])
    if found is None or not found.hours or found.hours[-1].at < now + REACH or found.hours[0].at > now + REACH:
        return None
    return found


def is_stale(forecast: Forecast, now: datetime) -> bool:
    """Whether it is so old that people must hear of it; an unknown age is stated, not stale."""
    age = forecast.age(now)
    return age is not None and age > STALE_AFTER


def _newest(states: list[Stored]) -> Forecast | None:
    """The first service in the order that still answers, else the newest answer that was kept."""
    with_body = [state for state in states if state.body and state.fetched_at is not None]
    best = next((state for state in with_body if not state.failures), None)
    if best is None:
        best = max(with_body, key=lambda state: state.fetched_at or datetime.min.replace(tzinfo=UTC), default=None)
    return None if best is None else _read(best)


@lru_cache(maxsize=16)
def _read(stored: Stored) -> Forecast | None:
    try:
        return request.read(stored)
    except ForecastError:
        return None


async def _from_file(garden: Garden, source: Source, now: datetime) -> Forecast | None:
    path = Path(source.setting.removeprefix("file:"))
    try:
        return await asyncio.to_thread(_read_path, path, now, _point(garden))
    except (ForecastError, OSError):
        return None


def _read_path(path: Path, now: datetime, near: Point) -> Forecast:
    if not path.is_dir():
        return _load(path, path.stat().st_mtime_ns, near)
    changed_ns = tuple((name.name, name.stat().st_mtime_ns) for name in sorted(path.glob("*.json")))
    return file.known_by(now, _load_series(path, changed_ns, near))


@lru_cache(maxsize=4)
def _load(path: Path, _changed_ns: int, near: Point) -> Forecast:
    """One file, read again only when it has changed."""
    return file.load(path, near)


@lru_cache(maxsize=2)
def _load_series(path: Path, _changed_ns: tuple[tuple[str, int], ...], near: Point) -> tuple[Forecast, ...]:
    """A folder's files, read again only when one has changed."""
    return file.load_series(path, near)


def _point(garden: Garden) -> Point:
    return Point(garden.latitude, garden.longitude, garden.altitude_m)


async def _stored(session: AsyncSession, garden_id: int) -> dict[str, Stored]:
    rows = await session.scalars(select(Weather).where(Weather.garden_id == garden_id))
    return {row.service: state for row in rows if (state := from_row(row.stored)) is not None}


async def _keep(session: AsyncSession, garden_id: int, service: str, state: Stored) -> None:
    query = select(Weather).where(Weather.garden_id == garden_id, Weather.service == service)
    row = await session.scalar(query)
    if row is None:
        session.add(Weather(garden_id=garden_id, service=service, stored=to_row(state)))
    else:
        row.stored = to_row(state)
