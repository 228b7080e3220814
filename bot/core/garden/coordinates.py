"""Coordinates as people write or paste them, read without a map."""

from __future__ import annotations

import re

_DECIMAL = r"([-+]?\d{1,3}[.,]\d{1,12})"
_PAIR = re.compile(rf"{_DECIMAL}\s*°?\s*([NSEWnsew]?)[\s,;/]+{_DECIMAL}\s*°?\s*([NSEWnsew]?)(?![\w.])")
_DEGREES = re.compile(
    r"""(\d{1,3})\s*°\s*(\d{1,2})\s*['’′]\s*(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:["”″]|''))?\s*([NSEWnsew])"""
)
_NEGATIVE, _EAST_WEST, _BEARINGS = "SW", "EW", 2


def read(text: str) -> tuple[float, float] | None:
    """Latitude and longitude in degrees, north and east positive; None where none are written.

    Decimal degrees, with points or commas, alone or within other words, or degrees, minutes and seconds with bearings.
    Raises ValueError where they are not on the earth.
    """
    sexagesimal = [
        (float(d) + float(m) / 60 + float((s or "0").replace(",", ".")) / 3600, bearing.upper())
        for d, m, s, bearing in _DEGREES.findall(text)
    ]
    if len(sexagesimal) == _BEARINGS:
        return _ordered(*sexagesimal)
    found = _PAIR.search(text)
    if found is None:
        return None
    first, one, second, other = found.groups()
    return _ordered((float(first.replace(",", ".")), one.upper()), (float(second.replace(",", ".")), other.upper()))


def _ordered(first: tuple[float, str], second: tuple[float, str]) -> tuple[float, float]:
    if first[1] and first[1] in _EAST_WEST and second[1] not in _EAST_WEST:
        first, second = second, first
    latitude, longitude = (-value if bearing and bearing in _NEGATIVE else value for value, bearing in (first, second))
    if abs(latitude) > 90 or abs(longitude) > 180:
        raise ValueError(f"coordinates are {latitude:g}, {longitude:g}, expected -90 to 90 and -180 to 180")
    return latitude, longitude
