"""Windows of the trade's year: (month, day) pairs laid on real dates, over the new year where they run so."""

from __future__ import annotations

import calendar
from datetime import date, timedelta

from bot.core.growing.crop import Crop, DayRange, MonthDay

__all__ = [
    "closes_on",
    "days_left",
    "growing_days",
    "growing_name",
    "growing_year",
    "harvest_days",
    "in_window",
    "next_in_window",
    "on_day",
]

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
