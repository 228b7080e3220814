"""Nights out of what a logging thermometer kept: their minima, and what makes them doubtful.

The limits are common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from itertools import pairwise

from bot.core.weather.night import Site
from bot.core.weather.sun import night_bounds

#: Longer without a value, and the coldest moment of a night may have been missed.
_LONGEST_GAP = timedelta(hours=2)
#: The air does not stay the same to a hundredth for a whole day; one value jumps and comes back; the sun on a sensor.
_STILL_FOR, _STILL_C = timedelta(hours=24), 0.01
_JUMP_C, _JUMP_WITHIN = 8.0, timedelta(hours=1)
_SUN_C, _SUN_WITHIN, _SUN_DAYS = 8.0, timedelta(minutes=60), 3
_EVENING = time(18)


@dataclass(frozen=True, slots=True)
class Sample:
    """One line: what it showed at that moment, degrees C; or the minimum since it was last set."""

    at: datetime
    value_c: float
    is_minimum: bool = False


class Doubt(StrEnum):
    STILL = "stood still"
    SUN = "stood in the sun"


@dataclass(frozen=True, slots=True)
class LoggedNight:
    """The night after evening_on. read_at: when its minimum was known."""

    evening_on: date
    min_c: float
    read_at: datetime
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class Log:
    """nights: ascending. jumps_n: single values that were left out. gappy_n: nights with too few values to count."""

    nights: tuple[LoggedNight, ...]
    jumps_n: int
    gappy_n: int

    @property
    def doubts(self) -> frozenset[Doubt]:
        return frozenset(night.doubt for night in self.nights if night.doubt is not None)


def read(samples: Iterable[Sample], site: Site) -> Log:
    """The nights in them, in whatever order they come."""
    ordered = sorted(samples, key=lambda one: one.at)
    minima = [one for one in ordered if one.is_minimum]
    course, jumps_n = _without_jumps([one for one in ordered if not one.is_minimum])
    nights = {night.evening_on: night for night in (_of_minimum(one, site) for one in minima)}
    still, gappy_n, times = _still(course), 0, [one.at for one in course]
    for evening_on in _evenings(course, site):
        sunset_at, sunrise_at = _bounds(evening_on, site)
        inside = course[bisect_left(times, sunset_at) : bisect_right(times, sunrise_at)]
        found = _night(inside, evening_on, (sunset_at, sunrise_at), still)
        if found is None:
            gappy_n += 1
        else:
            nights.setdefault(evening_on, found)
    sunny = _is_sunny(course)
    ready = (replace(one, doubt=one.doubt or (Doubt.SUN if sunny else None)) for one in nights.values())
    return Log(tuple(sorted(ready, key=lambda one: one.evening_on)), jumps_n, gappy_n)


def _of_minimum(one: Sample, site: Site) -> LoggedNight:
    """A minimum read in the morning is of the night that has passed."""
    local = one.at.astimezone(site.zone)
    evening_on = local.date() if local.time() >= _EVENING else local.date() - timedelta(days=1)
    return LoggedNight(evening_on, one.value_c, one.at)


def _evenings(course: Sequence[Sample], site: Site) -> list[date]:
    """Those of every night that lies wholly between the first value and the last."""
    if not course:
        return []
    first_on = course[0].at.astimezone(site.zone).date() - timedelta(days=1)
    count_n = (course[-1].at.astimezone(site.zone).date() - first_on).days + 1
    days = (first_on + timedelta(days=n) for n in range(count_n))
    return [on for on in days if _is_within(_bounds(on, site), course)]


def _bounds(evening_on: date, site: Site) -> tuple[datetime, datetime]:
    return night_bounds(evening_on, site.zone, site.latitude, site.longitude)


def _is_within(bounds: tuple[datetime, datetime], course: Sequence[Sample]) -> bool:
    return course[0].at <= bounds[0] + _LONGEST_GAP and course[-1].at >= bounds[1] - _LONGEST_GAP


def _night(
    inside: Sequence[Sample],
    evening_on: date,
    bounds: tuple[datetime, datetime],
    still: Sequence[tuple[datetime, datetime]],
) -> LoggedNight | None:
    sunset_at, sunrise_at = bounds
    moments = [sunset_at, *(one.at for one in inside), sunrise_at]
    if not inside or any(later - at > _LONGEST_GAP for at, later in pairwise(moments)):
        return None
    coldest = min(inside, key=lambda one: one.value_c)
    stood = any(start_at < sunrise_at and end_at > sunset_at for start_at, end_at in still)
    return LoggedNight(evening_on, coldest.value_c, sunrise_at, Doubt.STILL if stood else None)


def _without_jumps(course: Sequence[Sample]) -> tuple[list[Sample], int]:
    """A single value far above or below both its neighbours is left out."""
    kept = list(course[:1])
    for before, one, after in zip(course, course[1:], course[2:], strict=False):
        off = (one.value_c - before.value_c, one.value_c - after.value_c)
        near = after.at - before.at <= 2 * _JUMP_WITHIN
        if not (near and (min(off) > _JUMP_C or max(off) < -_JUMP_C)):
            kept.append(one)
    kept += course[1:][-1:]
    return kept, len(course) - len(kept)


def _still(course: Sequence[Sample]) -> list[tuple[datetime, datetime]]:
    """Stretches in which it showed the same for too long."""
    found: list[tuple[datetime, datetime]] = []
    start = 0
    for index, one in enumerate(course):
        if abs(one.value_c - course[start].value_c) > _STILL_C:
            start = index
        elif one.at - course[start].at >= _STILL_FOR:
            stretch = (course[start].at, one.at)
            found = [*(found[:-1] if found and found[-1][0] == stretch[0] else found), stretch]
    return found


def _is_sunny(course: Sequence[Sample]) -> bool:
    """Whether it warms faster than air does, on several days."""
    days = {
        later.at.date()
        for one, later in pairwise(course)
        if later.at - one.at <= _SUN_WITHIN and later.value_c - one.value_c > _SUN_C
    }
    return len(days) >= _SUN_DAYS
