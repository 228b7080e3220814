"""How a night cools between sunset and sunrise, and so for how long it is below a threshold."""

from __future__ import annotations

import math

__all__ = ["course_c", "hours_below_course"]

_START_H = 2.0


def course_c(start_c: float, minimum_c: float, hours_after_sunset: float, night_h: float) -> float:
    """Temperature at a moment of the night, degrees C.

    T(i) = T2 + (Tn - T2) * sqrt((i - 2) / (n - 2)), i hours after sunset, n hours from sunset to sunrise, T2 two hours
    after sunset, Tn the minimum at sunrise (Snyder & de Melo-Abreu 2005, FAO ENRS 10, ch. 5). Valid for radiation
    nights from 2 h after sunset to sunrise; held at T2 before and at Tn after. A night that does not cool holds Tn.
    """
    if night_h <= _START_H or start_c <= minimum_c:
        return minimum_c
    share = min(max((hours_after_sunset - _START_H) / (night_h - _START_H), 0.0), 1.0)
    return start_c + (minimum_c - start_c) * math.sqrt(share)


def hours_below_course(start_c: float, minimum_c: float, night_h: float, threshold_c: float) -> float:
    """Hours between sunset and sunrise during which the course is below threshold_c."""
    if minimum_c >= threshold_c:
        return 0.0
    if night_h <= _START_H or start_c <= threshold_c:
        return max(night_h, 0.0)
    crossed = ((threshold_c - start_c) / (minimum_c - start_c)) ** 2
    return (1.0 - crossed) * (night_h - _START_H)
