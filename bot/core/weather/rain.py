"""Heavy rain and dry spells, by published words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from bot.core.weather.days import Day
from bot.core.weather.forecast import Forecast

# Met Office, rain from cloud layers: slight to 0.5, moderate 0.5-4, heavy above 4 mm/h (read via The Independent,
# Weather Wise, 5 January 1998, 2026-11-25). Showers have wider classes (heavy 10-50); the stricter is used for all.
_MODERATE_MM, _HEAVY_MM = 0.5, 4.0
_WET_DAY_MM, _RAIN_DAY_MM, _SPELL_DAYS = 1.0, 0.2, 15


class RainClass(StrEnum):
    NONE = "none"
    SLIGHT = "slight"
    MODERATE = "moderate"
    HEAVY = "heavy"


class Drought(StrEnum):
    """15 days or more, none with 1.0 mm (dry spell) or 0.2 mm (absolute drought): Meteorological Glossary 1963,
    read via xmetman.com, 2026-11-25.
    """

    NONE = "none"
    DRY_SPELL = "dry spell"
    ABSOLUTE = "absolute drought"


@dataclass(frozen=True, slots=True)
class HeavyRain:
    """A stretch of heavy hours, start_at < t <= end_at, what falls in it, and in its worst hour, mm."""

    start_at: datetime
    end_at: datetime
    total_mm: float
    greatest_mm: float


def rain_class(mm_in_hour: float) -> RainClass:
    """The word for what falls in one hour, mm."""
    if mm_in_hour <= 0.0:
        return RainClass.NONE
    if mm_in_hour <= _MODERATE_MM:
        return RainClass.SLIGHT
    return RainClass.MODERATE if mm_in_hour <= _HEAVY_MM else RainClass.HEAVY


def heavy_rain(forecast: Forecast) -> tuple[HeavyRain, ...]:
    """Stretches of hours with heavy rain, ascending. Hours whose rain is not known are not among them."""
    found: list[HeavyRain] = []
    for hour in sorted(forecast.hours, key=lambda hour: hour.at):
        mm = hour.rain_mm
        if mm is None or rain_class(mm) is not RainClass.HEAVY:
            continue
        start_at = hour.at - timedelta(hours=1)
        if found and found[-1].end_at == start_at:
            last = found[-1]
            found[-1] = HeavyRain(last.start_at, hour.at, last.total_mm + mm, max(last.greatest_mm, mm))
        else:
            found.append(HeavyRain(start_at, hour.at, mm, mm))
    return tuple(found)


def dry_days(days: Iterable[Day], below_mm: float = _WET_DAY_MM) -> int:
    """How many days running, up to the last, have less than `below_mm`. A day that is missing or not known ends it."""
    count, later = 0, None
    for day in sorted(days, key=lambda day: day.on, reverse=True):
        if day.rain_mm is None or day.rain_mm >= below_mm or (later and later - day.on != timedelta(days=1)):
            break
        count, later = count + 1, day.on
    return count


def drought(days: Iterable[Day]) -> Drought:
    """The word for the run of dry days that ends with the last day given."""
    known = tuple(days)
    if dry_days(known, _RAIN_DAY_MM) >= _SPELL_DAYS:
        return Drought.ABSOLUTE
    return Drought.DRY_SPELL if dry_days(known) >= _SPELL_DAYS else Drought.NONE
