"""What a garden's own thermometers teach about its forecast.

Only shaded air at 1 to 2 m in the open teaches the air correction; any other thermometer teaches its own place by the
same filter. Clear still nights are learned apart from all others. A reading that the filter finds implausible is asked
about, never silently believed. Resetting is starting again from `untaught(lay)`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from bot.core.garden.snapshot import Cover, Lay, PlaceKind
from bot.core.weather.ground import NightKind
from bot.core.weather.recursive_line import Fit, Prior, fitted

__all__ = [
    "FAR_OFF",
    "LIE_RANGES_C",
    "Correction",
    "Teaches",
    "Thermometer",
    "ThermometerKind",
    "Verdict",
    "teaches",
    "untaught",
    "untaught_place",
    "updated",
]

# How clear still nights differ by the lie of the land, degrees C: common practice, no source. That cold air gathers in
# hollows and drains from slopes: AMS Glossary of Meteorology, "frost hollow".
LIE_RANGES_C: dict[Lay, tuple[float, float]] = {
    Lay.OPEN: (-0.5, 0.5),
    Lay.HOLLOW: (-4.0, 0.0),
    Lay.SLOPE: (0.0, 2.0),
    Lay.WALLED: (0.0, 2.0),
    Lay.WINDY: (0.0, 1.0),
}

# For a site whose forecast may be many degrees off, such as a model's valley: nearly everything is learned.
FAR_OFF = Prior(
    offset_sd_c=10.0, slope_sd=0.5, season_sd_c=5.0, noise_sd_c=3.0, noise_n=5.0, centre_c=0.0, spread_sd=1.0
)

_SITE = Prior()
_PLACE = Prior(offset_sd_c=2.0, noise_sd_c=1.5)
_IMPLAUSIBLE_SDS = 4.0
_SQRT12 = 12.0**0.5


class ThermometerKind(StrEnum):
    MIN_MAX = "min/max"  # keeps the lowest since it was last set
    MOMENTARY = "momentary"  # read at a moment


class Teaches(StrEnum):
    AIR = "air"
    PLACE = "place"


class Verdict(StrEnum):
    ACCEPT = "accept"
    ASK = "ask"


@dataclass(frozen=True, slots=True)
class Thermometer:
    """height_m above the ground; shaded: the sun never reaches it; shelter and cover: what it stands in and under."""

    kind: ThermometerKind
    height_m: float
    shaded: bool
    shelter: PlaceKind = PlaceKind.BED
    cover: Cover = Cover.NONE


def teaches(thermometer: Thermometer) -> Teaches:
    """What its readings may teach. Screen heights of 1.25 to 2 m: WMO-No. 8 (from memory); 1 m is allowed here."""
    outside = thermometer.shelter in (PlaceKind.BED, PlaceKind.CONTAINER) and thermometer.cover is Cover.NONE
    at_screen_height = 1.0 <= thermometer.height_m <= 2.0
    return Teaches.AIR if outside and thermometer.shaded and at_screen_height else Teaches.PLACE


@dataclass(frozen=True, slots=True)
class Correction:
    """What is known of one site, or one place: a line for clear still nights and one for all others."""

    clear_still: Fit
    other: Fit

    def fit(self, kind: NightKind) -> Fit:
        return self.clear_still if kind is NightKind.RADIATION else self.other

    def with_fit(self, kind: NightKind, fit: Fit) -> Correction:
        if kind is NightKind.RADIATION:
            return replace(self, clear_still=fit)
        return replace(self, other=fit)


def untaught(lay: Lay = Lay.OPEN, prior: Prior = _SITE) -> Correction:
    """The correction of a site without readings: nothing, but for the lie of the land on clear still nights."""
    low_c, high_c = LIE_RANGES_C[lay]
    spread_c = (prior.offset_sd_c**2 + ((high_c - low_c) / _SQRT12) ** 2) ** 0.5
    clear_still = replace(prior, offset_c=prior.offset_c + 0.5 * (low_c + high_c), offset_sd_c=spread_c)
    return Correction(fitted(clear_still), fitted(prior))


def untaught_place() -> Correction:
    """For a thermometer that teaches only its own place, against the estimate at the plant there."""
    return Correction(fitted(_PLACE), fitted(_PLACE))


def updated(
    correction: Correction,
    kind: NightKind,
    forecast_c: float,
    reading_c: float,
    on: date,
    *,
    spread_c: float | None = None,
    confirmed: bool = False,
) -> tuple[Correction, Verdict]:
    """The correction after one reading of the morning of `on`, and whether the member should be asked first.

    forecast_c: what the forecast had said for it (`Night.untaught_c`, or of that hour for a momentary reading).
    spread_c: how far the ensemble's members differed about it (`Night.spread_c`).
    An implausible reading changes nothing unless a member has confirmed it; even then it counts less.
    """
    fit = correction.fit(kind)
    if not confirmed and abs(reading_c - fit.mean_c(forecast_c, on, spread_c)) > _IMPLAUSIBLE_SDS * fit.sd_c(on):
        return correction, Verdict.ASK
    return correction.with_fit(kind, fit.learned(forecast_c, reading_c, on, spread_c)), Verdict.ACCEPT
