"""Words for wind. A mean wind has a Beaufort force; a gust has a class of its own, never a Beaufort force.

One table and one rule: the WMO lower limits in m/s, compared without rounding. The tables in knots and mph round
their edges differently, so a value on an edge may differ by one force from a table in those units.
"""

from __future__ import annotations

from bisect import bisect_right
from enum import IntEnum, StrEnum

from bot.core.units import kn_to_ms

__all__ = ["Beaufort", "GustClass", "beaufort", "gust_class"]


class Beaufort(IntEnum):
    """Force by the 10-minute mean wind at 10 m."""

    CALM = 0
    LIGHT_AIR = 1
    LIGHT_BREEZE = 2
    GENTLE_BREEZE = 3
    MODERATE_BREEZE = 4
    FRESH_BREEZE = 5
    STRONG_BREEZE = 6
    NEAR_GALE = 7
    GALE = 8
    STRONG_GALE = 9
    STORM = 10
    VIOLENT_STORM = 11
    HURRICANE_FORCE = 12


class GustClass(StrEnum):
    """Class of a gust in forecast wording."""

    NONE = "below gale"
    GALE = "gale"
    SEVERE_GALE = "severe gale"
    STORM = "storm"
    VIOLENT_STORM = "violent storm"


# WMO scale, lower limits of forces 1 to 12, m/s (read via delta-s.org, 2026-11-25).
_FORCE_FROM_MS = (0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
# Met Office marine glossary, lower limits of gale, severe gale, storm and violent storm gusts (read via two copies).
_GUST_FROM_MS = tuple(kn_to_ms(kn) for kn in (43.0, 52.0, 61.0, 69.0))


def beaufort(mean_ms: float) -> Beaufort:
    """The force of a mean wind of `mean_ms` m/s."""
    return Beaufort(bisect_right(_FORCE_FROM_MS, mean_ms))


def gust_class(gust_ms: float) -> GustClass:
    """The class of a gust of `gust_ms` m/s."""
    return tuple(GustClass)[bisect_right(_GUST_FROM_MS, gust_ms)]
