"""Which families a bed has carried, and whether one comes back too soon."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bot.core.growing.crop import Crop

__all__ = ["Grown", "barred_families", "repeat"]


@dataclass(frozen=True, slots=True)
class Grown:
    """A crop that a bed carried in a year."""

    crop: str
    family: str
    year: int


def repeat(crop: Crop, history: Iterable[Grown], year: int) -> Grown | None:
    """The latest crop of the same family within the crop's years of rest, None when the bed is free for it.

    With three years of rest, a family grown in 2023 may return in 2027: years between count whole.
    """
    near = [one for one in history if one.family == crop.family and 0 < year - one.year <= crop.rotation_years]
    return max(near, key=lambda one: one.year, default=None)


def barred_families(crops: Iterable[Crop], history: Iterable[Grown], year: int) -> frozenset[str]:
    """Families that a bed should not carry this year; for choosing what fills a gap."""
    grown = tuple(history)
    return frozenset(crop.family for crop in crops if repeat(crop, grown, year))
