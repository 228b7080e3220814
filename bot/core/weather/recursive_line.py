"""A line through forecasts and what was then measured, learned one night at a time, with its certainty.

Recursive least squares with forgetting as Bayesian linear regression: West & Harrison 1997, Bayesian Forecasting and
Dynamic Models, 2nd ed., ch. 4 (discounting, unknown variance); large errors count less by Huber's weight (Huber 1964,
doi:10.1214/aoms/1177703732). The line is offset + slope * (forecast - centre) + a yearly wave + a share of how far the
members of an ensemble differ, degrees C; part of the last night's error is carried over to the nights after it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date

__all__ = ["Fit", "Prior", "carried_c", "fitted"]

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
