"""Temperatures with honest uncertainty, the odds of passing a threshold, and the steps that led there."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from statistics import NormalDist

_STANDARD = NormalDist()
_SQRT2 = math.sqrt(2.0)
_RANGE_POINTS = (0.1, 0.3, 0.5, 0.7, 0.9)  # midpoints of five equal parts of a range
_LEAST_RATIO, _GREATEST_RATIO = 0.05, 0.5
#: People who were called stay on it until the odds are below this share of what would call them: a forecast that wavers
#: about the mark would call and release by turns. Chosen by `tests/benchmarks/bench_alarms.py`; docs/cold.md.
RELEASE = 0.25


class StepCode(StrEnum):
    """What one step of a calculation did; chat words it under Why."""

    FORECAST = "forecast"
    ALTITUDE = "altitude"
    LIE_OF_LAND = "lie of land"
    SITE_LEARNED = "site learned"
    LEAD_ERROR = "lead error"
    GROUND = "ground"
    PLACE = "place"
    PLACE_LEARNED = "place learned"
    THRESHOLD = "threshold"
    CHILLING = "chilling"  # degrees C below which growth is checked; low: the usual minimum of the coming nights
    ODDS = "odds"
    COST_LOSS = "cost loss"
    GUST = "gust"
    HEIGHT = "height"
    FORCE = "force"  # the load as a share of what the thing gives at most, 1 where it just goes
    HOLDS = "holds"
    SEASON = "season"  # days until the window opens, 0 or less when it is open
    CLIMATE = "climate"  # odds that a frost still comes after the day, 0-1
    SOIL = "soil"  # degrees C; low: the least it needs
    SIZE = "size"  # height, cm; high: the most before it must be potted on
    HARDENING = "hardening"  # days hardened; low, high: the days it needs
    PRACTICE = "practice"  # days by gardeners' habit
    GAIN = "gain"  # days that potting on gains
    FIRST_HOURS = "first hours"  # on the first day outside, by gardeners' habit; low: by published advice
    EVERY = "every"  # days from one time to the next
    OTHERS_WAIT = "others wait"  # how many more of the crop stay shut
    PUBLISHED = "published"  # days by published practice; low, high when a range
    WAITING = "waiting"  # days of harvest that waiting costs
    LOSS = "loss"  # weeks of growing that a lost batch costs
    HUTTON = "hutton"  # hours a day at 90 % humidity or more, on two days running of 10 degrees C or more
    CHILL = "chill"  # chill so far; low: where it begins to matter
    HOTTEST = "hottest"  # the hottest day to come, degrees C
    SWING = "swing"  # cold and heat close together: a suspicion, so the value means nothing
    DRY = "dry"  # the roots are dry; the value means nothing
    NIGHT = "night"  # the night's minimum in the garden's air, degrees C; low, high: the range that holds 9 in 10
    CHECKED = "checked"  # degrees C below which growth is checked
    HARD_FROST = "hard frost"  # degrees C from which hoses burst
    DRUNK = "drunk"  # litres that plants drew; high: over so many days
    RAINED = "rained"  # litres that rain brought; low: 0 where none reaches the place, else 1
    DRY_BY = "dry by"  # litres that are missing; high: that may be, without harm
    RAIN_TO_COME = "rain to come"  # litres that the rain to come brings
    UNKNOWN_RAIN = "unknown rain"  # days whose rain is not known and was counted as none
    CALLED = "called"  # an organiser's own figure stands in place of a forecast; the value means nothing


@dataclass(frozen=True, slots=True)
class Step:
    """One step: its value (unit by code: degrees C, m/s or a share of 1), its range, and the key of its source."""

    code: StepCode
    value: float | None
    low: float | None
    high: float | None
    source: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """A temperature that is not known exactly, degrees C.

    Normal with `mean_c` and `sd_c`; or, when `samples` is given (members of an ensemble, points of a stated range),
    an equal mixture of normals about each sample with `sd_c` (kernel dressing: Roulston & Smith 2003,
    Tellus A 55:16-30, doi:10.3402/tellusa.v55i1.12082). `mean_c` is then the mean of the samples.
    """

    mean_c: float
    sd_c: float
    samples: tuple[float, ...] = ()

    def below(self, threshold_c: float) -> float:
        """P(temperature < threshold_c), 0-1."""
        centres = self.samples or (self.mean_c,)
        if self.sd_c <= 0.0:
            return sum(centre < threshold_c for centre in centres) / len(centres)
        scale = self.sd_c * _SQRT2
        return sum(0.5 * math.erfc((centre - threshold_c) / scale) for centre in centres) / len(centres)

    def quantile(self, share: float) -> float:
        """The temperature below which it falls with probability `share`, 0 < share < 1."""
        if not self.samples:
            return self.mean_c + self.sd_c * _STANDARD.inv_cdf(share)
        low = min(self.samples) - 6.0 * self.sd_c - 1e-6
        high = max(self.samples) + 6.0 * self.sd_c + 1e-6
        while high - low > 1e-4:
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self.below(middle) < share else (low, middle)
        return 0.5 * (low + high)

    def band(self, share: float = 0.9) -> tuple[float, float]:
        """The central range that holds `share` of the odds."""
        tail = 0.5 * (1.0 - share)
        return self.quantile(tail), self.quantile(1.0 - tail)

    @property
    def total_sd_c(self) -> float:
        """Standard deviation of the whole, samples included."""
        if not self.samples:
            return self.sd_c
        spread = sum((sample - self.mean_c) ** 2 for sample in self.samples) / len(self.samples)
        return math.sqrt(self.sd_c**2 + spread)

    def shifted(self, by_c: float) -> Estimate:
        """The same, warmer by `by_c`."""
        return replace(self, mean_c=self.mean_c + by_c, samples=tuple(sample + by_c for sample in self.samples))

    def widened(self, sd_c: float) -> Estimate:
        """The same with an independent error of `sd_c` added."""
        return replace(self, sd_c=math.hypot(self.sd_c, sd_c))

    def ranged(self, low_c: float, high_c: float) -> Estimate:
        """Warmer by something between low_c and high_c, each value of the range as likely as another.

        The range is kept as samples, not folded into the sd: so a range that is nowhere negative can never raise the
        odds of cold, at any threshold.
        """
        if low_c == high_c:
            return self.shifted(low_c)
        rises = tuple(low_c + (high_c - low_c) * point for point in _RANGE_POINTS)
        samples = tuple(centre + rise for centre in self.samples or (self.mean_c,) for rise in rises)
        return Estimate(self.mean_c + 0.5 * (low_c + high_c), self.sd_c, samples)


def cost_loss_ratio(cost_h: float, loss_h: float) -> float:
    """The odds above which acting pays: cost over loss, both in hours of members' work, clipped to 0.05-0.5.

    Murphy 1977, Mon. Wea. Rev. 105:803-816, doi:10.1175/1520-0493(1977)105<0803:TVOCCA>2.0.CO;2.
    The clip is common practice, no source: below 1 in 20 nobody listens; at evens it is always worth saying.
    """
    if loss_h <= 0.0:
        return _GREATEST_RATIO
    return min(max(cost_h / loss_h, _LEAST_RATIO), _GREATEST_RATIO)


def pays(odds: float, ratio: float, *, called: bool) -> bool:
    """Whether acting pays at these odds; where people have been called already, whether it still does."""
    return odds > ratio * (RELEASE if called else 1.0)
