"""The daily work in shared places that goes by turns, thinned by the weather: a day that wants nothing has none of it.

What each rule rests on is said where it stands; see docs/rota.md. A chore is due by day and never in a dangerous hour;
one that no safe time is left for is not asked of anybody.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from bot.core.finding import Finding, Severity, TaskKind
from bot.core.garden.snapshot import UNDER_GLASS, Garden, Place
from bot.core.growing.crop import Crop
from bot.core.growing.water import Decision, Watering, steps
from bot.core.warnings.hazard_glass import VENT_MIN, under_glass
from bot.core.warnings.safety import Closed, Limits, Unsafe, UnsafeHour, no_height_hours, unsafe_outdoor_hours
from bot.core.weather.forecast import Forecast
from bot.core.weather.night import Night
from bot.core.weather.odds import Step, StepCode
from bot.core.weather.sun import night_bounds

#: A hard frost, 28 F (Phillips, Michigan State University Extension, 2014), taken for the air's minimum. British "severe" and
#: "moderate" frosts are of other thresholds; hoses burst from about here.
HARD_FROST_C = -2.2
#: Nobody is asked for what is due sooner: common practice, no source.
NOTICE = timedelta(minutes=45)
_LIKELY = 0.5  # a vent is shut when a chill is likelier than not: shutting costs minutes. Common practice, no source
_OF_USE = timedelta(hours=1)  # opening a house for a shorter heat is not worth the way: common practice, no source
# Minutes: common practice, no source.
_WATER_MIN, _CAN_MIN, _DRAIN_MIN = 5, 3, 15
_CAN_L = 10.0
# Less in all waits, but only until half as much again is missing as plants draw without harm: common practice, no source.
_WALK_L, _SUFFERS = 3.0, 1.5


class Part(StrEnum):
    """One walk does what belongs to one part of the day."""

    MORNING = "morning"
    EVENING = "evening"


_PART = {TaskKind.CLOSE: Part.EVENING, TaskKind.DRAIN: Part.EVENING}
_HEAT = (TaskKind.VENT, TaskKind.SHADE)


@dataclass(frozen=True, slots=True)
class Chore:
    """place_id: None for the whole garden. due_at: the latest time, aware UTC. litres: to give, of water.

    finding: what it rests on, where that is a finding of the week, whose item it then is. crops: keys of those that the
    water is for, where others there want none.
    """

    kind: TaskKind
    place_id: int | None
    due_at: datetime
    minutes: int
    litres: float | None = None
    finding: Finding | None = None
    reasons: tuple[Step, ...] = ()
    crops: tuple[str, ...] = ()

    @property
    def part(self) -> Part:
        return _PART.get(self.kind, Part.MORNING)


@dataclass(frozen=True, slots=True)
class DayRecords:
    """What a day's chores are found from.

    open_ids: houses that stand open by the record. perhaps_ids: houses that somebody was to open lately, and has not said
    so: they are opened again, and shut as if they were open. covered: what a warning's duty asks for already, by place and task.
    drained: hoses have been drained and not been used since. closed: hours of official severe warnings.
    """

    forecast: Forecast
    findings: tuple[Finding, ...] = ()
    nights: tuple[Night, ...] = ()
    watering: Mapping[int, Watering] = field(default_factory=dict)
    open_ids: frozenset[int] = frozenset()
    perhaps_ids: frozenset[int] = frozenset()
    covered: frozenset[tuple[int | None, TaskKind]] = frozenset()
    closed: tuple[Closed, ...] = ()
    drained: bool = False


@dataclass(frozen=True, slots=True)
class _Hours:
    """Stretches in which nobody is out, and in which nobody works on glass or covers."""

    outdoors: tuple[UnsafeHour, ...]
    height: tuple[UnsafeHour, ...]
    closed: tuple[Closed, ...]

    def last_safe(self, due_at: datetime, minutes: int, now: datetime, *, height: bool = False) -> datetime | None:
        """The latest moment up to due_at by which so many safe minutes can be worked; None when there is none."""
        stretches = [(one.start_at, one.end_at) for one in (self.height if height else self.outdoors)]
        stretches += [(one.start_at, one.end_at) for one in self.closed]
        for start_at, end_at in sorted(stretches, reverse=True):
            if start_at < due_at and due_at - timedelta(minutes=minutes) < end_at:
                due_at = start_at
        return due_at if due_at >= now + max(NOTICE, timedelta(minutes=minutes)) else None


def wanted(garden: Garden, crops: Mapping[str, Crop], known: DayRecords, now: datetime) -> tuple[Chore, ...]:
    """What today still wants in the shared places, the earliest first. now: aware, UTC."""
    zone = ZoneInfo(garden.zone)
    today = now.astimezone(zone).date()
    sunset_at, sunrise_at = night_bounds(today, zone, garden.latitude, garden.longitude)
    limits = Limits.of(garden)
    hours = _Hours(unsafe_outdoor_hours(known.forecast, limits), no_height_hours(known.forecast, limits), known.closed)
    heat = list(_heat(garden, known, hours, today, now, sunset_at))
    open_ids = (
        known.open_ids
        | known.perhaps_ids
        | {one.place_id for one in heat if one.place_id and one.kind is TaskKind.VENT}
    )
    goes_anyway = any((one.place_id, one.kind) not in known.covered for one in heat)
    found = [
        *heat,
        *_close(garden, crops, known, open_ids, hours, now, (sunset_at, sunrise_at)),
        *_worth_a_walk(list(_water(garden, known, hours, now, sunset_at)), known, goes_anyway=goes_anyway),
        *_drain(garden, known, hours, now, sunset_at),
    ]
    kept = (one for one in found if (one.place_id, one.kind) not in known.covered)
    return tuple(sorted(kept, key=lambda one: (one.due_at, one.kind, one.place_id or 0)))


def _heat(
    garden: Garden, known: DayRecords, hours: _Hours, today: date, now: datetime, sunset_at: datetime
) -> Iterator[Chore]:
    """Open and shade before a warm day; a hot one is the group's warning. A house is not opened into a wind."""
    windy = _first_gust(hours, now, sunset_at) is not None
    for one in known.findings:
        if one.task not in _HEAT or one.window_on != today or one.severity is not Severity.SLIGHT:
            continue
        needless = one.task is TaskKind.VENT and (windy or one.place_id in known.open_ids)
        if needless or not garden.place_by_id[one.place_id].shared or one.ends_at - now < _OF_USE:
            continue
        # Work on glass and covers stops at a lower wind (safety.Limits); vents and doors are worked from the ground.
        due_at = max(one.due_at, now + NOTICE)
        safe_at = hours.last_safe(due_at, one.minutes, now, height=one.task is TaskKind.SHADE)
        if safe_at is not None:
            yield Chore(one.task, one.place_id, safe_at, one.minutes, finding=one, reasons=one.chain)


