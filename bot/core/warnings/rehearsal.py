"""Invented weather for a rehearsal: a cold night laid over a forecast, or over mild days where there is none."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.core.weather.forecast import Forecast, Hour

#: Minima of an invented night's air, degrees C, the mildest that does harm is played; common practice, no source.
DEPTHS_C = (-1.0, -4.0, -8.0)

_HOUR = timedelta(hours=1)
_WARMEST, _COLDEST = time(15), time(5)  # local; of a clear day, roughly
_RISE_C = 11.0  # from the coldest to the warmest of a clear spring day, roughly: common practice, no source
_EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
_MILD = Hour(_EPOCH, dew_point_c=7.0, humidity_pct=80.0, cloud_pct=80.0, wind_ms=2.0, gust_ms=5.0, rain_mm=0.0)


def mild(latitude: float, longitude: float, altitude_m: float | None, now: datetime, days: int) -> Forecast:
    """Invented days of 9 to 13 degrees C under cloud, from midnight UTC before `now` on."""
    start_at = now.replace(hour=0, minute=0, second=0, microsecond=0)
    hours = tuple(
        replace(_MILD, at=at, air_c=11.0 + 2.0 * math.cos((at.hour - 14) * math.pi / 12))
        for at in (start_at + n * _HOUR for n in range(24 * days))
    )
    return Forecast("invented", latitude, longitude, altitude_m, None, now, now, hours)


def with_cold_night(forecast: Forecast, evening_on: date, zone: ZoneInfo, coldest_c: float) -> Forecast:
    """The forecast with a clear, calm night whose air is no warmer than `coldest_c` at five; the rest as it was.

    Hours are laid from noon to noon; what the service says of whole stretches or of its own doubt there goes.
    """
    from_at = datetime.combine(evening_on, time(12), zone).astimezone(forecast.hours[0].at.tzinfo)
    to_at = datetime.combine(evening_on + timedelta(days=1), time(12), zone).astimezone(from_at.tzinfo)
    n_hours = round((to_at - from_at) / _HOUR)
    laid = tuple(
        _cold(_last_before(forecast, at), at, _curve_c(at, evening_on, zone, coldest_c))
        for at in (from_at + n * _HOUR for n in range(n_hours))
    )
    before = tuple(hour for hour in forecast.hours if hour.at < from_at)
    after = tuple(hour for hour in forecast.hours if hour.at >= to_at)
    spans = tuple(span for span in forecast.spans if span.end_at <= from_at or span.start_at >= to_at)
    return replace(forecast, hours=(*before, *laid, *after), spans=spans)


def _last_before(forecast: Forecast, at: datetime) -> Hour:
    return next((hour for hour in reversed(forecast.hours) if hour.at <= at), forecast.hours[0])


def _curve_c(at: datetime, evening_on: date, zone: ZoneInfo, coldest_c: float) -> float:
    """Warmest at 15, coldest at 5 the next morning, a cosine between."""
    warmest_at = datetime.combine(evening_on, _WARMEST, zone)
    coldest_at = datetime.combine(evening_on + timedelta(days=1), _COLDEST, zone)
    away = abs(at - coldest_at) / (coldest_at.astimezone(at.tzinfo) - warmest_at.astimezone(at.tzinfo))
    return coldest_c + _RISE_C * (0.5 - 0.5 * math.cos(math.pi * min(1.0, away)))


def _cold(was: Hour, at: datetime, most_c: float) -> Hour:
    air_c = most_c if was.air_c is None else min(was.air_c, most_c)
    return replace(
        was,
        at=at,
        air_c=air_c,
        dew_point_c=min(air_c - 1.0, was.dew_point_c if was.dew_point_c is not None else air_c),
        cloud_pct=5.0,
        wind_ms=1.0,
        gust_ms=3.0,
        rain_mm=0.0,
        thunder=False,
        spread=None,
    )
