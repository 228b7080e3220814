"""The garden's odds of a last spring and a first autumn frost, from the daily minima of past years.

Days of the year are counted without 29 February (it counts as 28 February), so that a date is the same day in every
year. South of the equator the halves are shifted by six months: spring is July to December, autumn January to June.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from bot.core.growing.crop import MonthDay

LEAST_YEARS = 10
_LEAST_KNOWN = 0.95
_PLAIN_YEAR = 2001  # any year without 29 February


class ClimateError(ValueError):
    """There is too little to tell odds from. The text says how much there is and how much is needed."""


class Half(StrEnum):
    SPRING = "last spring frost"
    AUTUMN = "first autumn frost"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A half-year with more than one day in twenty missing."""

    year: int
    half: Half
    missing: int
    expected: int


@dataclass(frozen=True, slots=True)
class Frosts:
    """One half-year's odds.

    days: the frost's day in each year that had one, as a plain day of the year (1-365), ascending. years: all years
    counted. without: those that had none: in spring frost was already past, in autumn it never came.
    """

    half: Half
    days: tuple[int, ...]
    years: tuple[int, ...]
    without: int

    @property
    def share_without(self) -> float:
        return self.without / len(self.years)

    def by(self, share: float) -> MonthDay | None:
        """The day by which that share of years has had its frost; None outside the plotting positions or never reached.

        Weibull positions r/(n+1) (Weibull 1939; Makkonen 2006, doi:10.1175/JAM2349.1), linear between.
        """
        first, last = (1 + self.without, len(self.years)) if self.half is Half.SPRING else (1, len(self.days))
        rank = share * (len(self.years) + 1)
        nearest = round(rank)
        rank = float(nearest) if abs(rank - nearest) < 1e-9 else rank
        if not self.days or not first <= rank <= last:
            return None
        position = rank - first
        low = int(position)
        high = min(low + 1, len(self.days) - 1)
        return _month_day(round(self.days[low] + (position - low) * (self.days[high] - self.days[low])))

    def after(self, on: date) -> float:
        """The odds that a year still has its frost after this day, by Laplace's rule of succession: never quite 0 or 1."""
        later = sum(day > _plain_day(on) for day in self.days)
        return (later + 1) / (len(self.years) + 2)


@dataclass(frozen=True, slots=True)
class Climate:
    """threshold_c: a frost is a minimum below it. left_out: half-years that were too gappy to count."""

    threshold_c: float
    last_spring: Frosts
    first_autumn: Frosts
    left_out: tuple[LeftOut, ...]


def climate(minima_c: Mapping[date, float], threshold_c: float = 0.0, *, southern: bool = False) -> Climate:
    """Frost odds from daily minima by date, degrees C. ClimateError with fewer than ten years in either half."""
    left_out: list[LeftOut] = []
    spring = _frosts(minima_c, threshold_c, Half.SPRING, southern, left_out)
    autumn = _frosts(minima_c, threshold_c, Half.AUTUMN, southern, left_out)
    return Climate(threshold_c, spring, autumn, tuple(sorted(left_out, key=lambda gap: (gap.year, gap.half))))


def shifted(minima_c: Mapping[date, float], by_c: float) -> dict[date, float]:
    """The same minima moved to the site by what its thermometer has taught."""
    return {on: low_c + by_c for on, low_c in minima_c.items()}


def safe_on(found: Climate, odds: float, year: int, coming_c: Iterable[tuple[date, float]] = ()) -> date | None:
    """The first day of that year after which a frost is at most as likely as `odds`; None where the years cannot say.

    coming_c: (morning, odds of frost) of the nights in the forecast at hand. A night likelier to freeze than `odds`
    puts the day off until after it; a mild forecast brings nothing forward, for it ends before the season does.
    """
    frosts = found.last_spring
    if frosts.share_without >= 1.0 - odds and not frosts.days:
        usual = date(year, 1, 1)
    else:
        reached = frosts.by(1.0 - odds)
        if reached is None:
            return None
        usual = date(year, *reached) + timedelta(days=1)
    cold = [on + timedelta(days=1) for on, likely in coming_c if likely > odds]
    return max([usual, *cold])


def _frosts(
    minima_c: Mapping[date, float], threshold_c: float, half: Half, southern: bool, left_out: list[LeftOut]
) -> Frosts:
    years, days = [], []
    for year in sorted({on.year for on in minima_c}):
        wanted = _days_of(year, half, southern)
        known = [on for on in wanted if on in minima_c]
        if len(known) < _LEAST_KNOWN * len(wanted):
            left_out.append(LeftOut(year, half, len(wanted) - len(known), len(wanted)))
            continue
        years.append(year)
        cold = [on for on in known if minima_c[on] < threshold_c]
        if cold:
            days.append(_plain_day(cold[-1] if half is Half.SPRING else cold[0]))
    if len(years) < LEAST_YEARS:
        raise ClimateError(
            f"{half}: {len(years)} usable years, at least {LEAST_YEARS} are needed; give a longer series"
        )
    return Frosts(half, tuple(sorted(days)), tuple(years), len(years) - len(days))


def _days_of(year: int, half: Half, southern: bool) -> Sequence[date]:
    first_half = (half is Half.SPRING) is not southern
    start_on, end_on = (date(year, 1, 1), date(year, 7, 1)) if first_half else (date(year, 7, 1), date(year + 1, 1, 1))
    return [start_on + timedelta(days=index) for index in range((end_on - start_on).days)]


def _plain_day(on: date) -> int:
    day = 28 if (on.month, on.day) == (2, 29) else on.day
    return date(_PLAIN_YEAR, on.month, day).timetuple().tm_yday


def _month_day(plain_day: int) -> MonthDay:
    on = date(_PLAIN_YEAR, 1, 1) + timedelta(days=plain_day - 1)
    return on.month, on.day
