"""Invented forecasts for the wind tests."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from bot.core.weather.forecast import Forecast, Hour

NOON = datetime(2026, 5, 14, 12, tzinfo=UTC)


def forecast(hours: Sequence[Hour]) -> Forecast:
    return Forecast(
        source="open-meteo",
        latitude=52.5,
        longitude=-1.9,
        altitude_m=120.0,
        zone=None,
        issued_at=None,
        fetched_at=NOON,
        hours=tuple(hours),
    )


def gusty(*values_ms: float | None, wind_ms: float | None = None, step_h: int = 1) -> Forecast:
    """Steps after noon with these gusts."""
    return forecast(
        [
            Hour(NOON + timedelta(hours=step_h * (index + 1)), gust_ms=value, wind_ms=wind_ms)
            for index, value in enumerate(values_ms)
        ]
    )
