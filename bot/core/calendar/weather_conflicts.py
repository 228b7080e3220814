"""When the forecast contradicts the calendar: planting out before a night that kills, work in wind or thunder."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from bot.core.calendar.entry import Entry, EntryKind, Occurrence, occurrences
from bot.core.garden.snapshot import Cover, PlaceKind
from bot.core.growing.crop import Crop, Hardiness
from bot.core.growing.hardiness import HARDY_MARGIN_C
from bot.core.growing.outdoors import RISK, Advice, Verdict
from bot.core.warnings.safety import Limits, Unsafe, overlaps, reaches, unsafe_outdoor_hours
from bot.core.weather.cold import at_plant
from bot.core.weather.forecast import Forecast
from bot.core.weather.night import Night

_DAY = timedelta(days=1)
_WORKING = (time(9), time(17))  # when a work day without hours is at work: common practice, no source


class Trouble(StrEnum):
    COLD_NIGHT = "cold night"
    NOT_YET = "not yet"  # the advice for a batch that waits is to keep it in
    GUST = "gust"
    THUNDER = "thunder"


@dataclass(frozen=True, slots=True)
class Sky:
    """What is known of the coming days. ratio: odds of damage from which planting out is advised against, 0-1.

    limits: the garden's own, for outdoor work.
    """

    today: date
    zone: ZoneInfo
    nights: tuple[Night, ...]
    forecast: Forecast | None = None
    advice: tuple[Advice, ...] = ()
    ratio: float = RISK
    limits: Limits = field(default_factory=Limits)


@dataclass(frozen=True, slots=True)
class Contradiction:
    """One time of an entry that the weather speaks against, and from when it would do; None when no day is known.

    odds: of damage in the worst night (COLD_NIGHT). on: that night's evening, or the day of wind or thunder.
    """

    occurrence: Occurrence
    trouble: Trouble
    new_first_on: date | None
    on: date | None = None
    odds: float | None = None

    @property
    def key(self) -> str:
        """The same for the same advice, so that it is given once."""
        new = self.new_first_on.isoformat() if self.new_first_on else "unknown"
        return f"{self.occurrence.key}:{self.trouble}:{new}"


def contradictions(entries: Iterable[Entry], crops: Mapping[str, Crop], sky: Sky) -> tuple[Contradiction, ...]:
    """Of the times that begin within the forecast, and are not over, those that it speaks against."""
    ends_on = sky.nights[-1].evening_on if sky.nights else sky.today
    coming = occurrences(entries, sky.today, ends_on)
    return tuple(found for one in coming if (found := _cold(one, crops, sky) or _wild(one, sky)) is not None)


def _cold(one: Occurrence, crops: Mapping[str, Crop], sky: Sky) -> Contradiction | None:
    crop = crops.get(one.entry.crop or "")
    if one.entry.kind is not EntryKind.PLANT_OUT or crop is None:
        return None
    waiting = [advice for advice in sky.advice if advice.crop == crop.key and advice.verdict is not Verdict.PLANT_OUT]
    safe = max((advice.safe_on for advice in waiting if advice.safe_on), default=None)
    risky = [(odds, night.evening_on) for odds, night in _odds(crop, sky) if odds > sky.ratio]
    # A plant set out on any of its days stands out from then on: nights before the last risky one count all.
    after = [(odds, on) for odds, on in risky if on >= one.first_on]
    if after:
        odds, worst_on = max(after)
        free_on = max(on for _, on in after) + _DAY
        return Contradiction(one, Trouble.COLD_NIGHT, max(free_on, safe or free_on), worst_on, odds)
    if waiting and (safe is None or safe > one.last_on):
        return Contradiction(one, Trouble.NOT_YET, safe)
    return None


def _odds(crop: Crop, sky: Sky) -> Iterator[tuple[float, Night]]:
    damage_c = crop.cold.hardened_c - (HARDY_MARGIN_C if crop.hardiness is Hardiness.HARDY else 0.0)
    for night in sky.nights:
        yield at_plant(night, PlaceKind.BED, Cover.NONE, in_pot=False).below(damage_c), night


def _wild(one: Occurrence, sky: Sky) -> Contradiction | None:
    """Wind or thunder at the hours of outdoor work: no outdoor duty overlaps such an hour (bot.core.warnings.safety)."""
    entry = one.entry
    timed = entry.starts is not None and entry.kind is not EntryKind.OTHER
    if sky.forecast is None or not (timed or (entry.kind is EntryKind.WORK and one.first_on == one.last_on)):
        return None
    unsafe = unsafe_outdoor_hours(sky.forecast, sky.limits)
    reasons = {reason for hour in overlaps(unsafe, *_hours(one, one.first_on, sky.zone)) for reason in hour.reasons}
    if not reasons & {Unsafe.GUST, Unsafe.THUNDER}:
        return None
    trouble = Trouble.THUNDER if Unsafe.THUNDER in reasons else Trouble.GUST
    coming = (one.first_on + _DAY * n for n in range(1, 15))
    stretches = ((day, _hours(one, day, sky.zone)) for day in coming)
    calm = (day for day, hours in stretches if reaches(sky.forecast, *hours) and not overlaps(unsafe, *hours))
    return Contradiction(one, trouble, next(calm, None), one.first_on)


def _hours(one: Occurrence, on: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The hours of work, on that day, aware; an hour where nobody said when it ends: common practice, no source."""
    if one.entry.starts is None:
        return datetime.combine(on, _WORKING[0], zone), datetime.combine(on, _WORKING[1], zone)
    start, end = Occurrence(one.entry, on, on + (one.last_on - one.first_on)).bounds(zone)
    return start, max(end, start + timedelta(hours=1))
