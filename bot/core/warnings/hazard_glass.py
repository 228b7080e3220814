"""Heat under glass and plastic, and heavy rain on young plants in pots."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import NormalDist
from zoneinfo import ZoneInfo

from bot.core.finding import Finding, Hazard, Severity, TaskKind
from bot.core.garden.snapshot import UNDER_GLASS, Garden, Place, Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.hardiness import in_pots
from bot.core.growing.warmth import glass_heat
from bot.core.people.lifting import movers
from bot.core.warnings.hazard_cold import TRIP_MIN, exposed, loss_h
from bot.core.weather.forecast import Forecast, Hour
from bot.core.weather.odds import Step, StepCode, cost_loss_ratio
from bot.core.weather.rain import heavy_rain
from bot.core.weather.sun import sun_day

SCORCH_C = 27.0  # plant damage may occur above: RHS, Greenhouse: ventilation and shading, PID 732, read 2026-11-25
OPENED_C = 8.0  # what open vents and doors take off the heat under glass: common practice, no source
NO_ALARM = 0.3  # houses are opened as a matter of course; below 3 in 10 nothing is said: common practice, no source
FULL_SUN_W_M2 = 800.0
INSIDE_SD_C = 3.0  # common practice, no source
HEAVY_MM_H = 4.0  # the class of `rain.heavy_rain`
RAIN_FACTOR = 2.0  # an hour's rain is right within this factor, two times in three: common practice, no source
VENT_MIN, SHADE_MIN, MOVE_MIN = 10, 20, 8
_ERROR = NormalDist(0.0, INSIDE_SD_C)
_YOUNG = (Stage.SEEDLING, Stage.POTTED_ON, Stage.HARDENING)
_SCORCH_SHARE, _BEATEN_SHARE = 0.25, 0.25  # of a batch's worth: common practice, no source


@dataclass(frozen=True, slots=True)
class _Sunny:
    """A local day's hours of high sun that have a temperature."""

    on: date
    hours: tuple[Hour, ...]


@dataclass(frozen=True, slots=True)
class _Asked:
    """A task, how long it takes, and where."""

    task: TaskKind
    minutes: int
    place_id: int
    planting_id: int | None = None
    people: int = 1


def heat(garden: Garden, crops: Mapping[str, Crop], forecast: Forecast, now: datetime) -> Iterator[Finding]:
    """Houses to open, and where that is not enough for what grows there, to shade."""
    days = _days(garden, forecast, now)
    houses = [place for place in garden.places if place.kind in UNDER_GLASS] if days else []
    for place in houses:
        under = [one for one in garden.plantings if under_glass(one, place, garden, crops)]
        if under:
            for day in days:
                yield from _of_house(day, place, under, crops)


def rain(garden: Garden, crops: Mapping[str, Crop], forecast: Forecast, now: datetime) -> Iterator[Finding]:
    """Young plants in pots or trays in the open that a heavy shower would beat down."""
    zone = ZoneInfo(garden.zone)
    young = [one for one in garden.plantings if one.stage in _YOUNG and _in_the_rain(one, garden, crops)]
    for shower in heavy_rain(forecast) if young else ():
        if shower.end_at <= now:
            continue
        on = shower.start_at.astimezone(zone).date()
        odds = _heavier(shower.greatest_mm)
        sunset_at = sun_day(on, zone, garden.latitude, garden.longitude).sunset_at
        due_at = min(shower.start_at, max(sunset_at or shower.start_at, now))
        chain = (
            Step(StepCode.FORECAST, shower.greatest_mm, None, None, "forecast"),
            Step(StepCode.THRESHOLD, HEAVY_MM_H, None, None, "Met Office, heavy rain"),
        )
        for one in young:
            ratio = cost_loss_ratio((MOVE_MIN + TRIP_MIN) / 60, loss_h(one, crops[one.crop]) * _BEATEN_SHARE)
            if odds > ratio:
                people = movers(garden.place_of(one)) or 1
                task = _Asked(TaskKind.MOVE_FROM_RAIN, MOVE_MIN, one.place_id, one.id, people)
                yield _found(Hazard.RAIN, on, task, odds, ratio, chain, shower.start_at, shower.end_at, due_at)


