"""The forecast of a garden: asked for by the clock, kept as the services' terms want, read by everything else.

Weather services that want to be left alone for a while: by every garden, and by every process.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path

import httpx
from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather.forecast import Forecast, ForecastError
from bot.forecasts import file, open_meteo, request
from bot.forecasts.reader import Point
from bot.forecasts.request import Stored, from_row, to_row
from bot.forecasts.spread import lacks_gusts, with_gusts, with_spread
from bot.storage import revision
from bot.storage.garden import gardens
from bot.storage.models import Garden, ServicePause, Weather
from bot.storage.read_once import lasting
from bot.storage.session import Database


async def known(session: AsyncSession, now: datetime) -> Mapping[str, datetime]:
    """Until when, by service; none that is over."""
    rows = await session.scalars(select(ServicePause).where(ServicePause.until_at > now))
    return {row.service: row.until_at for row in rows}


async def note(session: AsyncSession, states: Iterable[Stored], now: datetime) -> None:
    """Keep what services asked for in these answers."""
    for state in states:
        if state.leave_until_at is not None and state.leave_until_at > now:
            await session.merge(ServicePause(service=state.service, until_at=state.leave_until_at))


#: Services issue anew every 1 to 6 h; older than this, something has stopped and people must hear of it.
STALE_AFTER = timedelta(hours=12)
#: From one run of a global weather model to the next.
RUNS_EVERY = timedelta(hours=6)
#: Of what is asked for beside a forecast, that which is asked for its gusts.
_GUSTS = frozenset({open_meteo.GUSTS_NAME})
#: Between two requests of one process: 400 a minute, where Open-Meteo takes 600 (its terms; from memory).
GAP_S = 0.15
#: Whoever shares a forecast looks for it so long after the first garden may have asked.
SHARED_AFTER = timedelta(minutes=1)
_SHARED = frozenset({*request.SERVICES, *request.BESIDE.values()})
#: A forecast that ends sooner than this is as good as none for tonight.
REACH = timedelta(hours=18)


@dataclass(frozen=True, slots=True)
class Source:
    """Where forecasts come from: the setting's value, and the contact that the services' terms ask for.

    given: the one to go by, whatever the setting; it is taken as issued anew every few hours, unchanged.
    """

    setting: str
    contact: str = ""
    given: Forecast | None = None

    @property
    def is_stored(self) -> bool:
        """Whether forecasts come from rows of the garden, which raise its revision."""
        return self.given is None and not self.setting.startswith("file:")


async def refresh(
    database: Database, garden_id: int, source: Source, now: datetime, http: httpx.AsyncClient
) -> tuple[str, ...]:
    """Ask the services, where their terms allow it by now, and keep the answer. Returns what failed, a line each.

    Of the gardens of one square only the first asks, and the others have its answer.
    """
    if source.setting.startswith("file:"):
        return ()
    async with database.begin() as session:
        garden = await gardens.by_id(session, garden_id)
        if garden is None:
            return ()
        point, stored = _point(garden), await _stored(session, garden_id)
        first = await _first_of_cell(session, garden)
        if first is not None:
            await _share(session, garden, stored, first, now)
            return ()
        paused = await known(session, now)
    await asyncio.sleep(GAP_S)
    order = request.order(source.setting)
    outcome = await request.latest(order, point, stored, now, http, source.contact, paused)
    states = dict(outcome.stored_by_service)
    asked, beside = states.get(source.setting), request.BESIDE.get(source.setting)
    if beside is not None and asked is not None and asked.body and not asked.failures and _wants(asked):
        # What it fails at is logged and costs only the spread or the gusts: it is no error of the forecast.
        states[beside] = await request.fetch(
            beside, point, stored.get(beside), now, http, source.contact, paused=paused
        )
    async with database.begin() as session:
        for service, state in states.items():
            if state != stored.get(service):
                await _keep(session, garden_id, service, state)
        await note(session, states.values(), now)
        garden = await gardens.by_id(session, garden_id)
        found = outcome.forecast
        if garden is not None and garden.altitude_m is None and found is not None and found.altitude_m is not None:
            garden.altitude_m = found.altitude_m  # the height of that point in the service's own map
        if garden is not None:
            await revision.ask_weather(session, garden_id, _next_ask(states.values(), now))
    return outcome.errors


async def _first_of_cell(session: AsyncSession, garden: Garden) -> Garden | None:
    """The garden whose forecast this one shares, because it lies in the same square and came before; None: it is the first."""
    cell = _point(garden).cell()
    if cell is None:
        return None
    here = (
        Garden.latitude >= cell.south, Garden.latitude < cell.north,
        Garden.longitude >= cell.west, Garden.longitude < cell.east,
        Garden.altitude_m >= cell.low_m, Garden.altitude_m < cell.high_m,
    )  # fmt: skip
    query = select(Garden).where(*here, Garden.id < garden.id).order_by(Garden.id).limit(1)
    found: Garden | None = await session.scalar(query)
    return found


async def _share(
    session: AsyncSession, garden: Garden, stored: Mapping[str, Stored], first: Garden, now: datetime
) -> None:
    """Take what the first garden of the square has, and look again once it has asked anew."""
    for service, state in (await _stored(session, first.id)).items():
        if service in _SHARED and state != stored.get(service):
            await _keep(session, garden.id, service, state)
    again_at = max(first.ask_weather_at or now, now)
    await revision.ask_weather(session, garden.id, again_at + SHARED_AFTER)


def _next_ask(states: Iterable[Stored], now: datetime) -> datetime | None:
    """When one of the services that were asked may be asked again; another's moment may have passed long ago."""
    return min((at for state in states if (at := state.due_at) is not None and at > now), default=None)


