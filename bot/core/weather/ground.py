"""From the air's minimum at 2 m to the ground's minimum at 10 cm over grass, and what kind of night it is.

On a clear, still night grass radiates to the sky and the air at its tips grows colder than the screen's. The gap is

    depression = FLOOR + calm * (BASE + SWING * sqrt(swing) + CLEAR * clear + OPEN * (1 - cloud**6)
                                 + SUN * sun + RISE * rise + DRY * dry)                                 [degrees C]
    calm = wind / (wind + 0.25) / (1 + (wind / reach)**5)
    reach = REACH * (1 + swing / 10 + cloud)                                                            [m/s]

never below zero. Of the 24 h of the morning's day: `wind` the mean at 10 m (m/s), `cloud` the share of sky under cloud,
`clear` the rest. `swing`: how far the air falls from the maxima of the neighbouring days (degrees C), three parts of the
smaller fall and one of the greater. `sun`: how much more of the sun's radiation came down than is usual under such a
cloud; `rise`: by how much the wind is stronger than on the day before (m/s); `dry`: how much more than usual the air lets
out of what the ground radiates (FAO-56 Eq. 39: 0.34 - 0.14 * sqrt(vapour pressure in kPa)). Where one of these three is
not known it is taken as usual, 0. The sixth power: only a sky that is all but closed keeps the ground warm. A wind mixes
the air less where it has fallen far, since then the night was still; with hardly any wind the screen's air cools with
the ground. The form holds for short grass on open lowland, and is scored on the nights of March to May, September and October.

The constants are printed by `gatepost calibrate` from all nights of 25 years of De Bilt (KNMI open data); docs/cold.md
scores them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from bot.core.weather.odds import Estimate


class NightKind(StrEnum):
    RADIATION = "radiation"  # clear and still: cold pools and gathers at the ground; covers work best
    ADVECTION = "advection"  # windy cold air: no inversion; covers work least
    MIXED = "mixed"


@dataclass(frozen=True, slots=True)
class GroundFit:
    """Constants of the form above, sd_c of a night about it.

    clear_mean and open_mean stand in for an unknown sky, outgoing_mean for unknown moisture; clearness_base and
    clearness_per_cloud are the line of what is usual under a cloud; constant_c and constant_sd_c are for unknown weather.
    """

    floor_c: float
    base_c: float
    swing_c: float
    clear_c: float
    open_c: float
    sun_c: float
    rise_c_per_ms: float
    dry_c: float
    reach_ms: float
    sd_c: float
    clear_mean: float
    open_mean: float
    outgoing_mean: float
    clearness_base: float
    clearness_per_cloud: float
    constant_c: float
    constant_sd_c: float


GROUND = GroundFit(
    floor_c=0.44,
    base_c=-2.237,
    swing_c=1.063,
    clear_c=-0.798,
    open_c=2.285,
    sun_c=-1.018,
    rise_c_per_ms=-0.096,
    dry_c=7.339,
    reach_ms=2.0,
    sd_c=1.081,
    clear_mean=0.345,
    open_mean=0.735,
    outgoing_mean=0.195,
    clearness_base=0.762,
    clearness_per_cloud=-0.546,
    constant_c=2.167,
    constant_sd_c=1.424,
)

# FAO-56 Eq. 47 turns the 2 m/s at 2 m of the radiation-frost rule into 2.67 m/s at 10 m.
STILL_MS = 2.67
# Ten knots: above it the Met Office Glossary (1991) judges frost by other classes.
WINDY_MS = 5.14
CLEAR_PCT = 37.5  # three eighths
_LEAST_WIND_MS, _CALM_MS = 1.0, 0.25
_LESSER_FALL = 0.75  # the share of the smaller of both falls in `swing`


@dataclass(frozen=True, slots=True)
class Weather:
    """Of the 24 h of the morning's day: mean wind, mean cloud; swing_c as above. None where unknown.

    wind_before_ms: mean of the day before. vapour_kpa: pressure of the water vapour, mean. clearness: global radiation as
    a share of that at the top of the atmosphere.
    """

    wind_ms: float | None = None
    cloud_pct: float | None = None
    swing_c: float | None = None
    wind_before_ms: float | None = None
    vapour_kpa: float | None = None
    clearness: float | None = None


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


def fall_from_c(low_c: float, maxima_c: Sequence[float]) -> float | None:
    """The fall to a minimum from the maxima of the days about it, both or one of them; None without any."""
    falls_c = sorted(max(0.0, top_c - low_c) for top_c in maxima_c)
    return _LESSER_FALL * falls_c[0] + (1.0 - _LESSER_FALL) * falls_c[-1] if falls_c else None


def mixing(wind_ms: float, reach_ms: float) -> float:
    """Share of the gap that this wind leaves, below 1. Hardly any daily mean of De Bilt is below 1 m/s: taken as that."""
    wind_ms = max(wind_ms, _LEAST_WIND_MS)
    return wind_ms / (wind_ms + _CALM_MS) / (1.0 + (wind_ms / reach_ms) ** 5)


def openness(cloud_pct: float) -> float:
    """Share of a clear sky's cooling that this much cloud leaves, 1 to 0."""
    return 1.0 - (cloud_pct / 100.0) ** 6


def outgoing(vapour_kpa: float) -> float:
    """Share of the ground's radiation that air of this moisture lets out under a clear sky (FAO-56 Eq. 39)."""
    return 0.34 - 0.14 * math.sqrt(vapour_kpa)


def terms(weather: Weather, fit: GroundFit) -> tuple[float, ...] | None:
    """What each of the form's weights is multiplied with, in the order of `GroundFit`; None without wind or swing."""
    if weather.wind_ms is None or weather.swing_c is None:
        return None
    clear, open_, sun, rise_ms, dry = fit.clear_mean, fit.open_mean, 0.0, 0.0, 0.0
    if weather.cloud_pct is not None:
        clear, open_ = 1.0 - weather.cloud_pct / 100.0, openness(weather.cloud_pct)
        if weather.clearness is not None:
            sun = weather.clearness - fit.clearness_base - fit.clearness_per_cloud * (1.0 - clear)
    if weather.wind_before_ms is not None:
        rise_ms = weather.wind_ms - weather.wind_before_ms
    if weather.vapour_kpa is not None:
        dry = outgoing(weather.vapour_kpa) - fit.outgoing_mean
    calm = mixing(weather.wind_ms, fit.reach_ms * (2.0 - clear + weather.swing_c / 10.0))
    parts = (1.0, math.sqrt(weather.swing_c), clear, open_, sun, rise_ms, dry)
    return (1.0, *(calm * part for part in parts))


def depression_c(weather: Weather, fit: GroundFit = GROUND) -> float | None:
    """How much colder the ground is than the air at their minima, degrees C; None when wind or swing is unknown."""
    parts = terms(weather, fit)
    if parts is None:
        return None
    weights = (fit.floor_c, fit.base_c, fit.swing_c, fit.clear_c, fit.open_c, fit.sun_c, fit.rise_c_per_ms, fit.dry_c)
    return max(0.0, sum(weight * part for weight, part in zip(weights, parts, strict=True)))


def ground_estimate(air: Estimate, weather: Weather) -> Estimate:
    """The minimum at 10 cm over grass, degrees C. Without wind or swing: the constant gap, with its wider band."""
    gap_c = depression_c(weather)
    if gap_c is None:
        return air.shifted(-GROUND.constant_c).widened(GROUND.constant_sd_c)
    return air.shifted(-gap_c).widened(GROUND.sd_c)
