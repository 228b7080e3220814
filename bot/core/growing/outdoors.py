"""May it go out yet: hold, pot on, harden off or plant out, for each batch that waits under cover.

A batch goes out when all of these hold: the trade's window is open; no night of the forecast is likely to damage a
hardened plant in the open; a later frost is unlikely by the garden's climate; the soil is warm enough; it is hardened.
Chilling counts here, and only here. What is not known (climate, soil) neither holds a batch nor sends it out.

Hours outside for the coming days while a batch is hardened off.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from math import inf
from statistics import median

from bot.core.garden.snapshot import Cover, Garden, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop, DayRange, Hardiness, Raising, Start
from bot.core.growing.hardiness import HARDY_MARGIN_C, in_pots, is_potted_tuber
from bot.core.growing.seasons import closes_on, next_in_window, on_day
from bot.core.weather.cold import at_plant
from bot.core.weather.night import Night
from bot.core.weather.odds import Step, StepCode
from bot.core.weather.timeline import Day

RISK = 0.1  # of a damaging night that is still taken: 9 in 10 is the trade's own measure for last frosts
# A hardened plant stands nights this much below its chilling temperature: 50 F to skip a day, 45 F to be harmed
# (Hennepin County Master Gardeners, Univ. Minnesota, 2014).
CHECK_C = 2.8
FROST_TENDER_C = -1.5  # crops damaged above this wait for the last frost
GAIN_DAYS = 14  # a batch potted on gains about two more weeks under cover: common practice, no source
# So many days into the season for planting out cold soil still holds a batch: later, waiting costs more than it gains.
# Common practice, no source.
SOIL_WAITS_DAYS = 21
SOIL_WARMS_DAYS = 7  # before cold soil is looked at again: common practice, no source
SEASON = timedelta(days=180)  # a window further off is next season's: common practice, no source
_NIGHTS = 5
# Tubers that were started in pots, which nobody pots on: dahlias are hardened off for at least a week (Saga magazine),
# or two (Rhino Greenhouses Direct), and staked as they are planted (Saga); both read 2026-11-28. Weeks: common practice.
_TUBERS = Raising(inf, 0, (3, 9), (7, 14), inf)
_WAITING = (Stage.SEEDLING, Stage.POTTED_ON, Stage.HARDENING, Stage.HARDENED)


class Verdict(StrEnum):
    HOLD = "hold"
    POT_ON = "pot on"
    HARDEN_OFF = "harden off"
    PLANT_OUT = "plant out"


@dataclass(frozen=True, slots=True)
class Conditions:
    """What is known beside the batch. nights: of the forecast, ascending.

    frost_after: P(a frost still comes after a day), 0-1, None when the garden's climate is unknown.
    soil_c: warmth of the soil at planting depth now, None when unknown.
    """

    today: date
    nights: tuple[Night, ...]
    frost_after: Callable[[date], float] | None = None
    soil_c: float | None = None


@dataclass(frozen=True, slots=True)
class Advice:
    """verdict for one batch. safe_on: first day that looks safe, None when no day of this season does.

    wait_days: until then, what waiting costs the harvest at most. lost_weeks: what losing the batch would cost.
    """

    planting_id: int
    crop: str
    verdict: Verdict
    safe_on: date | None
    wait_days: int
    lost_weeks: int
    reasons: tuple[Step, ...]


def advise_all(garden: Garden, crops: Mapping[str, Crop], conditions: Conditions) -> tuple[Advice, ...]:
    """Advice for every batch that is raised under cover and not yet planted out."""
    waiting = (
        (one, crops[one.crop])
        for one in garden.plantings
        if one.crop in crops and _waits(one, garden.place_of(one), crops[one.crop], conditions.today)
    )
    return tuple(advice for planting, crop in waiting if (advice := advise(planting, crop, conditions)))


def opens_on(crop: Crop, conditions: Conditions) -> date | None:
    """The first day on which a hardened plant of this crop may go out; None when no day of this season looks safe."""
    return _safe_on(crop, crop.planting.out, conditions)[0] if crop.planting.out is not None else None


def _waits(planting: Planting, place: Place, crop: Crop, today: date) -> bool:
    if planting.stage in _WAITING:
        return in_pots(planting, place, crop)
    return is_potted_tuber(planting, place, crop, today)


def advise(planting: Planting, crop: Crop, conditions: Conditions) -> Advice | None:
    """Advice for one batch that waits; None for a crop that is not raised and set out."""
    raising = _TUBERS if crop.sowing.start is Start.TUBER else crop.raising
    if raising is None or crop.planting.out is None:
        return None
    safe_on, weather = _safe_on(crop, crop.planting.out, conditions)
    hardened = _hardened_days(planting, conditions.today)
    ready = planting.stage is Stage.HARDENED or hardened >= raising.hardening_days[0]
    wait_days = (safe_on - conditions.today).days if safe_on else 0
    verdict = _verdict(planting, raising, conditions.today, safe_on, ready)
    reasons = (
        *weather,
        Step(StepCode.HARDENING, hardened, *raising.hardening_days, _source(crop, "raising.hardening_days")),
        *_size(planting, crop, raising),
        *((Step(StepCode.GAIN, GAIN_DAYS, None, None, "practice"),) if verdict is Verdict.POT_ON else ()),
        Step(StepCode.WAITING, wait_days, None, None, ""),
        Step(StepCode.LOSS, crop.cold.weeks_lost, None, None, _source(crop, "cold.weeks_lost")),
    )
    return Advice(planting.id, crop.key, verdict, safe_on, wait_days, crop.cold.weeks_lost, reasons)


def _verdict(planting: Planting, raising: Raising, today: date, safe_on: date | None, ready: bool) -> Verdict:
    if safe_on is not None and safe_on <= today and ready:
        return Verdict.PLANT_OUT
    if planting.stage is Stage.HARDENED:
        return Verdict.HOLD
    near = safe_on is not None and safe_on - today <= timedelta(days=raising.hardening_days[1])
    if planting.stage is Stage.HARDENING or (near and _grown(planting, raising, today)):
        return Verdict.HARDEN_OFF
    return Verdict.POT_ON if _crowded(planting, raising, today) else Verdict.HOLD


def _grown(planting: Planting, raising: Raising, today: date) -> bool:
    """Old enough to start hardening, so that it is ready to plant when that is done; potted on counts as grown, and so
    does what has come up from a tuber.
    """
    if planting.stage is not Stage.SEEDLING or planting.sown_on is None:
        return planting.stage in (Stage.POTTED_ON, Stage.GROWING)
    hardened_on = today + timedelta(days=raising.hardening_days[1])
    return hardened_on >= planting.sown_on + timedelta(weeks=raising.ready_weeks[0])


def _crowded(planting: Planting, raising: Raising, today: date) -> bool:
    """Whether it has outgrown its pot: by height, else by weeks; again when leggy, not within two weeks of the last."""
    last_on = planting.potted_on or planting.sown_on
    if planting.potted_on and today - planting.potted_on < timedelta(days=GAIN_DAYS):
        return False
    if planting.height_cm is not None:
        limit_cm = raising.pot_on_height_cm if planting.stage is Stage.SEEDLING else raising.leggy_height_cm
        return planting.height_cm >= limit_cm
    old = last_on is not None and today - last_on >= timedelta(weeks=raising.pot_on_weeks)
    return planting.stage is Stage.SEEDLING and old


def _safe_on(crop: Crop, out: DayRange, conditions: Conditions) -> tuple[date | None, tuple[Step, ...]]:
    """The first day on which a hardened plant may go out, None when none of this season, and what decided it."""
    opens_on, last_on = next_in_window(conditions.today, out), closes_on(conditions.today, out)
    season = Step(StepCode.SEASON, (opens_on - conditions.today).days, None, None, _source(crop, "planting.out"))
    held = [(opens_on, season), *_by_nights(crop, conditions), *_by_soil(crop, conditions, out)]
    safe_on = max(day for day, _ in held)
    steps = [step for _, step in held]
    if conditions.frost_after is not None and crop.cold.hardened_c > FROST_TENDER_C:
        steps.append(Step(StepCode.CLIMATE, conditions.frost_after(safe_on), None, RISK, "climate"))
        while safe_on <= last_on and conditions.frost_after(safe_on) > RISK:
            safe_on += timedelta(days=1)
    this_season = safe_on <= last_on and safe_on - conditions.today <= SEASON
    return (safe_on if this_season else None), tuple(steps)


def _by_nights(crop: Crop, conditions: Conditions) -> Iterator[tuple[date, Step]]:
    """Days from which the nights allow it: none that damages, and for the tender not too many that chill."""
    at_plants = [at_plant(night, PlaceKind.BED, Cover.NONE, in_pot=False) for night in conditions.nights]
    hardy = crop.hardiness is Hardiness.HARDY
    damage_c = crop.cold.hardened_c - (HARDY_MARGIN_C if hardy else 0.0)
    odds = [at.below(damage_c) for at in at_plants]
    if not odds:
        return
    risky = [night.evening_on for night, odd in zip(conditions.nights, odds, strict=True) if odd > RISK]
    free_on = risky[-1] + timedelta(days=1) if risky else conditions.today
    lowest = min(at.mean_c for at in at_plants)
    yield free_on, Step(StepCode.THRESHOLD, damage_c, lowest, None, _source(crop, "cold.hardened_c"))
    yield free_on, Step(StepCode.ODDS, max(odds), None, RISK, "")
    near = conditions.nights[:_NIGHTS]
    usual_c = median(night.air.mean_c for night in near)
    chills = not hardy and usual_c < crop.cold.chilling_c - CHECK_C
    warm_on = near[-1].evening_on + timedelta(days=1) if chills else conditions.today
    yield warm_on, Step(StepCode.CHILLING, crop.cold.chilling_c, usual_c, None, _source(crop, "cold.chilling_c"))


def _by_soil(crop: Crop, conditions: Conditions, out: DayRange) -> Iterator[tuple[date, Step]]:
    """Cold soil is looked at again after a week, but no longer than some weeks into the season for planting out."""
    need_c, today = crop.planting.soil_min_c, conditions.today
    if need_c is not None and conditions.soil_c is not None:
        first_on = on_day(closes_on(today, out).year, out[0])
        cold = conditions.soil_c < need_c
        held_on = min(today + timedelta(days=SOIL_WARMS_DAYS), first_on + timedelta(days=SOIL_WAITS_DAYS))
        source = _source(crop, "planting.soil_min_c")
        yield max(today, held_on) if cold else today, Step(StepCode.SOIL, conditions.soil_c, need_c, None, source)


def _hardened_days(planting: Planting, today: date) -> int:
    started = planting.stage is Stage.HARDENING and planting.hardening_on is not None
    return max(0, (today - planting.hardening_on).days) if started and planting.hardening_on else 0


def _size(planting: Planting, crop: Crop, raising: Raising) -> tuple[Step, ...]:
    if planting.height_cm is None or crop.raising is None:
        return ()
    seedling = planting.stage is Stage.SEEDLING
    limit_cm = raising.pot_on_height_cm if seedling else raising.leggy_height_cm
    name = "raising.pot_on_height_cm" if seedling else "raising.leggy_height_cm"
    return (Step(StepCode.SIZE, planting.height_cm, None, limit_cm, _source(crop, name)),)


def _source(crop: Crop, key: str) -> str:
    return crop.sources.get(key, "practice")


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
