"""One local day of weather out of the hours of a forecast. What is not known stays None; it never becomes zero."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from zoneinfo import ZoneInfo

from bot.core.weather.forecast import Forecast, Hour

_HOUR = timedelta(hours=1)
_LONGEST_GAP = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class _Fall:
    start_at: datetime
    end_at: datetime
    rain_mm: float


@dataclass(frozen=True, slots=True)
class Day:
    """The weather of one local day; None where the hours do not cover it (no gap of more than six hours).

    min_c, max_c, mean_c: air at 2 m. dew_c: mean dew point. humidity_min_pct, humidity_max_pct. wind_ms: mean at 10 m.
    cloud_pct: mean. sun_mj_m2: global radiation of the day. rain_mm: precipitation of the day.
    """

    on: date
    min_c: float | None = None
    max_c: float | None = None
    mean_c: float | None = None
    dew_c: float | None = None
    humidity_min_pct: float | None = None
    humidity_max_pct: float | None = None
    wind_ms: float | None = None
    cloud_pct: float | None = None
    sun_mj_m2: float | None = None
    rain_mm: float | None = None


def day_bounds(on: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The local day as (start, end) in UTC; 23 or 25 hours long when clocks change."""
    start, end = (datetime.combine(day, time(), zone).astimezone(UTC) for day in (on, on + timedelta(days=1)))
    return start, end


@lru_cache(maxsize=8)  # asked more than once in one answer, and by answers that follow each other
def days(forecast: Forecast, zone: ZoneInfo) -> tuple[Day, ...]:
    """Every local day that an hour of the forecast falls on, ascending."""
    hours = sorted(forecast.hours, key=lambda hour: hour.at)
    dates = sorted({hour.at.astimezone(zone).date() for hour in hours})
    return tuple(_day(forecast, hours, on, *day_bounds(on, zone)) for on in dates)


def _day(forecast: Forecast, hours: list[Hour], on: date, start: datetime, end: datetime) -> Day:
    air = _readings(hours, start, end, lambda hour: hour.air_c)
    humidity = _readings(hours, start, end, lambda hour: hour.humidity_pct)
    inner = [span for span in forecast.spans if start <= span.start_at and span.end_at <= end] if air else []
    return Day(
        on=on,
        min_c=_least([*air, *(span.min_c for span in inner if span.min_c is not None)]),
        max_c=_greatest([*air, *(span.max_c for span in inner if span.max_c is not None)]),
        mean_c=_mean(air),
        dew_c=_mean(_readings(hours, start, end, lambda hour: hour.dew_point_c)),
        humidity_min_pct=_least(humidity),
        humidity_max_pct=_greatest(humidity),
        wind_ms=_mean(_readings(hours, start, end, lambda hour: hour.wind_ms)),
        cloud_pct=_mean(_readings(hours, start, end, lambda hour: hour.cloud_pct)),
        sun_mj_m2=_sun_mj_m2(hours, start, end),
        rain_mm=rain_mm(forecast, start, end),
    )


def _readings(
    hours: Iterable[Hour], start: datetime, end: datetime, value_of: Callable[[Hour], float | None]
) -> list[float]:
    """The known values at instants of the day; none at all when they leave too much of it unseen."""
    known = [(hour.at, value) for hour in hours if start <= hour.at < end and (value := value_of(hour)) is not None]
    moments = [start, *(at for at, _ in known), end]
    covered = known and all(after - before <= _LONGEST_GAP for before, after in pairwise(moments))
    return [value for _, value in known] if covered else []


def _sun_mj_m2(hours: Iterable[Hour], start: datetime, end: datetime) -> float | None:
    """Means of hours, W/m2, times as much of each as lies in the day; None unless they cover it."""
    known = {hour.at: hour.sun_w_m2 for hour in hours if hour.sun_w_m2 is not None}
    ends, joules, at = sorted(known), 0.0, start
    while at < end:
        hour_end = _hour_over(ends, at)
        if hour_end is None:
            return None
        until = min(hour_end, end)
        joules, at = joules + known[hour_end] * (until - at).total_seconds(), until
    return joules / 1e6


def rain_mm(forecast: Forecast, start: datetime, end: datetime) -> float | None:
    """Precipitation from start to end, mm: hour by hour where hours are given, else by the service's longer spans.

    An hour or a span that runs over the edge counts by its share of time: the hours of services are those of UTC, and
    local days begin at their half in some zones. None when any part of the stretch is not known.
    """
    hourly = {hour.at: hour.rain_mm for hour in forecast.hours if hour.rain_mm is not None}
    spans = [_Fall(span.start_at, span.end_at, span.rain_mm) for span in forecast.spans if span.rain_mm is not None]
    ends, total, at = sorted(hourly), 0.0, start
    while at < end:
        hour_end = _hour_over(ends, at)
        if hour_end is not None:
            until = min(hour_end, end)
            total, at = total + hourly[hour_end] * ((until - at) / _HOUR), until
            continue
        over = [span for span in spans if span.start_at <= at < span.end_at]
        if not over:
            return None
        span = max(over, key=lambda span: span.start_at)  # of overlapping spans the one that begins nearest
        until = min(span.end_at, end)
        total, at = total + span.rain_mm * ((until - at) / (span.end_at - span.start_at)), until
    return total


def _hour_over(ends: Sequence[datetime], at: datetime) -> datetime | None:
    """The end of the hour in which `at` lies, of those known; an hour's value is stamped at its end."""
    index = bisect_right(ends, at)
    return ends[index] if index < len(ends) and ends[index] - _HOUR <= at else None


def _least(values: list[float]) -> float | None:
    return min(values, default=None)


def _greatest(values: list[float]) -> float | None:
    return max(values, default=None)


def _mean(values: list[float]) -> float | None:
    return sum(values) / len(values) if values else None
