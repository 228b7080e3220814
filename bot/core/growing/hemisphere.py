"""A crop rule turned round for the southern half: every day of the year comes six months later.

What the north does in April the south does in October. No window is carried to another climate by this.
"""

from __future__ import annotations

import calendar
from dataclasses import replace

from bot.core.growing.crop import Crop, DayRange, MonthDay

__all__ = ["turned"]

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
