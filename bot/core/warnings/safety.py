"""Hours in which nobody is sent out, or up a ladder. Organisers can make the limits stricter, never laxer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from itertools import pairwise

from bot.core.garden.snapshot import Garden
from bot.core.units import plausible_wind_ms
from bot.core.weather.forecast import Forecast, Hour
from bot.core.weather.wind import gust_of, hour_starts

__all__ = [
    "GUST_MS",
    "HEIGHT_WIND_MS",
    "Limits",
    "Unsafe",
    "UnsafeHour",
    "no_height_hours",
    "overlaps",
    "reaches",
    "unsafe_outdoor_hours",
]

GUST_MS = 15.6  # 35 mph: common practice, no source
HEIGHT_WIND_MS = 10.28  # 23 mph affects balance (HSE HSG33, read via citation.co.uk), rounded to the safe side


class Unsafe(StrEnum):
    """Why an hour is not safe. UNKNOWN: the forecast gives neither gust nor wind, which is never read as calm."""

    GUST = "gust"
    THUNDER = "thunder"
    WIND = "wind"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Limits:
    """A place's own limits, m/s. gust_ms: no outdoor duty from here; height_wind_ms: no ladder, glass or tunnel cover.

    Raises ValueError when a limit is laxer than the default.
    """

    gust_ms: float = GUST_MS
    height_wind_ms: float = HEIGHT_WIND_MS

    def __post_init__(self) -> None:
        for name, value, most in (
            ("gust_ms", self.gust_ms, GUST_MS),
            ("height_wind_ms", self.height_wind_ms, HEIGHT_WIND_MS),
        ):
            if not 0.0 < value <= most:
                raise ValueError(f"{name} is {value}, expected above 0 and at most {most}: limits may only be stricter")

    @classmethod
    def of(cls, garden: Garden) -> Limits:
        """The garden's own where its organisers have set any."""
        return cls(garden.gust_limit_ms or GUST_MS, garden.height_wind_limit_ms or HEIGHT_WIND_MS)


@dataclass(frozen=True, slots=True)
class UnsafeHour:
    """start_at < t <= end_at (the step that ends at end_at), aware UTC, and every reason that holds in it."""

    start_at: datetime
    end_at: datetime
    reasons: tuple[Unsafe, ...]


_DEFAULT = Limits()


def unsafe_outdoor_hours(forecast: Forecast, limits: Limits = _DEFAULT) -> tuple[UnsafeHour, ...]:
    """The steps in which no outdoor duty may be due: gust at the limit, thunder, or nothing known of the wind."""
    return _hours(forecast, lambda hour: _outdoor_reasons(hour, limits))


def no_height_hours(forecast: Forecast, limits: Limits = _DEFAULT) -> tuple[UnsafeHour, ...]:
    """The steps in which nobody works on ladders, glass or tunnel covers: those above, and a mean wind at the limit."""
    return _hours(forecast, lambda hour: (*_outdoor_reasons(hour, limits), *_height_reasons(hour, limits)))


def overlaps(hours: tuple[UnsafeHour, ...], start_at: datetime, end_at: datetime) -> tuple[UnsafeHour, ...]:
    """Those of `hours` that touch the stretch from start_at to end_at. Ask `reaches` first: past the forecast's end
    there is nothing to touch, which does not make it safe.
    """
    return tuple(hour for hour in hours if hour.start_at < end_at and start_at < hour.end_at)


def reaches(forecast: Forecast, start_at: datetime, end_at: datetime) -> bool:
    """Whether the forecast speaks of the whole stretch, whatever it says."""
    starts = hour_starts(hour.at for hour in forecast.hours)
    return bool(starts) and min(starts.values()) <= start_at and end_at <= max(starts)


def _hours(forecast: Forecast, reasons_of: Callable[[Hour], tuple[Unsafe, ...]]) -> tuple[UnsafeHour, ...]:
    starts = hour_starts(hour.at for hour in forecast.hours)
    judged = [UnsafeHour(starts[hour.at], hour.at, reasons_of(hour)) for hour in forecast.hours]
    ends = sorted(starts)
    holes = [
        UnsafeHour(before, starts[after], (Unsafe.UNKNOWN,))
        for before, after in pairwise(ends)
        if before < starts[after]
    ]
    return tuple(sorted((hour for hour in judged + holes if hour.reasons), key=lambda hour: hour.end_at))


def _outdoor_reasons(hour: Hour, limits: Limits) -> tuple[Unsafe, ...]:
    """A gust that is only estimated is judged by what it hardly exceeds."""
    gust = gust_of(hour)
    reasons = [Unsafe.UNKNOWN] if gust is None else [Unsafe.GUST] if gust.upper_ms >= limits.gust_ms else []
    if hour.thunder:
        reasons.append(Unsafe.THUNDER)
    return tuple(reasons)


def _height_reasons(hour: Hour, limits: Limits) -> tuple[Unsafe, ...]:
    wind_ms = _known(hour.wind_ms)
    if wind_ms is None:
        return () if _known(hour.gust_ms) is None else (Unsafe.UNKNOWN,)
    return (Unsafe.WIND,) if wind_ms >= limits.height_wind_ms else ()


def _known(ms: float | None) -> float | None:
    return ms if ms is not None and plausible_wind_ms(ms) else None
