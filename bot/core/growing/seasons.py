"""Windows of the trade's year: (month, day) pairs laid on real dates, over the new year where they run so.

A crop rule turned round for the southern half: every day of the year comes six months later.

What the north does in April the south does in October. No window is carried to another climate by this.
"""

from __future__ import annotations

import calendar
from dataclasses import replace
from datetime import date, timedelta

from bot.core.growing.crop import Crop, DayRange, MonthDay

_JULY = 7  # the depth of the southern winter, as January of the northern


def growing_year(on: date, *, south: bool) -> int:
    """The year whose season the day belongs to; south of the equator the one in which that season begins, in July."""
    return on.year - 1 if south and on.month < _JULY else on.year


def growing_days(year: int, *, south: bool) -> tuple[date, date]:
    """The first and the last day of that year's season."""
    return (
        (date(year, _JULY, 1), date(year + 1, _JULY, 1) - timedelta(days=1))
        if south
        else (date(year, 1, 1), date(year, 12, 31))
    )


def growing_name(year: int, *, south: bool) -> str:
    """2026, and south of the equator 2026/27."""
    return f"{year}/{(year + 1) % 100:02}" if south else str(year)


def on_day(year: int, day: MonthDay) -> date:
    """That day of that year; 29 February becomes 28 where there is none."""
    month, number = day
    return date(year, month, min(number, calendar.monthrange(year, month)[1]))


def in_window(on: date, window: DayRange) -> bool:
    """Whether the day lies in the window, both ends included."""
    first, last = window
    day = (on.month, on.day)
    return first <= day <= last if first <= last else day >= first or day <= last


def next_in_window(on: date, window: DayRange) -> date:
    """The first day from `on` that lies in the window."""
    if in_window(on, window):
        return on
    opens = on_day(on.year, window[0])
    return opens if opens >= on else on_day(on.year + 1, window[0])


def closes_on(on: date, window: DayRange) -> date:
    """The last day of the window that `on` lies in, else of the next one."""
    inside = next_in_window(on, window)
    closes = on_day(inside.year, window[1])
    return closes if closes >= inside else on_day(inside.year + 1, window[1])


def days_left(on: date, window: DayRange) -> int:
    """Days from `on` to the window's end when inside it; 0 outside."""
    return (closes_on(on, window) - on) // timedelta(days=1) if in_window(on, window) else 0


def harvest_days(crop: Crop, started_on: date) -> tuple[int, int]:
    """(least, most) days from a start on that day to the first harvest: what stands the winter takes its own."""
    autumn, harvest = crop.sowing.autumn, crop.harvest
    if autumn is not None and harvest.autumn_days is not None and in_window(started_on, autumn):
        return harvest.autumn_days
    return harvest.days


_HALF_YEAR = 6  # months
_PLAIN_YEAR = 2001  # a window never ends on 29 February


def turned(crop: Crop) -> Crop:
    """The rule for a garden south of the equator. Turned twice it is, to a day or two of a month's end, itself again."""
    sowing, cold, harvest = crop.sowing, crop.cold, crop.harvest
    return replace(
        crop,
        south=not crop.south,
        winter=_turned(crop.winter),
        sowing=replace(
            sowing,
            indoors=_opt(sowing.indoors),
            under_cover=_opt(sowing.under_cover),
            outdoors=_opt(sowing.outdoors),
            autumn=_opt(sowing.autumn),
            chit=_opt(sowing.chit),
        ),
        planting=replace(crop.planting, out=_opt(crop.planting.out)),
        cold=replace(cold, shoots=_opt(cold.shoots)),
        harvest=replace(harvest, window=_turned(harvest.window), flowering=_opt(harvest.flowering)),
        watch=tuple(replace(time, season=_turned(time.season)) for time in crop.watch),
    )


def _opt(window: DayRange | None) -> DayRange | None:
    return _turned(window) if window is not None else None


def _turned(window: DayRange) -> DayRange:
    first, last = window
    return _later(first), _later(last)


def _later(day: MonthDay) -> MonthDay:
    month, number = day
    there = (month - 1 + _HALF_YEAR) % 12 + 1
    return there, min(number, calendar.monthrange(_PLAIN_YEAR, there)[1])
