"""From the air's minimum at 2 m to the ground's minimum at 10 cm over grass, and what kind of night it is.

On a clear, still night grass radiates to the sky and the air at its tips grows colder than the screen's. The gap is

    depression = FLOOR + (BASE + SWING * sqrt(swing) + CLEAR * clear + OPEN * (1 - cloud**4)) * calm(wind)    [degrees C]
    calm(wind) = wind / (wind + 0.25) / (1 + (wind / WIND_SCALE)**3)

never below zero: `swing` is how far the air falls from the neighbouring days' maxima (degrees C, mean of both days),
`cloud` the share of sky under cloud, `clear` the rest, and `wind` the mean at 10 m (m/s), both means over the 24 h of the
morning's day. The fourth power: only a sky that is all but closed keeps the ground warm; at the same fall of the air, a
clear sky goes with a little less of a gap than a broken one. With hardly any wind the screen's air cools with the ground.
The form holds for short grass on open lowland, all nights of March to May, September and October.

The constants are printed by `gatepost calibrate` from 25 years of De Bilt (KNMI open data); docs/cold.md scores them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from bot.core.weather.odds import Estimate

__all__ = [
    "GROUND",
    "GroundFit",
    "NightKind",
    "Weather",
    "depression_c",
    "ground_estimate",
    "mixing",
    "night_kind",
    "openness",
]


class NightKind(StrEnum):
    RADIATION = "radiation"  # clear and still: cold pools and gathers at the ground; covers work best
    ADVECTION = "advection"  # windy cold air: no inversion; covers work least
    MIXED = "mixed"


@dataclass(frozen=True, slots=True)
class GroundFit:
    """Constants of the form above, sd_c of a night about it.

    clear_mean and open_mean stand in for an unknown sky; constant_c and constant_sd_c for unknown weather.
    """

    floor_c: float
    base_c: float
    swing_c: float
    clear_c: float
    open_c: float
    wind_scale_ms: float
    sd_c: float
    clear_mean: float
    open_mean: float
    constant_c: float
    constant_sd_c: float


GROUND = GroundFit(
    floor_c=-0.057,
    base_c=-2.15,
    swing_c=1.344,
    clear_c=-1.748,
    open_c=2.687,
    wind_scale_ms=5.5,
    sd_c=1.142,
    clear_mean=0.345,
    open_mean=0.657,
    constant_c=2.167,
    constant_sd_c=1.424,
)

# FAO-56 Eq. 47 turns the 2 m/s at 2 m of the radiation-frost rule into 2.67 m/s at 10 m.
STILL_MS = 2.67
# Ten knots: above it the Met Office Glossary (1991) judges frost by other classes.
WINDY_MS = 5.14
CLEAR_PCT = 37.5  # three eighths
_LEAST_WIND_MS, _CALM_MS = 1.0, 0.25


@dataclass(frozen=True, slots=True)
class Weather:
    """Of the 24 h of the morning's day: mean wind, mean cloud; swing_c as above. None where unknown."""

    wind_ms: float | None = None
    cloud_pct: float | None = None
    swing_c: float | None = None


def night_kind(wind_ms: float | None, cloud_pct: float | None) -> NightKind:
    """Which kind of night, from mean 10 m wind (m/s) and mean cloud (0-100) between sunset and sunrise.

    Radiation frost: clear, wind below 2 m/s at 2 m (Snyder & de Melo-Abreu 2005, FAO ENRS 10). Unknown gives MIXED.
    """
    if wind_ms is None:
        return NightKind.MIXED
    if wind_ms >= WINDY_MS:
        return NightKind.ADVECTION
    if wind_ms < STILL_MS and cloud_pct is not None and cloud_pct <= CLEAR_PCT:
        return NightKind.RADIATION
    return NightKind.MIXED


def mixing(wind_ms: float, wind_scale_ms: float) -> float:
    """Share of the gap that this wind leaves, below 1. Hardly any daily mean of De Bilt is below 1 m/s: taken as that."""
    wind_ms = max(wind_ms, _LEAST_WIND_MS)
    return wind_ms / (wind_ms + _CALM_MS) / (1.0 + (wind_ms / wind_scale_ms) ** 3)


def openness(cloud_pct: float) -> float:
    """Share of a clear sky's cooling that this much cloud leaves, 1 to 0."""
    return 1.0 - (cloud_pct / 100.0) ** 4


def depression_c(weather: Weather, fit: GroundFit = GROUND) -> float | None:
    """How much colder the ground is than the air at their minima, degrees C; None when wind or swing is unknown."""
    if weather.wind_ms is None or weather.swing_c is None:
        return None
    clear, open_ = fit.clear_mean, fit.open_mean
    if weather.cloud_pct is not None:
        clear, open_ = 1.0 - weather.cloud_pct / 100.0, openness(weather.cloud_pct)
    calm_c = fit.base_c + fit.swing_c * math.sqrt(max(weather.swing_c, 0.0)) + fit.clear_c * clear + fit.open_c * open_
    return max(0.0, fit.floor_c + calm_c * mixing(weather.wind_ms, fit.wind_scale_ms))


def ground_estimate(air: Estimate, weather: Weather) -> Estimate:
    """The minimum at 10 cm over grass, degrees C. Without wind or swing: the constant gap, with its wider band."""
    gap_c = depression_c(weather)
    if gap_c is None:
        return air.shifted(-GROUND.constant_c).widened(GROUND.constant_sd_c)
    return air.shifted(-gap_c).widened(GROUND.sd_c)
