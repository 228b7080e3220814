"""Potato and tomato late blight: the Hutton Criteria.

Two days running, each with a minimum of 10 degrees C or more and at least six hours of relative humidity of 90 % or
more: AHDB project 11120018 with the James Hutton Institute, launched 2017 (publisher's summary, archive.ahdb.org.uk,
read 2026-11-25). Made for potato crops in Britain, in the open; it knows nothing of glass, variety or outbreaks nearby.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from bot.core.weather.days import day_bounds
from bot.core.weather.forecast import Forecast, Hour

_LEAST_C, _LEAST_H, _HUMID_PCT = 10.0, 6.0, 90.0
_HOUR = timedelta(hours=1)


class Met(StrEnum):
    """UNKNOWN is not NO: a value was missing that could have decided it."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class BlightDay:
    """One local day: its least known temperature, its hours known to be humid, hours not known, and the verdict."""

    on: date
    min_c: float | None
    humid_h: float
    unknown_h: float
    met: Met


def hutton_days(forecast: Forecast, zone: ZoneInfo) -> tuple[BlightDay, ...]:
    """The days of the forecast, ascending, each judged alone. A part of a day that is not given counts as unknown."""
    hours = sorted(forecast.hours, key=lambda hour: hour.at)
    dates = sorted({hour.at.astimezone(zone).date() for hour in hours})
    return tuple(_day(hours, on, *day_bounds(on, zone)) for on in dates)


def hutton_periods(days: Iterable[BlightDay]) -> tuple[tuple[date, Met], ...]:
    """Each pair of neighbouring days as (second day, verdict): YES both met, NO one not met, else UNKNOWN."""
    by_date = {day.on: day.met for day in days}
    pairs = (
        (on, by_date[on - timedelta(days=1)], met) for on, met in by_date.items() if on - timedelta(days=1) in by_date
    )
    return tuple(sorted((on, _both(first, second)) for on, first, second in pairs))


def _both(first: Met, second: Met) -> Met:
    if Met.NO in (first, second):
        return Met.NO
    return Met.UNKNOWN if Met.UNKNOWN in (first, second) else Met.YES


def _day(hours: list[Hour], on: date, start: datetime, end: datetime) -> BlightDay:
    """Each instant stands for the hour that follows it, which is all that it can speak for."""
    inside = [hour for hour in hours if start <= hour.at < end]
    day_h = (end - start) / _HOUR
    humid = {hour.at for hour in inside if hour.humidity_pct is not None and hour.humidity_pct >= _HUMID_PCT}
    known = {hour.at for hour in inside if hour.humidity_pct is not None}
    air = [hour.air_c for hour in inside if hour.air_c is not None]
    min_c = min(air, default=None)
    warm = _warm(min_c, len(air) >= day_h)
    damp = _damp(float(len(humid)), max(0.0, day_h - len(known)))
    return BlightDay(on, min_c, float(len(humid)), max(0.0, day_h - len(known)), _both(warm, damp))


def _warm(min_c: float | None, whole: bool) -> Met:
    if min_c is not None and min_c < _LEAST_C:
        return Met.NO
    return Met.YES if whole else Met.UNKNOWN


def _damp(humid_h: float, unknown_h: float) -> Met:
    if humid_h >= _LEAST_H:
        return Met.YES
    return Met.UNKNOWN if humid_h + unknown_h >= _LEAST_H else Met.NO
