"""Degree-days, the warmth of the soil for sowing, days until seed is up, and heat under glass. See docs/water.md."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

from bot.core.weather.forecast import Forecast

_DEPTH_CM = 5.0
# Standard errors of soil warmth at 10 cm from a running mean of air: 1.5-2.9 degrees in 19 sets of data (Zheng, Hunt and
# Running 1993, Climate Research 2:183-191, doi:10.3354/cr002183). The wider stands, for want of a garden's own readings.
_ERROR_C = 2.9
_START_ERROR_C = 6.0  # of the guess from which the reckoning starts: engineering estimate
_LEAST_DAYS = 3
_LEAST_HOURS = 8  # of a day, some by night: one in three
_LONGEST_GAP = timedelta(hours=6)

# Rise of the day's greatest temperature in a plastic tunnel over that outside: 4.2 degrees on average (Savage 1980,
# Agrochemophysica 12:5-13, abstract read 2026-11-25); shut, in full sun, 5 to 15 or more (a general web page, weak).
_RISE_C = (4.2, 15.0)
_FULL_SUN_W_M2 = 800.0  # about the most of a British summer noon: engineering estimate


@dataclass(frozen=True, slots=True)
class SoilWarmth:
    """Daily mean of bare soil at about 5 cm, degrees C; error_c: one standard error; days_n: days of air behind it."""

    mean_c: float
    error_c: float
    days_n: int


@dataclass(frozen=True, slots=True)
class GlassHeat:
    """Air under shut glass or film, degrees C, as a range; in the shade of plants and with vents open it is less."""

    low_c: float
    high_c: float


def degree_days(min_c: float, max_c: float, base_c: float, cap_c: float | None = None) -> float:
    """Growing degree-days of one day: (max + min)/2 - base, not below 0 (Peet, NCSU, appendix 2).

    With a cap the extremes are first held between base and cap (the 86/50 method of US maize reports); any unit does.
    """
    if cap_c is not None:
        min_c, max_c = (max(base_c, min(cap_c, value)) for value in (min_c, max_c))
    return max(0.0, (min_c + max_c) / 2.0 - base_c)


def degree_days_sum(days: Iterable[tuple[float, float]], base_c: float, cap_c: float | None = None) -> float:
    """The sum over days given as (minimum, maximum)."""
    return sum(degree_days(min_c, max_c, base_c, cap_c) for min_c, max_c in days)


def surface_c(air_c: float, leaf_area: float = 0.0) -> float:
    """Daily mean of the soil's surface from that of the air: see `soil_step_c`. leaf_area: leaf over ground, m2/m2."""
    if air_c < 0.0:
        return 0.20 * air_c
    return air_c * (0.95 + 0.05 * math.exp(-0.4 * (leaf_area - 3.0)))


def soil_step_c(soil_c: float, air_c: float, leaf_area: float = 0.0, depth_cm: float = _DEPTH_CM) -> float:
    """The soil's daily mean tomorrow from today's and today's air.

    Kaetterer & Andren 2009, Acta Agric. Scand. B 59:77-86, doi:10.1080/09064710801920321 (read via the documentation of
    the R package reclim, 2026-11-25): T + (Ts - T) 0.24 exp(-0.017 z) exp(-0.15 GAI), with leaf area = 0.8 GAI. For
    arable soils of cold temperate regions, in the open; slopes to the sun and mulch make their own.
    """
    share = 0.24 * math.exp(-0.017 * depth_cm) * math.exp(-0.15 * leaf_area / 0.8)
    return soil_c + (surface_c(air_c, leaf_area) - soil_c) * share


def soil_c(forecast: Forecast, at: datetime) -> SoilWarmth | None:
    """Warmth of bare soil for sowing at `at`, from the air of the whole days before it in the forecast.

    The reckoning starts at the mean of those days; the fewer they are, the wider the error. None with fewer than three.
    """
    means = _daily_means(forecast, at)
    if len(means) < _LEAST_DAYS:
        return None
    soil = surface_c(sum(means) / len(means))
    for mean_c in means:
        soil = soil_step_c(soil, mean_c)
    left = math.pow(1.0 - 0.24 * math.exp(-0.017 * _DEPTH_CM), len(means))
    return SoilWarmth(soil, math.hypot(_ERROR_C, left * _START_ERROR_C), len(means))


def soil_given_c(forecast: Forecast, at: datetime) -> float | None:
    """The mean of the soil at about 6 cm over the coming day by the service's own model; None where it gives none."""
    known = [
        hour.soil_c for hour in forecast.hours if at <= hour.at < at + timedelta(days=1) and hour.soil_c is not None
    ]
    return sum(known) / len(known) if len(known) >= _LEAST_HOURS else None


def soil_by_day(air_c: Mapping[date, float]) -> dict[date, float]:
    """Daily mean of bare soil at about 5 cm, from daily means of the air; after a gap the reckoning starts anew."""
    soil: dict[date, float] = {}
    for on in sorted(air_c):
        before = soil.get(on - timedelta(days=1))
        soil[on] = surface_c(air_c[on]) if before is None else soil_step_c(before, air_c[on])
    return soil


def _daily_means(forecast: Forecast, at: datetime) -> list[float]:
    """Mean air of each unbroken 24 hours back from `at`, oldest first; a gap of more than six hours ends it."""
    known = sorted((hour.at, hour.air_c) for hour in forecast.hours if hour.air_c is not None)
    means: list[float] = []
    end = at
    while True:
        start = end - timedelta(days=1)
        inside = [(moment, air) for moment, air in known if start <= moment < end]
        moments = [start, *(moment for moment, _ in inside), end]
        if not inside or any(b - a > _LONGEST_GAP for a, b in pairwise(moments)):
            return means[::-1]
        means.append(sum(air for _, air in inside) / len(inside))
        end = start


def emergence_days(table: Sequence[tuple[float, float]], soil_c: float) -> float | None:
    """Days until seed is up in soil of `soil_c`, from a crop's (degrees C, days) pairs, ascending; None outside them.

    Between two pairs the rate, one over the days, is taken as even, as in thermal time.
    """
    for (low_c, low_days), (high_c, high_days) in pairwise(table):
        if low_c <= soil_c <= high_c:
            share = (soil_c - low_c) / (high_c - low_c)
            return 1.0 / ((1.0 - share) / low_days + share / high_days)
    return next((days for known_c, days in table if known_c == soil_c), None)


def glass_heat(air_c: float, sun_w_m2: float | None) -> GlassHeat:
    """How hot it gets under shut glass in this hour; without the sun known, from no rise to the greatest."""
    if sun_w_m2 is None:
        return GlassHeat(air_c, air_c + _RISE_C[1])
    share = min(1.0, max(0.0, sun_w_m2) / _FULL_SUN_W_M2)
    return GlassHeat(air_c + share * _RISE_C[0], air_c + share * _RISE_C[1])