def _close(
    garden: Garden,
    crops: Mapping[str, Crop],
    known: DayRecords,
    open_ids: Iterable[int],
    hours: _Hours,
    now: datetime,
    night_at: tuple[datetime, datetime],
) -> Iterator[Chore]:
    """Shut what stands open by sunset before a night that chills what grows in it, or before dangerous gusts."""
    sunset_at, sunrise_at = night_at
    gust_at = _first_gust(hours, now, sunrise_at + timedelta(hours=3))
    night = next((one for one in known.nights if one.sunset_at <= sunset_at + _OF_USE < one.sunrise_at), None)
    for place in garden.places:
        if place.id not in open_ids or not place.shared or place.kind not in UNDER_GLASS:
            continue
        chill = _chill(garden, crops, place, night)
        if chill is None and gust_at is None:
            continue
        by_at = sunset_at if gust_at is None else min(sunset_at, gust_at)
        due_at = hours.last_safe(by_at, VENT_MIN, now)
        if due_at is not None:
            yield Chore(TaskKind.CLOSE, place.id, due_at, VENT_MIN, reasons=chill or _gusts(known, gust_at))


def _chill(garden: Garden, crops: Mapping[str, Crop], place: Place, night: Night | None) -> tuple[Step, ...] | None:
    """Why the night is too cold for an open house: with its vents open it is as cold inside as out."""
    batches = [one for one in garden.plantings if under_glass(one, place, garden, crops)]
    if night is None or not batches:
        return None
    limit_c = max(crops[one.crop].cold.chilling_c for one in batches)
    odds = night.air.below(limit_c)
    if odds < _LIKELY:
        return None
    low_c, high_c = night.air.band(0.9)
    return (
        Step(StepCode.FORECAST, night.forecast_min_c, None, None, "forecast"),
        Step(StepCode.NIGHT, night.air.mean_c, low_c, high_c, ""),
        Step(StepCode.CHECKED, limit_c, None, None, "practice"),
    )