def _wants(asked: Stored) -> bool:
    """Whether anything is to be asked for beside this answer: gusts only where it has none itself."""
    if request.BESIDE[asked.service] not in _GUSTS:
        return True
    forecast = _read(asked)
    return forecast is not None and lacks_gusts(forecast)


async def never_asked(session: AsyncSession, garden: Garden, source: Source) -> bool:
    """Whether no service has been asked for this garden yet, because it has only just begun; who brings a forecast asks none."""
    if source.given is not None or source.setting.startswith("file:"):
        return False
    return not (await _stored(session, garden.id)).keys() & {*request.order(source.setting)}


async def current(session: AsyncSession, garden: Garden, source: Source, now: datetime) -> Forecast | None:
    """The best forecast at hand that reaches past the coming night, else None."""
    found: Forecast | None
    if source.given is not None:
        found = _issued_anew(source.given, now)
    elif source.setting.startswith("file:"):
        found = await _from_file(garden, source, now)
    else:
        states = await _stored(session, garden.id)
        found = _newest(states, request.order(source.setting), now)
    if found is None or not found.hours or found.hours[-1].at < now + REACH or found.hours[0].at > now + REACH:
        return None
    return found


def _issued_anew(given: Forecast, now: datetime) -> Forecast:
    """As if the latest run of a weather model had said the same again."""
    issued_at = now - (now - datetime.min.replace(tzinfo=UTC)) % RUNS_EVERY
    return replace(given, issued_at=issued_at, fetched_at=issued_at)


def is_stale(forecast: Forecast, now: datetime) -> bool:
    """Whether it is so old that people must hear of it; an unknown age is stated, not stale."""
    age = forecast.age(now)
    return age is not None and age > STALE_AFTER


def _newest(states: Mapping[str, Stored], order: Sequence[str], now: datetime) -> Forecast | None:
    """The first service in the order that still answers, else the newest answer that was kept; with what goes beside it."""
    known = [state for name in order if (state := states.get(name))]
    with_body = [state for state in known if state.body and state.fetched_at is not None]
    best = next((state for state in with_body if not state.failures), None)
    if best is None:
        best = max(with_body, key=lambda state: state.fetched_at or datetime.min.replace(tzinfo=UTC), default=None)
    if best is None:
        return None
    other = states.get(request.BESIDE.get(best.service, ""))
    fresh = other is not None and other.fetched_at is not None and now - other.fetched_at <= STALE_AFTER
    return _beside(best, other) if other is not None and fresh else _read(best)


@lru_cache(maxsize=16)
def _beside(stored: Stored, other: Stored) -> Forecast | None:
    forecast, found = _read(stored), _read(other)
    if forecast is None or found is None:
        return forecast
    return with_gusts(forecast, found) if other.service in _GUSTS else with_spread(forecast, found)


@lru_cache(maxsize=16)
def _read(stored: Stored) -> Forecast | None:
    try:
        return request.read(stored)
    except ForecastError:
        return None


async def _from_file(garden: Garden, source: Source, now: datetime) -> Forecast | None:
    path = Path(source.setting.removeprefix("file:"))
    near = _point(garden)
    try:
        return _of_file(path, near) or await asyncio.to_thread(_read_series, path, now, near)
    except (ForecastError, OSError):
        return None


def _of_file(path: Path, near: Point) -> Forecast | None:
    """None where it is a folder, of which there is more to look at than a thread costs."""
    return None if path.is_dir() else _load(path, path.stat().st_mtime_ns, near)


def _read_series(path: Path, now: datetime, near: Point) -> Forecast:
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


@lasting(Weather)
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
