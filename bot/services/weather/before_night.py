"""The forecast that was known before a night, kept with its odds: what a reading of its morning is held against.

In the morning no service speaks of the night that has passed, or only of the rest of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather.days import day_bounds
from bot.core.weather.forecast import Forecast, Hour, Span
from bot.storage.models import Garden, NightOdds

#: Fields of core.forecast.Hour from which a night is reckoned, in the order in which a row keeps them.
KEPT = ("air_c", "cloud_pct", "wind_ms")
#: How late a morning's reading may still come in.
KEPT_FOR = timedelta(days=7)
_DAY = timedelta(days=1)


def to_row(forecast: Forecast, evening_on: date, garden: Garden) -> dict[str, Any]:
    """As JSON, the hours of the evening's and the morning's day."""
    start, end = day_bounds(evening_on, garden.tz)[0], day_bounds(evening_on + _DAY, garden.tz)[1]
    return {
        "source": forecast.source,
        "latitude": forecast.latitude,
        "longitude": forecast.longitude,
        "altitude_m": forecast.altitude_m,
        "issued_at": _iso(forecast.issued_at),
        "fetched_at": _iso(forecast.fetched_at),
        "hours": [
            [hour.at.isoformat(), *(getattr(hour, name) for name in KEPT)]
            for hour in forecast.hours
            if start <= hour.at <= end
        ],
        "spans": [
            [span.start_at.isoformat(), span.end_at.isoformat(), span.min_c, span.max_c]
            for span in forecast.spans
            if span.end_at > start and span.start_at < end
        ],
    }


async def known(session: AsyncSession, row: Garden, evening_on: date) -> Forecast | None:
    """What was expected of that night at noon before it; None where nothing was kept, or not any more."""
    kept = await session.get(NightOdds, (row.id, evening_on))
    return _from_row(kept.forecast) if kept is not None and kept.forecast is not None else None


async def said(session: AsyncSession, row: Garden, evening_on: date) -> NightOdds | None:
    """What was said of that night at noon before it, without its hours; None where it was not kept."""
    kept = await session.get(NightOdds, (row.id, evening_on))
    return kept if kept is not None and kept.kind is not None else None


async def forget(session: AsyncSession, row: Garden, today: date) -> None:
    """Let the hours of nights go that nobody reports on any more; their odds stay."""
    old = (NightOdds.garden_id == row.id, NightOdds.evening_on < today - KEPT_FOR, NightOdds.forecast.is_not(None))
    await session.execute(update(NightOdds).where(*old).values(forecast=None))


def _from_row(row: Mapping[str, Any]) -> Forecast:
    return Forecast(
        row["source"],
        row["latitude"],
        row["longitude"],
        row["altitude_m"],
        None,
        _at(row["issued_at"]),
        _at(row["fetched_at"]),
        tuple(Hour(datetime.fromisoformat(at), **dict(zip(KEPT, values, strict=True))) for at, *values in row["hours"]),
        tuple(
            Span(datetime.fromisoformat(start), datetime.fromisoformat(end), min_c, max_c)
            for start, end, min_c, max_c in row["spans"]
        ),
    )


def _iso(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat()


def _at(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)
