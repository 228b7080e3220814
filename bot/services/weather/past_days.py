"""The weather of past days, by the forecasts in force while they passed. Nothing of it was measured in the garden.

A day is noted from the evening before on: each instant keeps what the newest forecast that speaks of it says, since not
every service looks back at the hours that are gone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather import days as core
from bot.core.weather.forecast import Forecast, Hour
from bot.storage.models import Garden, PastDay

__all__ = ["KEPT", "KEPT_FOR", "note", "until"]

#: Fields of core.forecast.Hour that a day is reckoned from, in the order in which a row keeps them.
KEPT = ("air_c", "dew_point_c", "humidity_pct", "cloud_pct", "wind_ms", "rain_mm", "sun_w_m2")
#: A year of growing: how far a batch has come is summed from the day it was sown.
KEPT_FOR = timedelta(days=400)
#: Longer than any bed takes to dry out.
_DRYING = timedelta(days=60)
_VALUES = tuple(field.name for field in fields(core.Day) if field.name != "on")


async def note(session: AsyncSession, row: Garden, forecast: Forecast | None, now: datetime) -> None:
    """Bring today and tomorrow up to the forecast at hand, once in each hour of the clock; without one they stay as they
    are.
    """
    if forecast is None:
        return
    today = now.astimezone(row.tz).date()
    for on in (today, today + timedelta(days=1)):
        kept = await session.get(PastDay, (row.id, on))
        if kept is not None and kept.noted_at >= now.replace(minute=0, second=0, microsecond=0):
            continue
        if kept is None:
            # A day has begun: what those before it were reckoned from is needed no more.
            over = (PastDay.garden_id == row.id, PastDay.on < today, PastDay.hours.is_not(None))
            await session.execute(update(PastDay).where(*over).values(hours=None))
            kept = PastDay(garden_id=row.id, on=on)
            session.add(kept)
        kept.source, kept.noted_at = forecast.source, now
        kept.hours = _merged(kept.hours or {}, forecast, *core.day_bounds(on, row.tz))
        day = _day(forecast, kept.hours, on, row)
        for name in _VALUES:
            setattr(kept, name, getattr(day, name))


async def until(session: AsyncSession, row: Garden, now: datetime) -> tuple[core.Day, ...]:
    """The last days noted up to today, ascending; today whole, its coming hours as they are expected."""
    today = now.astimezone(row.tz).date()
    columns = [getattr(PastDay, name) for name in ("on", *_VALUES)]
    kept = select(*columns).where(PastDay.garden_id == row.id, PastDay.on.between(today - _DRYING, today))
    return tuple(core.Day(**found._mapping) for found in await session.execute(kept.order_by(PastDay.on)))


def _merged(before: Mapping[str, Any], forecast: Forecast, start: datetime, end: datetime) -> dict[str, Any]:
    """What is kept of each instant; a value that the newest forecast does not give stays as it was."""
    merged = dict(before)
    for hour in forecast.hours:
        if start <= hour.at <= end:
            key = hour.at.isoformat()
            was = merged.get(key, [None] * len(KEPT))
            fresh = [getattr(hour, name) for name in KEPT]
            merged[key] = [old if new is None else new for old, new in zip(was, fresh, strict=True)]
    return merged


def _day(forecast: Forecast, hours: Mapping[str, Any], on: date, row: Garden) -> core.Day:
    known = (Hour(datetime.fromisoformat(at), **dict(zip(KEPT, values, strict=True))) for at, values in hours.items())
    seen = Forecast(
        forecast.source,
        row.latitude,
        row.longitude,
        None,
        None,
        None,
        None,
        tuple(sorted(known, key=lambda one: one.at)),
    )
    return next((day for day in core.days(seen, row.tz) if day.on == on), core.Day(on))
