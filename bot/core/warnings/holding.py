"""What wind asks of a thing and what it holds: shared by supports, covers and pots."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bot.core.weather.odds import Step, StepCode
from bot.core.weather.wind import Terrain, gust_at_height, gust_from_height, pressure_pa, speed_ms

GRAVITY_M_S2 = 9.81


@dataclass(frozen=True, slots=True)
class Holding:
    """A thing in the wind.

    load_per_pa: what 1 Pa of velocity pressure at `height_m` asks of it. resists: what it gives at most, in the same
    unit: a moment about the foot (N m per Pa, N m) for supports and pots, a pull (N per Pa, N) for covers.
    low, high: factors on `resists` within which the truth is thought to lie. source: key of the source of `resists`.
    """

    height_m: float
    load_per_pa: float
    resists: float
    terrain: Terrain
    low: float
    high: float
    source: str

    @property
    def gust_ms(self) -> float:
        """The gust at 10 m, m/s, at which it goes; infinite when the wind finds nothing to push."""
        return self._gust_ms(1.0)

    @property
    def range_ms(self) -> tuple[float, float]:
        """The range of `gust_ms`, from what is not known of its strength."""
        return self._gust_ms(self.low), self._gust_ms(self.high)

    def asked(self, gust_ms: float) -> float:
        """The load in a gust of `gust_ms` at 10 m, in the unit of `resists`."""
        return self.load_per_pa * pressure_pa(gust_at_height(gust_ms, self.height_m, self.terrain))

    def _gust_ms(self, share: float) -> float:
        if self.load_per_pa <= 0.0:
            return math.inf
        return gust_from_height(speed_ms(self.resists * share / self.load_per_pa), self.height_m, self.terrain)


@dataclass(frozen=True, slots=True)
class Need:
    """What to add so that it holds: more ties or guys, pins, or kilograms; or lay it down, when that is too much."""

    ties: int = 0
    pins: int = 0
    weight_kg: float = 0.0
    lay_down: bool = False


def missing(holding: Holding, gust_ms: float) -> float:
    """How much `resists` falls short of a gust of `gust_ms` at 10 m, 0 when it holds."""
    return max(0.0, holding.asked(gust_ms) - holding.resists)


def _share(holding: Holding, gust_ms: float) -> float | None:
    """The load in a gust of `gust_ms` at 10 m as a share of `resists`, 1 where it just goes; None where it resists nothing."""
    return holding.asked(gust_ms) / holding.resists if holding.resists > 0.0 else None


def steps(holding: Holding, gust_ms: float, *, estimated: bool) -> tuple[Step, ...]:
    """How the answer came about, for Why: gust at 10 m, gust at the thing (m/s), the load as a share of what it gives at
    most, and the gust it holds (m/s).
    """
    at_thing_ms = gust_at_height(gust_ms, holding.height_m, holding.terrain)
    gust_source = "mean-wind" if estimated else "forecast"
    return (
        Step(StepCode.GUST, gust_ms, None, None, gust_source),
        Step(StepCode.HEIGHT, at_thing_ms, None, None, "EN 1991-1-4 4.5"),
        Step(StepCode.FORCE, _share(holding, gust_ms), None, None, "q = 0.5 rho v2, rho 1.25 (EN 1991-1-4)"),
        Step(StepCode.HOLDS, holding.gust_ms, *holding.range_ms, holding.source),
    )
