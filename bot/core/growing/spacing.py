"""How many plants a bed holds, in squares, offset (hexagonal) or in rows.

The rule throughout: half a spacing is left free at each edge, and rows run along the length. Offset rows stand
spacing x sqrt(3)/2 apart, every second row shifted by half a spacing. Plane geometry, no source needed; offset is
not always the fuller, because a shifted row may hold one plant fewer.

Which families a bed has carried, and whether one comes back too soon.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from bot.core.growing.crop import Crop, PlantingOut

INCH_M = 0.0254  # exact by definition
_UNITS_M = {"mm": 0.001, "cm": 0.01, "m": 1.0, "ft": 12 * INCH_M, "'": 12 * INCH_M, "in": INCH_M, '"': INCH_M}
_PART = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(mm|cm|m|ft|in|'|\")")
_ROUNDING = 1e-9  # 1.2 m / 0.1 m is 12, not 11.999...


class Layout(StrEnum):
    SQUARE = "square"
    OFFSET = "offset"
    ROWS = "rows"


@dataclass(frozen=True, slots=True)
class Bed:
    """length_m, width_m: of the ground that is planted; rows run along the length."""

    length_m: float
    width_m: float

    def __post_init__(self) -> None:
        if self.length_m <= 0 or self.width_m <= 0:
            raise ValueError(f"bed is {self.length_m} x {self.width_m} m, expected two lengths above 0")

    def turned(self) -> Bed:
        """The same bed with the rows across it."""
        return Bed(self.width_m, self.length_m)


@dataclass(frozen=True, slots=True)
class Count:
    """stations_n: places to plant at. rows_n: rows. plants_n: plants, more than stations where clumps are set."""

    layout: Layout
    stations_n: int
    rows_n: int
    plants_n: int


def feet_m(feet: float, inches: float = 0) -> float:
    """Feet and inches in metres (1 in = 0.0254 m exactly)."""
    return (12 * feet + inches) * INCH_M


def length_m(text: str) -> float:
    """A written length in metres: "2.4 m", "30cm", "6 ft 3 in", 6'3\". Raises ValueError, naming what it expects."""
    parts, end = [], 0
    while match := _PART.match(text, end):
        parts.append(float(match[1].replace(",", ".")) * _UNITS_M[match[2]])
        end = match.end()
    if not parts or text[end:].strip():
        raise ValueError(f"length is {text!r}, expected a number with mm, cm, m, ft or in")
    return sum(parts)


def square(bed: Bed, spacing_m: float, clump: int = 1) -> Count:
    """The same spacing both ways."""
    return _grid(Layout.SQUARE, bed, spacing_m, spacing_m, clump)


def rows(bed: Bed, in_row_m: float, rows_m: float, clump: int = 1) -> Count:
    """Plants `in_row_m` apart in rows `rows_m` apart."""
    return _grid(Layout.ROWS, bed, in_row_m, rows_m, clump)


def offset(bed: Bed, spacing_m: float, clump: int = 1) -> Count:
    """Each plant `spacing_m` from its six neighbours; floor((W - s) / (s sqrt(3)/2)) + 1 rows."""
    full = _fits(bed.length_m, spacing_m)
    if full == 0 or _fits(bed.width_m, spacing_m) == 0:
        return Count(Layout.OFFSET, 0, 0, 0)
    rows_n = _fits(bed.width_m - spacing_m, spacing_m * math.sqrt(3) / 2) + 1
    shifted = _fits(bed.length_m - spacing_m / 2, spacing_m)
    stations = (rows_n + 1) // 2 * full + rows_n // 2 * shifted
    return Count(Layout.OFFSET, stations, rows_n, stations * clump)


@dataclass(frozen=True, slots=True)
class Apart:
    """What a crop's own distances come to, metres. even_m: both ways, where each plant has the room it has in rows."""

    in_row_m: float
    rows_m: float
    even_m: float


def apart(planting: PlantingOut) -> Apart:
    """A crop set in clumps stands at its clump distance, and its rows are never closer than that."""
    in_row_m = (planting.clump_cm or planting.in_row_cm) / 100
    rows_m = max(planting.rows_cm / 100, in_row_m)
    return Apart(in_row_m, rows_m, math.sqrt(in_row_m * rows_m))


def for_crop(bed: Bed, planting: PlantingOut) -> tuple[Count, Count, Count]:
    """By a crop's own distances: in rows, then square and offset with as much room for each plant as in rows.

    A bed narrower than the distance of rows holds one row along its middle. `plants_n` counts the plants in clumps.
    """
    own, clump = apart(planting), planting.clump
    narrow = Bed(max(bed.length_m, own.in_row_m), max(bed.width_m, own.rows_m))
    wide = Bed(max(bed.length_m, own.even_m), max(bed.width_m, own.even_m))
    return (
        rows(narrow, own.in_row_m, own.rows_m, clump),
        square(wide, own.even_m, clump),
        offset(wide, own.even_m, clump),
    )


def _grid(layout: Layout, bed: Bed, in_row_m: float, rows_m: float, clump: int) -> Count:
    rows_n = _fits(bed.width_m, rows_m)
    stations = _fits(bed.length_m, in_row_m) * rows_n
    return Count(layout, stations, rows_n if stations else 0, stations * clump)


def _fits(space_m: float, apart_m: float) -> int:
    if apart_m <= 0:
        raise ValueError(f"spacing is {apart_m} m, expected more than 0")
    return max(0, math.floor(space_m / apart_m + _ROUNDING))


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
