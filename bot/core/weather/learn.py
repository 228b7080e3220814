"""What a garden's own thermometers teach about its forecast.

Only shaded air at 1 to 2 m in the open teaches the air correction; any other thermometer teaches its own place by the
same filter. Clear still nights are learned apart from all others. A reading that the filter finds implausible is asked
about, never silently believed. Resetting is starting again from `untaught(lay)`.

A line through forecasts and what was then measured, learned one night at a time, with its certainty.

Recursive least squares with forgetting as Bayesian linear regression: West & Harrison 1997, Bayesian Forecasting and
Dynamic Models, 2nd ed., ch. 4 (discounting, unknown variance); large errors count less by Huber's weight (Huber 1964,
doi:10.1214/aoms/1177703732). The line is offset + slope * (forecast - centre) + a yearly wave + a share of how far the
members of an ensemble differ, degrees C; part of the last night's error is carried over to the nights after it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from bot.core.garden.snapshot import Cover, Lay, PlaceKind
from bot.core.weather.ground import NightKind

Vector = tuple[float, ...]

_YEAR_DAYS = 365.2425
_HUBER = 2.0
_LEAST_SLOPE = 0.1  # a colder forecast must never read as a warmer night
#: How far members usually differ, degrees C: in the mean of Innsbruck 2000-07. A night whose spread is not known has it.
_USUAL_SPREAD_C = 0.7
# Errors of nights that follow each other agree by 0.29, 0.23 and 0.07 at one, two and three nights (Innsbruck 2000-07).
_CARRIED, _CARRIED_EACH, _CARRIED_NIGHTS = 0.25, 0.8, 3


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed before the first reading. The defaults are this project's own assumption, no source.

    offset_c, offset_sd_c: how much warmer the site is than its forecast at `centre_c`. slope_sd: about a slope of 1.
    season_sd_c: of the yearly wave's two parts, about 0. noise_sd_c: of one night about the line, believed as firmly as
    noise_n nights. spread_sd: of what a degree of the members' spread means for the site. memory: weight of all earlier
    nights when one more is learned (0.998: about 500 nights count).
    """

    offset_c: float = 0.0
    offset_sd_c: float = 1.2
    slope_sd: float = 0.1
    season_sd_c: float = 0.4
    noise_sd_c: float = 1.3
    noise_n: float = 10.0
    centre_c: float = 2.0
    spread_sd: float = 0.3
    memory: float = 0.998


@dataclass(frozen=True, slots=True)
class Fit:
    """The line as it stands. weights: offset, slope, cosine, sine, spread. covariance: of them, in units of the noise
    variance.

    noise_c2: variance of one night about the line. noise_n: nights that variance rests on. count: readings learned.
    last_error_c: of the newest night learned, the morning of last_on.
    """

    prior: Prior
    weights: Vector
    covariance: tuple[Vector, ...]
    noise_c2: float
    noise_n: float
    count: int = 0
    last_error_c: float = 0.0
    last_on: date | None = None

    def mean_c(self, forecast_c: float, on: date, spread_c: float | None = None) -> float:
        """What a forecast of forecast_c for the morning of `on` comes to at the site.

        spread_c: standard deviation of the ensemble's members about it, None where there is none.
        """
        return (
            self._line_c(forecast_c, on)
            + self.weights[4] * _unusual_c(spread_c)
            + carried_c(self.last_error_c, self.last_on, on)
        )

    def _line_c(self, forecast_c: float, on: date) -> float:
        offset, slope, cosine, sine, _ = self.weights
        wave_cos, wave_sin = _wave(on)
        rise = max(slope, _LEAST_SLOPE) * (forecast_c - self.prior.centre_c)
        return self.prior.centre_c + offset + rise + cosine * wave_cos + sine * wave_sin

    def offset_c(self, on: date) -> float:
        """By how much the site is usually warmer than its forecast, at the prior's centre."""
        return self._line_c(self.prior.centre_c, on) - self.prior.centre_c

    def offset_sd_c(self, on: date) -> float:
        """How certain that is."""
        return math.sqrt(self.noise_c2 * self._leverage(_features(self.prior.centre_c, self.prior.centre_c, on)))

    def sd_c(self, on: date) -> float:
        """Of one coming night about `mean_c`.

        Taken at the centre for every forecast, so that the odds of cold rise steadily as the forecast falls.
        """
        return math.hypot(math.sqrt(self.noise_c2), self.offset_sd_c(on))

    def learned(self, forecast_c: float, measured_c: float, on: date, spread_c: float | None = None) -> Fit:
        """The line after one more night; nights may come in any order, and only the newest is carried over."""
        features = _features(forecast_c, self.prior.centre_c, on, spread_c)
        memory = self.prior.memory
        covariance = tuple(tuple(cell / memory for cell in row) for row in self.covariance)
        spread = tuple(_dot(row, features) for row in covariance)
        leverage = _dot(features, spread)
        error = measured_c - self.prior.centre_c - _dot(self.weights, features)
        expected_sd = math.sqrt(self.noise_c2 * (1.0 + leverage))
        trust = min(1.0, _HUBER * expected_sd / max(abs(error), 1e-12))
        gain = tuple(part / (1.0 / trust + leverage) for part in spread)
        noise_n = memory * self.noise_n + 1.0
        is_newest = self.last_on is None or on > self.last_on
        noise_sum = memory * self.noise_n * self.noise_c2 + trust * error**2 / (1.0 + leverage)
        return replace(
            self,
            weights=tuple(weight + part * error for weight, part in zip(self.weights, gain, strict=True)),
            covariance=tuple(
                tuple(cell - g * s for cell, s in zip(row, spread, strict=True))
                for row, g in zip(covariance, gain, strict=True)
            ),
            noise_c2=noise_sum / noise_n,
            noise_n=noise_n,
            count=self.count + 1,
            last_error_c=trust * error if is_newest else self.last_error_c,
            last_on=on if is_newest else self.last_on,
        )

    def _leverage(self, features: Vector) -> float:
        return _dot(features, tuple(_dot(row, features) for row in self.covariance))


def carried_c(last_error_c: float, last_on: date | None, on: date) -> float:
    """What the last night's error says of one soon after it; both by the morning."""
    nights = (on - last_on).days if last_on is not None else 0
    if not 1 <= nights <= _CARRIED_NIGHTS:
        return 0.0
    return _CARRIED * _CARRIED_EACH ** (nights - 1) * last_error_c


def fitted(prior: Prior) -> Fit:
    """The line before the first reading: the prior itself."""
    noise_c2 = prior.noise_sd_c**2
    sds = (prior.offset_sd_c, prior.slope_sd, prior.season_sd_c, prior.season_sd_c, prior.spread_sd)
    covariance = tuple(
        tuple(sd**2 / noise_c2 if row == column else 0.0 for column in range(len(sds))) for row, sd in enumerate(sds)
    )
    return Fit(prior, (prior.offset_c, 1.0, 0.0, 0.0, 0.0), covariance, noise_c2, prior.noise_n)


def _features(forecast_c: float, centre_c: float, on: date, spread_c: float | None = None) -> Vector:
    return (1.0, forecast_c - centre_c, *_wave(on), _unusual_c(spread_c))


def _unusual_c(spread_c: float | None) -> float:
    return 0.0 if spread_c is None else spread_c - _USUAL_SPREAD_C


def _wave(on: date) -> tuple[float, float]:
    angle = 2.0 * math.pi * on.timetuple().tm_yday / _YEAR_DAYS
    return math.cos(angle), math.sin(angle)


def _dot(left: Vector, right: Vector) -> float:
    return sum(a * b for a, b in zip(left, right, strict=True))


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
