"""From the wind of the forecast, at 10 m, to the wind where things stand, and to hours that are not safe.

No shelter is assumed: a gap or a corner can speed wind up as well as slow it down. See docs/wind.md.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum

from bot.core.garden.snapshot import Around
from bot.core.units import plausible_wind_ms
from bot.core.weather.forecast import Forecast, Hour

AIR_KG_M3 = 1.25  # EN 1991-1-4:2005, 4.5, recommended value
# A service's gust over its mean wind is greater than the standard's, since its mean is that of a rough square of land:
# by 1.18 in the middle of 69 hours of 5 m/s or more in recorded answers for four places, with an sd of 0.15 of its
# logarithm (docs/wind.md). The hour of the day made no difference there, nor in 29,353 measured windy hours of KNMI.
_OVER_LAND = 1.18
_GUST_LOG_SD = 0.15
_UPPER = math.exp(1.645 * _GUST_LOG_SD)  # nineteen in twenty are below it
_FORECAST_HEIGHT_M = 10.0
_LONGEST_STEP = timedelta(hours=6)  # far ahead services give one value for six hours; beyond that nothing is known


class Terrain(Enum):
    """EN 1991-1-4 Table 4.1: roughness length z0 and least height zmin, m (read via lisa.blue, 2026-11-25)."""

    SEA = (0.003, 1.0)
    BARE = (0.01, 1.0)
    OPEN = (0.05, 2.0)
    SUBURBAN = (0.3, 5.0)
    CITY = (1.0, 10.0)


#: EN 1991-1-4 Table 4.1 in an organiser's words: sea, low vegetation with few obstacles, villages, suburbs and woods, town.
TERRAIN = {
    Around.SEA: Terrain.SEA,
    Around.FIELDS: Terrain.OPEN,
    Around.HOUSES: Terrain.SUBURBAN,
    Around.TOWN: Terrain.CITY,
}


@dataclass(frozen=True, slots=True)
class Gust:
    """The greatest gust at 10 m in the step that ends at `at`, m/s; estimated (from the mean wind) if not given."""

    at: datetime
    ms: float
    estimated: bool

    @property
    def upper_ms(self) -> float:
        """What an estimate hardly exceeds, one time in twenty; of a given gust the gust."""
        return self.ms * _UPPER if self.estimated else self.ms

    @property
    def estimate_sd_ms(self) -> float:
        """How far the estimate may be off; 0 of a given gust."""
        return self.ms * _GUST_LOG_SD if self.estimated else 0.0


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of time, start_at <= t < end_at, aware UTC, and the greatest gust in it."""

    start_at: datetime
    end_at: datetime
    gust_ms: float
    estimated: bool


def exposure(height_m: float, terrain: Terrain) -> float:
    """Exposure factor ce(z) of EN 1991-1-4 (4.8), peak velocity pressure over the basic one, flat ground.

    cr = kr ln(z/z0), kr = 0.19 (z0/0.05)^0.07, Iv = 1/ln(z/z0), ce = cr^2 (1 + 7 Iv). Valid from zmin to 200 m;
    held constant below zmin, so the wind near the soil is overstated rather than understated.
    """
    z0_m, least_m = terrain.value
    log_height = math.log(max(height_m, least_m) / z0_m)
    factor = 0.19 * math.pow(z0_m / 0.05, 0.07) * log_height
    return factor * factor * (1.0 + 7.0 / log_height)


def peak_factor(terrain: Terrain) -> float:
    """Greatest gust over the mean wind at 10 m: sqrt(1 + 7 Iv), Iv = 1/ln(z/z0) (EN 1991-1-4 4.4 and 4.8).

    In open country 1.52, as ESDU 83045 (2002) has it for 3 s over the hourly mean (via the R2D documentation, NHERI
    SimCenter, read 2026-11-25).
    """
    return math.sqrt(1.0 + 7.0 / math.log(_FORECAST_HEIGHT_M / terrain.value[0]))


def gust_factor(terrain: Terrain = Terrain.CITY) -> float:
    """A service's likeliest gust over its mean wind; where nobody has said how rough the land is, as in a town."""
    return _OVER_LAND * peak_factor(terrain)


def gust_at_height(gust_ms: float, height_m: float, terrain: Terrain = Terrain.OPEN) -> float:
    """The gust at `height_m` when it is `gust_ms` at 10 m over the same terrain, m/s."""
    return gust_ms * math.sqrt(exposure(height_m, terrain) / exposure(_FORECAST_HEIGHT_M, terrain))


def gust_from_height(gust_ms: float, height_m: float, terrain: Terrain = Terrain.OPEN) -> float:
    """The gust at 10 m when it is `gust_ms` at `height_m`: the inverse of `gust_at_height`, m/s."""
    return gust_ms / gust_at_height(1.0, height_m, terrain)


def pressure_pa(ms: float) -> float:
    """Velocity pressure q = 0.5 rho v^2, Pa (EN 1991-1-4 (4.10))."""
    return 0.5 * AIR_KG_M3 * ms * ms


def speed_ms(pressure_pa: float) -> float:
    """The speed at which the velocity pressure is `pressure_pa`, m/s."""
    return math.sqrt(2.0 * max(pressure_pa, 0.0) / AIR_KG_M3)


def gusts(forecast: Forecast) -> tuple[Gust, ...]:
    """The gusts of a forecast, ascending; a step with neither gust nor wind that can be real is left out."""
    found = (gust_of(hour) for hour in sorted(forecast.hours, key=lambda hour: hour.at))
    return tuple(gust for gust in found if gust is not None)


def gust_of(hour: Hour) -> Gust | None:
    """The gust of one step, estimated where it is not given; None where no wind is known."""
    if hour.gust_ms is not None and plausible_wind_ms(hour.gust_ms):
        return Gust(hour.at, hour.gust_ms, estimated=False)
    if hour.wind_ms is not None and plausible_wind_ms(hour.wind_ms):
        return Gust(hour.at, hour.wind_ms * gust_factor(), estimated=True)
    return None


def hour_starts(moments: Iterable[datetime]) -> dict[datetime, datetime]:
    """For the end of each step its start: the moment before it, at most six hours earlier; one hour for the first."""
    ends = sorted(moments)
    starts = [ends[0] - timedelta(hours=1), *ends[:-1]] if ends else []
    return {end: max(start, end - _LONGEST_STEP) for start, end in zip(starts, ends, strict=True)}


def windows(found: Iterable[Gust], threshold_ms: float) -> tuple[Window, ...]:
    """Contiguous stretches in which the gust reaches `threshold_ms` or more, ascending."""
    ordered = sorted(found, key=lambda gust: gust.at)
    starts = hour_starts(gust.at for gust in ordered)
    joined: list[Window] = []
    for gust in ordered:
        if gust.ms < threshold_ms:
            continue
        step = Window(starts[gust.at], gust.at, gust.ms, gust.estimated)
        if joined and joined[-1].end_at >= step.start_at:
            joined[-1] = _join(joined[-1], step)
        else:
            joined.append(step)
    return tuple(joined)


def _join(first: Window, second: Window) -> Window:
    greatest = max(first, second, key=lambda window: window.gust_ms)
    return Window(first.start_at, second.end_at, greatest.gust_ms, greatest.estimated)


def within(window: Window, light: Iterable[tuple[datetime, datetime]]) -> tuple[tuple[datetime, datetime], ...]:
    """The parts of `window` inside the given stretches (sunrise to sunset of each day), ascending."""
    cut = ((max(window.start_at, start), min(window.end_at, end)) for start, end in light)
    return tuple(sorted((start, end) for start, end in cut if start < end))
