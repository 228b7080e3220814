"""The weather of past days, by the forecasts in force while they passed. Nothing of it was measured in the garden.

A day is noted from the evening before on: each instant keeps what the newest forecast that speaks of it says, since not
every service looks back at the hours that are gone.

The warmth of past days, kept from the forecasts as the days went by; stages are reckoned from it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

from sqlalchemy import bindparam, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.stages import Warmth
from bot.core.weather import days as core
from bot.core.weather.days import Day
from bot.core.weather.forecast import Forecast, Hour
from bot.storage.models import Garden, PastDay
from bot.storage.read_once import lasting

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
    days = (today, today + timedelta(days=1))
    noted = {one.on: one for one in await session.scalars(_noted(), {"garden_id": row.id, "days": days})}
    for on in days:
        kept = noted.get(on)
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


@cache
def _noted() -> Any:
    return select(PastDay).where(
        PastDay.garden_id == bindparam("garden_id"), PastDay.on.in_(bindparam("days", expanding=True))
    )


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


_LATELY_DAYS = 14  # of air that the soil at 5 cm still tells of
_LEAST_DAYS = 3  # as core.warmth.soil_c
_FRESH_DAYS = 2
_BY_HEAT = (Stage.GROWING, Stage.FLOWERING)


async def since_sowing(session: AsyncSession, garden: CoreGarden, crops: Mapping[str, Crop]) -> Warmth:
    """What is known of the days since the oldest batch whose stage hangs on warmth; empty when none does."""
    started = [
        since
        for one in garden.plantings
        if (crop := crops.get(one.crop)) and _by_warmth(one, crop) and (since := one.sown_on or one.planted_on)
    ]
    if not started:
        return Warmth()
    return Warmth.of(dict(await _means_c(session, garden.id, min(started))))


async def since_chilled(session: AsyncSession, garden: CoreGarden, crops: Mapping[str, Crop]) -> tuple[Day, ...]:
    """The days, with their means, since the oldest living batch that chill may send to seed; none when there is none."""
    started = [
        since
        for one in garden.plantings
        if (crop := crops.get(one.crop)) and _by_chill(one, crop) and (since := one.sown_on or one.planted_on)
    ]
    if not started:
        return ()
    return tuple(Day(on, mean_c=mean_c) for on, mean_c in await _means_c(session, garden.id, min(started)))


@lasting(PastDay)
async def _means_c(session: AsyncSession, garden_id: int, since_on: date) -> Sequence[tuple[date, float]]:
    """The mean of each day from then on of which it is known."""
    query = select(PastDay.on, PastDay.mean_c).where(
        PastDay.garden_id == garden_id, PastDay.on >= since_on, PastDay.mean_c.is_not(None)
    )
    return [(row.on, row.mean_c) for row in await session.execute(query)]


@lasting(PastDay)
async def soil_lately_c(session: AsyncSession, garden_id: int, today: date) -> float | None:
    """Warmth of bare soil at about 5 cm, from the air of the days that were kept; None with fewer than three, or old ones.

    Forecasts of a service begin today and tell nothing of it.
    """
    query = select(PastDay.on, PastDay.mean_c).where(
        PastDay.garden_id == garden_id,
        PastDay.on >= today - timedelta(days=_LATELY_DAYS),
        PastDay.on < today,
        PastDay.mean_c.is_not(None),
    )
    known = {row.on: row.mean_c for row in await session.execute(query)}
    soil_c = Warmth.of(known).soil_c
    latest = max(soil_c, default=None)
    unbroken = latest is not None and all(latest - timedelta(days=n) in soil_c for n in range(_LEAST_DAYS))
    if latest is None or not unbroken or (today - latest).days > _FRESH_DAYS:
        return None
    return soil_c[latest]


def _by_chill(planting: Planting, crop: Crop) -> bool:
    return planting.stage is not Stage.ENDED and crop.bolting is not None and crop.bolting.chill_c is not None


def _by_warmth(planting: Planting, crop: Crop) -> bool:
    if planting.stage is Stage.SOWN:
        return bool(crop.sowing.emergence)
    return planting.stage in _BY_HEAT and crop.harvest.degree_days is not None