def _gusts(known: DayRecords, from_at: datetime | None) -> tuple[Step, ...]:
    found = [one.gust_ms for one in known.forecast.hours if from_at and one.at > from_at and one.gust_ms is not None]
    return (Step(StepCode.GUST, max(found[:24]), None, None, "forecast"),) if found else ()


def _water(garden: Garden, known: DayRecords, hours: _Hours, now: datetime, sunset_at: datetime) -> Iterator[Chore]:
    for place in garden.places:
        due = known.watering.get(place.id)
        if due is None or due.decision is not Decision.WATER or not place.shared:
            continue
        minutes = _WATER_MIN + _CAN_MIN * math.ceil(due.litres / _CAN_L)
        due_at = hours.last_safe(sunset_at, minutes, now)
        if due_at is not None:
            yield Chore(
                TaskKind.WATER, place.id, due_at, minutes, litres=due.litres, reasons=steps(due), crops=due.crops
            )


def _worth_a_walk(found: list[Chore], known: DayRecords, *, goes_anyway: bool) -> list[Chore]:
    """Less than a third of a can in all waits, until somebody goes there anyway or plants begin to suffer."""
    litres = sum(one.litres or 0.0 for one in found)
    due = [known.watering[one.place_id] for one in found if one.place_id is not None]
    suffers = any(one.depletion_l >= _SUFFERS * one.readily_l for one in due)
    return found if litres >= _WALK_L or goes_anyway or suffers else []


def _drain(garden: Garden, known: DayRecords, hours: _Hours, now: datetime, sunset_at: datetime) -> Iterator[Chore]:
    """Once before a hard frost, the median of the night's minimum taken for it; not again until hoses are used."""
    night = next((one for one in known.nights if one.sunset_at <= sunset_at + _OF_USE < one.sunrise_at), None)
    shared = any(place.shared for place in garden.places)
    if night is None or known.drained or not shared or night.air.mean_c > HARD_FROST_C:
        return
    due_at = hours.last_safe(sunset_at, _DRAIN_MIN, now)
    if due_at is not None:
        low_c, high_c = night.air.band(0.9)
        reasons = (
            Step(StepCode.FORECAST, night.forecast_min_c, None, None, "forecast"),
            Step(StepCode.NIGHT, night.air.mean_c, low_c, high_c, ""),
            Step(StepCode.HARD_FROST, HARD_FROST_C, None, None, "practice"),
        )
        yield Chore(TaskKind.DRAIN, None, due_at, _DRAIN_MIN, reasons=reasons)


def _first_gust(hours: _Hours, from_at: datetime, to_at: datetime) -> datetime | None:
    """When the first dangerous gust of a stretch may come; an hour of which nothing is known is not one."""
    starts = (one.start_at for one in hours.outdoors if one.end_at > from_at and Unsafe.GUST in one.reasons)
    return next((max(at, from_at) for at in starts if at < to_at), None)
