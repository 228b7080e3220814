"""Which clocks a place may keep: the zones whose chief towns are nearest, from the time zone database's own list.

Offline and small; a border may lie between a place and its nearest town, so an organiser has the last word.
"""

from __future__ import annotations

import math
import re
from functools import cache
from importlib.resources import files
from zoneinfo import available_timezones

from bot.crops.find import fold

__all__ = ["called", "near"]

# ISO 6709: +DDMM+DDDMM or +DDMMSS+DDDMMSS, as zone1970.tab's second column has it.
_PLACE = re.compile(r"([+-])(\d{2})(\d{2})(\d{2})?([+-])(\d{3})(\d{2})(\d{2})?")


def near(latitude: float, longitude: float, count: int = 4) -> list[str]:
    """IANA names, the zone of the nearest chief town first."""

    def distance(town: tuple[str, float, float]) -> float:
        _, north, east = town
        a, b = math.radians(latitude), math.radians(north)
        cosine = math.sin(a) * math.sin(b) + math.cos(a) * math.cos(b) * math.cos(math.radians(longitude - east))
        return math.acos(max(-1.0, min(1.0, cosine)))

    return [name for name, _, _ in sorted(_towns(), key=distance)[:count]]


def called(words: str) -> list[str]:
    """The zones that a town's or zone's name can mean, at most four."""
    wanted = fold(words)
    found = [name for name in sorted(available_timezones()) if wanted in (fold(name), fold(name.rsplit("/", 1)[-1]))]
    return [name for name in found if "/" in name and not name.startswith(("Etc/", "posix/", "right/"))][:4]


@cache
def _towns() -> tuple[tuple[str, float, float], ...]:
    lines = files("tzdata").joinpath("zoneinfo", "zone1970.tab").read_text(encoding="utf-8").splitlines()
    rows = [line.split("\t") for line in lines if line and not line.startswith("#")]
    return tuple((row[2], *_degrees(row[1])) for row in rows)


def _degrees(text: str) -> tuple[float, float]:
    found = _PLACE.fullmatch(text)
    assert found is not None, text
    north, d1, m1, s1, east, d2, m2, s2 = found.groups()
    latitude = int(d1) + int(m1) / 60 + int(s1 or 0) / 3600
    longitude = int(d2) + int(m2) / 60 + int(s2 or 0) / 3600
    return (latitude if north == "+" else -latitude), (longitude if east == "+" else -longitude)
