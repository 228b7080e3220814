"""Hours outside for the coming days while a batch is hardened off."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from bot.core.garden.snapshot import Cover, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.weather.cold import Day, Night, at_plant

__all__ = ["FIRST_H", "PRACTICE_FIRST_H", "Outing", "Why", "hours_outside"]

# First day outside: about an hour (Hennepin County Master Gardeners, Univ. Minnesota, 2014); habit says a couple of
# hours (common practice, no source). The safer is followed; each day outside is an hour longer, up to a working day.
FIRST_H, PRACTICE_FIRST_H, MOST_H = 1, 2, 8
NIGHTS_AFTER_DAYS = 7  # nights out after about a week (Bemidji Master Gardeners), when they are warm enough
# "Not in high wind" (CSU and Iowa State Ext.) gives no number; a fresh breeze's gusts: common practice, no source.
WINDY_MS = 11.0
NIGHT_RISK = 0.1


class Why(StrEnum):
    LONGER = "longer"
    COLD = "cold"  # a day colder than the crop's chilling temperature
    WINDY = "windy"
    UNKNOWN = "unknown"  # the forecast does not reach so far: look before carrying


@dataclass(frozen=True, slots=True)
class Outing:
    """One day: hours outside (0 to stay in), whether also the night, and why.

    value: of the weather that decided, degrees C or m/s.
    """

    on: date
    hours: int
    night: bool
    why: Why
    value: float | None


def hours_outside(
    planting: Planting, crop: Crop, days: Sequence[Day], nights: Sequence[Night], today: date, count_n: int = 7
) -> tuple[Outing, ...]:
    """A plan for `count_n` days from today; a day spent inside does not count towards the next day's hours."""
    return tuple(_plan(planting, crop, days, nights, today, count_n))


def _plan(
    planting: Planting, crop: Crop, days: Sequence[Day], nights: Sequence[Night], today: date, count_n: int
) -> Iterator[Outing]:
    weather, dark = {day.on: day for day in days}, {night.evening_on: night for night in nights}
    started_on = planting.hardening_on if planting.stage is Stage.HARDENING else None
    been_out = max(0, (today - started_on).days) if started_on else 0
    for n in range(count_n):
        on = today + timedelta(days=n)
        why, value = _judge(weather.get(on), crop)
        if why is not Why.LONGER:
            yield Outing(on, 0, False, why, value)
            continue
        hours = min(MOST_H, FIRST_H + been_out)
        been_out += 1
        yield Outing(on, hours, been_out > NIGHTS_AFTER_DAYS and _warm(dark.get(on), crop), why, value)


def _judge(day: Day | None, crop: Crop) -> tuple[Why, float | None]:
    if day is None or day.air_max_c is None or day.gust_max_ms is None:
        return Why.UNKNOWN, None
    if day.air_max_c < crop.cold.chilling_c:
        return Why.COLD, day.air_max_c
    return (Why.WINDY, day.gust_max_ms) if day.gust_max_ms >= WINDY_MS else (Why.LONGER, day.air_max_c)


def _warm(night: Night | None, crop: Crop) -> bool:
    """Whether the batch may stay out: a night unlikely to chill it, where it stands in its pots."""
    if night is None:
        return False
    return at_plant(night, PlaceKind.CONTAINER, Cover.NONE, in_pot=True).below(crop.cold.chilling_c) <= NIGHT_RISK