def _of_house(day: _Sunny, place: Place, under: list[Planting], crops: Mapping[str, Crop]) -> Iterator[Finding]:
    worth_h = sum(loss_h(one, crops[one.crop]) for one in under) * _SCORCH_SHARE
    shades = [limit for one in under if (limit := crops[one.crop].care.shade_c) is not None]
    asked = [(_Asked(TaskKind.VENT, VENT_MIN, place.id), SCORCH_C, 0.0)]
    if shades:
        asked.append((_Asked(TaskKind.SHADE, SHADE_MIN, place.id), max(SCORCH_C, min(shades)), OPENED_C))
    for task, limit_c, cooler_c in asked:
        inside = [(hour.at, _inside_c(hour, cooler_c)) for hour in day.hours]
        hottest_c = max(value for _, value in inside)
        odds = 1.0 - _ERROR.cdf(limit_c - hottest_c)
        ratio = max(cost_loss_ratio((task.minutes + TRIP_MIN) / 60, worth_h), NO_ALARM)
        if odds > ratio:
            hot = [at for at, value in inside if value + INSIDE_SD_C >= limit_c]
            chain = (
                Step(StepCode.PLACE, hottest_c, hottest_c - INSIDE_SD_C, hottest_c + INSIDE_SD_C, "practice"),
                Step(StepCode.THRESHOLD, limit_c, None, None, "rhs-greenhouse"),
            )
            end_at = hot[-1] + timedelta(hours=1)
            yield _found(Hazard.HEAT, day.on, task, odds, ratio, chain, hot[0], end_at, hot[0], limit_c)


def _found(
    hazard: Hazard, on: date, asked: _Asked, odds: float, ratio: float, chain: tuple[Step, ...],
    starts_at: datetime, ends_at: datetime, due_at: datetime, limit_c: float | None = None,
) -> Finding:  # fmt: skip
    odds_steps = Step(StepCode.ODDS, odds, None, None, ""), Step(StepCode.COST_LOSS, ratio, None, None, "Murphy 1977")
    return Finding(
        hazard=hazard,
        window_on=on,
        place_id=asked.place_id,
        planting_id=asked.planting_id,
        support_id=None,
        task=asked.task,
        severity=Severity.MODERATE if odds >= 0.8 else Severity.SLIGHT,
        probability=odds,
        threshold_c=limit_c,
        gust_ms=None,
        starts_at=starts_at,
        ends_at=ends_at,
        due_at=due_at,
        minutes=asked.minutes,
        people=asked.people,
        chain=(*chain, *odds_steps),
    )


def _inside_c(hour: Hour, cooler_c: float) -> float:
    """Air inside, degrees C: middle of the range under shut glass, less what opening takes off, never below outside.

    Where the sun is not given, it is taken from the cloud; half sun when neither is known.
    """
    air_c = hour.air_c or 0.0
    clear = 0.5 if hour.cloud_pct is None else 1.0 - hour.cloud_pct / 100
    shut = glass_heat(air_c, FULL_SUN_W_M2 * clear if hour.sun_w_m2 is None else hour.sun_w_m2)
    return max(air_c, (shut.low_c + shut.high_c) / 2 - cooler_c)


def _heavier(rain_mm: float) -> float:
    """P(the hour's rain is heavy), its error taken as lognormal."""
    return NormalDist().cdf(math.log(rain_mm / HEAVY_MM_H) / math.log(RAIN_FACTOR))


def _in_the_rain(planting: Planting, garden: Garden, crops: Mapping[str, Crop]) -> bool:
    crop, place = crops.get(planting.crop), garden.place_of(planting)
    young = crop is not None and in_pots(planting, place, crop) and exposed(planting, place, crop)
    return young and movers(place) is not None


def under_glass(planting: Planting, place: Place, garden: Garden, crops: Mapping[str, Crop]) -> bool:
    """Whether a batch that shows above the soil stands in this house."""
    at = garden.place_of(planting)
    crop = crops.get(planting.crop)
    inside = at.id == place.id or (at.inside is place.kind and at.plot_id == place.plot_id)
    return inside and crop is not None and crop.cold.damage_c(planting.stage) is not None


def _days(garden: Garden, forecast: Forecast, now: datetime) -> list[_Sunny]:
    """The days to come, each with its hours between two hours after sunrise and two before sunset."""
    zone, low = ZoneInfo(garden.zone), timedelta(hours=2)
    by_day: dict[date, list[Hour]] = defaultdict(list)
    for hour in forecast.hours:
        if hour.at > now and hour.air_c is not None:
            by_day[hour.at.astimezone(zone).date()].append(hour)
    found = []
    for on, hours in sorted(by_day.items()):
        sun = sun_day(on, zone, garden.latitude, garden.longitude)
        if sun.sunrise_at is not None and sun.sunset_at is not None:
            inside = tuple(one for one in hours if sun.sunrise_at + low <= one.at <= sun.sunset_at - low)
            if inside:
                found.append(_Sunny(on, inside))
    return found
