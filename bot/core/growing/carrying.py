"""Days of a crop rule carried from lowland Britain, for which they are written, to the nights of another place.

What is done there on a day whose mean night minimum is so many degrees is done here when the nights have become as
warm in spring, or as cool in autumn. Between 3 and 9 degrees C the night tells the season. In spring the soil goes by
the days as well: what frost does not kill, and tubers that the soil covers, wait for the mean of day and night too,
where it is known, between 6 and 13 degrees C. Summer between is stretched or drawn together from end to end; days in
winter keep their distance to the nearer end of it, and are drawn together where winter is shorter. Raised plants are
sown as many days earlier or later as they are planted out, and what ripens before autumn ripens as much later as it
begins or flowers. That equal nights and equal means make equal seasons is an engineering rule, held against published
calendars (docs/calendar.md says how well).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from bot.core.growing.crop import Crop, DayRange, Days, Hardiness, Life, MonthDay, Start

#: Mean daily minimum of each month, Cambridge NIAB, 1991-2020: means of the monthly tmin of the Met Office's historic
#: station data (Open Government Licence v3; read 2026-11-25).
REFERENCE_C = (1.9, 1.8, 3.1, 4.7, 7.4, 10.5, 12.6, 12.6, 10.5, 7.9, 4.5, 2.2)
#: Mean daily maximum of each month there: the tmax of the same data (read 2026-11-27).
REFERENCE_HIGH_C = (7.7, 8.3, 11.0, 14.1, 17.4, 20.4, 23.1, 22.9, 19.6, 15.1, 10.7, 8.0)

_LOW_C, _HIGH_C, _STEP_C = 3.0, 9.0, 0.5
_LOW_MEAN_C, _HIGH_MEAN_C = 6.0, 13.0  # about the means there when the nights are 3 and 9
_FROM_COLDEST_C = 0.5  # the night that begins spring is so much warmer than the coldest month's: engineering estimate
_LEAST_SPAN_C = 2.0  # less between spring's first and last night tells no season apart
_MILDEST_C = 5.5  # above this in its coldest month the year has no winter as these rules know it: engineering estimate
_MIDDLE_OF_SPRING = (4, 15)
_ALL_YEAR = ((1, 1), (12, 31))
_TROPIC_DEG = 23.44
_YEAR_N = 365
_PLAIN_YEAR = 2001  # without 29 February
_MIDDLES = tuple((date(_PLAIN_YEAR, month, 15) - date(_PLAIN_YEAR, 1, 1)).days for month in range(1, 13))


@dataclass(frozen=True, slots=True)
class Carrier:
    """Days of lowland Britain (`there`, counted from 1 January, ascending) and the days here that are like them.

    spring_n: so many of them are in spring; half, if not said. cold_soil: winter chills the soil, so that tubers wait.
    """

    there: tuple[float, ...]
    here: tuple[float, ...]
    spring_n: int | None = None
    cold_soil: bool = True

    def day(self, day: MonthDay) -> MonthDay:
        """The day here that is like that one."""
        return _month_day(self.carry(_count(day)))

    def days(self, day: MonthDay) -> int:
        """How many days later it is here, less than 0 for earlier."""
        count = _count(day)
        return round(self.carry(count) - count)

    def is_summer_there(self, count: float) -> bool:
        """Whether a day, counted from 1 January, lies between spring's first night and autumn's first there."""
        return self.there[0] <= count < self.there[self._autumn]

    def is_summer_here(self, count: float) -> bool:
        """The same of a day here."""
        return self.here[0] <= count < self.here[self._autumn]

    def carry(self, count: float) -> float:
        """The day here, counted like `count` from 1 January of a year; past its end it is one of the next."""
        years, count = divmod(count, _YEAR_N)
        return years * _YEAR_N + self._within_year(count)

    @property
    def _autumn(self) -> int:
        return len(self.there) // 2 if self.spring_n is None else self.spring_n

    def _within_year(self, count: float) -> float:
        place = bisect_right(self.there, count)
        if place == 0:
            return _winter(count, self.there[-1] - _YEAR_N, self.here[-1] - _YEAR_N, self.there[0], self.here[0])
        if place == len(self.there):
            return _winter(count, self.there[-1], self.here[-1], self.there[0] + _YEAR_N, self.here[0] + _YEAR_N)
        low, high = self.there[place - 1], self.there[place]
        share = (count - low) / (high - low)
        return self.here[place - 1] + share * (self.here[place] - self.here[place - 1])


def carrier(monthly_c: Sequence[float], *, southern: bool = False) -> Carrier | None:
    """From the mean night minimum of each month, January first, degrees C; of a southern place its year is turned round.

    None where the year has no winter or no summer as the rules know them.
    """
    own = _northern(monthly_c, southern=southern)
    nights = _degrees(REFERENCE_C, own, _LOW_C, _HIGH_C)
    if min(own) > _MILDEST_C or not nights:
        return None
    there, here = _crossings(REFERENCE_C, nights), _crossings(own, nights)
    return Carrier(there, here) if _rising(there) and _rising(here) else None


def warmed(nights: Carrier, monthly_c: Sequence[float], highs_c: Sequence[float], *, southern: bool = False) -> Carrier:
    """The same, but in spring not before the mean of day and night says so: for what grows or flowers with the days.

    monthly_c, highs_c: mean daily minimum and maximum of each month, as `carrier` takes them. Where the means tell no
    seasons apart it is `nights`; where no month is too cold for them, the soil never is.
    """
    reference = [(low + high) / 2 for low, high in zip(REFERENCE_C, REFERENCE_HIGH_C, strict=True)]
    own = _northern([(low + high) / 2 for low, high in zip(monthly_c, highs_c, strict=True)], southern=southern)
    means = _degrees(reference, own, _LOW_MEAN_C, _HIGH_MEAN_C)
    if not means:
        return nights
    autumn = len(nights.there) // 2
    ends = nights.there[autumn:], nights.here[autumn:]
    there, here = _crossings(reference, means)[: len(means)], _crossings(own, means)[: len(means)]
    if not _rising(there + ends[0]) or not _rising(here + ends[1]):
        return nights
    by_means = Carrier(there + ends[0], here + ends[1], len(means))
    spring = sorted({*nights.there[:autumn], *there})
    later = [max(nights.carry(count), by_means.carry(count)) for count in spring]
    return Carrier((*spring, *ends[0]), (*later, *ends[1]), len(spring), cold_soil=min(own) < _LOW_MEAN_C)


def carried(crop: Crop, to: Carrier, warmth: Carrier | None = None) -> Crop:
    """The rule with its days as they are there. The rule is the northern one: `seasons.turned` comes after.

    warmth: by the means of day and night (`warmed`), for what they tell; None where they are not known.
    """
    if warmth is not None and (
        crop.hardiness is not Hardiness.TENDER or (crop.sowing.start is Start.TUBER and warmth.cold_soil)
    ):
        to = warmth
    sowing, planting, cold, harvest = crop.sowing, crop.planting, crop.cold, crop.harvest
    start = planting.out or sowing.outdoors
    before = to.days(start[0]) if start is not None else 0

    def shifted(window: DayRange | None) -> DayRange | None:
        return _moved(window, before) if window is not None and start is not None else _span(to, window)

    return replace(
        crop,
        days=Days.CARRIED,
        winter=_of(to, crop.winter),
        sowing=replace(
            sowing,
            indoors=shifted(sowing.indoors),
            under_cover=shifted(sowing.under_cover),
            outdoors=_span(to, sowing.outdoors),
            autumn=_span(to, sowing.autumn),
            chit=shifted(sowing.chit),
        ),
        planting=replace(planting, out=_span(to, planting.out)),
        cold=replace(cold, shoots=_span(to, cold.shoots)),
        harvest=replace(harvest, window=_harvest(crop, to), flowering=_span(to, harvest.flowering)),
        watch=tuple(replace(time, season=_of(to, time.season)) for time in crop.watch),
    )


def is_tropical(latitude: float) -> bool:
    """Whether it lies between the tropics (23.44 degrees: the tilt of the earth's axis), where no frost ends a season."""
    return abs(latitude) < _TROPIC_DEG


def is_written_for(latitude: float, longitude: float) -> bool:
    """Whether it lies about where the rules' days are written for: Britain south of 54.5 degrees, by a plain box."""
    return 49.9 <= latitude <= 54.5 and -6.0 <= longitude <= 1.8


def dayless(crop: Crop) -> Crop:
    """The rule for a place whose year these rules do not know: no day to sow is named, none is ruled out."""
    sowing, planting, harvest = crop.sowing, crop.planting, crop.harvest
    return replace(
        crop,
        days=Days.UNKNOWN,
        sowing=replace(sowing, indoors=None, under_cover=None, outdoors=None, autumn=None, chit=None),
        planting=replace(planting, out=_ALL_YEAR if planting.out is not None else None),
        harvest=replace(harvest, window=_ALL_YEAR),
        watch=tuple(replace(time, season=_ALL_YEAR) for time in crop.watch),
    )


def _harvest(crop: Crop, to: Carrier) -> DayRange:
    """The season of harvest: in spring and summer as much later as the crop begins or flowers, then by the nights."""
    window, flowering = crop.harvest.window, crop.harvest.flowering
    start = flowering or crop.planting.out or crop.sowing.outdoors
    begins = start[0] if start is not None else window[0]
    if crop.life is Life.PERENNIAL and flowering is None:
        begins = window[0]
    elif _count(begins) > _count(window[0]):
        begins = _MIDDLE_OF_SPRING  # it has stood the winter, and grows on from then
    first, length = _count(window[0]), (_count(window[1]) - _count(window[0])) % _YEAR_N
    later, last = to.days(begins), first + length
    opens = first + later if to.is_summer_there(first) else to.carry(first)
    closes = last + later if to.is_summer_there(last) and to.is_summer_here(last + later) else to.carry(last)
    return _month_day(opens), _month_day(max(closes, opens + length / 2))


def _span(to: Carrier, window: DayRange | None) -> DayRange | None:
    return _of(to, window) if window is not None else None


def _of(to: Carrier, window: DayRange) -> DayRange:
    return to.day(window[0]), to.day(window[1])


def _moved(window: DayRange, days: int) -> DayRange:
    return _month_day(_count(window[0]) + days), _month_day(_count(window[1]) + days)


def _winter(count: float, autumn: float, autumn_here: float, spring: float, spring_here: float) -> float:
    """A day between the end of autumn and the beginning of spring, counted on over the new year."""
    length, own = spring - autumn, spring_here - autumn_here
    if own < length:
        return autumn_here + (count - autumn) * own / length
    after, before = count - autumn, spring - count
    return autumn_here + after if after < before else spring_here - before


def _northern(monthly_c: Sequence[float], *, southern: bool) -> tuple[float, ...]:
    return tuple(monthly_c[6:]) + tuple(monthly_c[:6]) if southern else tuple(monthly_c)


def _degrees(reference_c: Sequence[float], own_c: Sequence[float], low_c: float, high_c: float) -> list[float]:
    """The degrees between which both years tell their seasons, ascending; empty where they do not."""
    low = max(low_c, min(own_c) + _FROM_COLDEST_C, min(reference_c) + _FROM_COLDEST_C)
    high = min(high_c, max(own_c) - _FROM_COLDEST_C)
    if high - low < _LEAST_SPAN_C:
        return []
    steps = int((high - low) / _STEP_C)
    return [low + number * (high - low) / steps for number in range(steps + 1)]


def _crossings(monthly_c: Sequence[float], nights_c: Sequence[float]) -> tuple[float, ...]:
    """The days on which the nights become as warm as each of these, and then as cool as each, ascending."""
    coldest, warmest = monthly_c.index(min(monthly_c)), monthly_c.index(max(monthly_c))
    up = [_crossing(monthly_c, coldest, warmest, night) for night in nights_c]
    down = [_crossing([-c for c in monthly_c], warmest, coldest, -night) for night in reversed(nights_c)]
    later = [day + _YEAR_N if day < up[-1] else day for day in down]
    return (*up, *later)


def _crossing(monthly_c: Sequence[float], start: int, end: int, night_c: float) -> float:
    """The last day, from the middle of one month to that of another, on which it rises past `night_c`, straight between
    the months' middles; the month before the year's end runs on into the next year."""
    months = list(range(start, end + 1 if end > start else end + 13))
    found = float(_MIDDLES[start % 12])
    for one, other in pairwise(months):
        low, high = monthly_c[one % 12], monthly_c[other % 12]
        if low <= night_c < high:
            first = _MIDDLES[one % 12] + _YEAR_N * (one // 12)
            last = _MIDDLES[other % 12] + _YEAR_N * (other // 12)
            found = first + (night_c - low) / (high - low) * (last - first)
    return found


def _rising(days: Sequence[float]) -> bool:
    return all(one < other for one, other in pairwise(days))


def _count(day: MonthDay) -> int:
    month, number = day
    return (date(_PLAIN_YEAR, month, min(number, 28) if month == 2 else number) - date(_PLAIN_YEAR, 1, 1)).days


def _month_day(count: float) -> MonthDay:
    on = date(_PLAIN_YEAR, 1, 1) + timedelta(days=round(count) % _YEAR_N)
    return on.month, on.day
