"""The latest forecast: which service is asked first, which falls in, and when a garden's turn is."""

from __future__ import annotations

import asyncio
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import httpx

from bot.core.weather.forecast import Forecast, ForecastError
from bot.forecasts import file
from bot.forecasts.reader import Point
from bot.forecasts.request import SERVICES, fetch, read
from bot.forecasts.stored import Stored

__all__ = ["Outcome", "latest", "order", "spread_s"]

STILL_GOOD = timedelta(hours=3)  # an answer this young is kept while its service fails, rather than change service


@dataclass(frozen=True, slots=True)
class Outcome:
    """forecast: the best to be had, None when there is none. errors: what failed or warns, a line each, no secrets."""

    forecast: Forecast | None
    stored_by_service: Mapping[str, Stored]
    errors: tuple[str, ...] = ()


def order(setting: str) -> tuple[str, ...]:
    """The sources to try in turn: the service that is set, then the other one; a file stands alone.

    Raises ForecastError on anything else.
    """
    if setting.startswith("file:"):
        return (setting,)
    if setting not in SERVICES:
        raise ForecastError(f"the forecast setting is {setting[:40]!r}, expected {', '.join(SERVICES)} or file:PATH")
    return (setting, *(name for name in SERVICES if name != setting))


def spread_s(garden_id: int, contact: str = "") -> int:
    """How many seconds past the hour this garden asks, 0-3599: always the same, and spread over gardens and bots."""
    digest = hashlib.sha256(f"{contact}/{garden_id}".encode()).digest()
    return int.from_bytes(digest[:8]) % 3600


async def latest(
    sources: Sequence[str],
    point: Point,
    stored_by_service: Mapping[str, Stored],
    now: datetime,
    http: httpx.AsyncClient,
    contact: str,
    paused: Mapping[str, datetime] | None = None,
) -> Outcome:
    """The forecast of the first source that has a good one, else the newest that is still stored, however old.

    paused: services that want to be left alone, each until when.
    """
    stored, old = dict(stored_by_service), []
    errors: list[str] = []
    for source in sources:
        try:
            if source.startswith("file:"):
                path = Path(source.removeprefix("file:"))
                return Outcome(await asyncio.to_thread(file.latest, path, now, point), stored, tuple(errors))
            state = stored[source] = await fetch(source, point, stored.get(source), now, http, contact, paused=paused)
            errors.extend([state.note] if state.note else [])
            if not state.body:
                continue
            forecast = read(state)
        except ForecastError as error:
            errors.append(str(error))
            continue
        if not state.failures or _age(state, now) <= STILL_GOOD:
            return Outcome(forecast, stored, tuple(errors))
        old.append((_age(state, now), forecast))
    return Outcome(min(old, key=lambda pair: pair[0])[1] if old else None, stored, tuple(errors))


def _age(stored: Stored, now: datetime) -> timedelta:
    return timedelta.max if stored.fetched_at is None else now - stored.fetched_at
