"""Which stage a batch has reached: by what was done or seen, else by days and warmth; see docs/week.md.

What people record always stands. From there a batch moves on by reckoning: seed comes up, what was sown in place fills
out, flowers and harvest come. Perennials go round with the season. Potting on, hardening off and planting out are work of
hands, and are never taken to have happened by themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise

from bot.core.garden.snapshot import UNDER_GLASS, Garden, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop, Life, Start
from bot.core.growing.hardiness import in_pots
from bot.core.growing.harvest import in_season
from bot.core.growing.seasons import closes_on, harvest_days, in_window, next_in_window, on_day
from bot.core.growing.warmth import emergence_days, soil_by_day

# Days until it shows when neither a table nor warmth is known. Potatoes: planting to emergence usually ends at 3 weeks,
# longer in cool soil (Univ. Nebraska-Lincoln, CropWatch, read 2026-11-25); the rest common practice, no source.
_UP_DAYS = {Start.SEED: 21, Start.SET: 28, Start.TUBER: 21, Start.PLANT: 28}
_SURELY_UP = 2  # times the slowest tabled days: then it counts as up however cold the soil: common practice, no source
_ROOM_C = 20.0  # a warm windowsill: common practice, no source
_ESTABLISHED_DAYS = 28  # from coming up to filling its place, at most a third of its days to harvest: common practice
# Full cover for many crops comes at the start of flowering (FAO-56 ch. 6, read via a copy): after the initial and the
# development stage, 0.19 + 0.27 of a season (mean of three crops of its Table 11, as in `water`).
_FLOWERS_SHARE = 0.46
_FRUIT_DAYS = 28  # from the first flower to the first picking, in a British spring: common practice, no source
_SETTLED_DAYS = 14  # after planting out, before it may flower: common practice, no source
_LOOK_AGAIN_DAYS = 7  # after somebody saw that it was not so far yet: common practice, no source
_ROUNDING = 1e-9  # ten tenths are one
_LONGEST_GAP = 3  # days not known that are bridged: engineering estimate
_SEEN_FLOWER_DAYS = 42  # a perennial seen in flower counts as in flower for so long: common practice, no source


class Basis(StrEnum):
    DONE = "done"  # somebody did it or saw it
    DAYS = "days"
    WARMTH = "warmth"
    SEASON = "season"  # perennials: the time of year


@dataclass(frozen=True, slots=True)
class Warmth:
    """Past daily means by day, degrees C: of the air at 2 m, and of bare soil at about 5 cm."""

    air_c: Mapping[date, float] = field(default_factory=dict)
    soil_c: Mapping[date, float] = field(default_factory=dict)

    @classmethod
    def of(cls, air_c: Mapping[date, float]) -> Warmth:
        """From the days that are known; a gap of up to three days lies on the line between its neighbours."""
        filled = dict(air_c)
        for before, after in pairwise(sorted(air_c)):
            gap = (after - before).days
            if 1 < gap <= _LONGEST_GAP + 1:
                rise = (air_c[after] - air_c[before]) / gap
                filled |= {before + timedelta(days=n): air_c[before] + n * rise for n in range(1, gap)}
        return cls(filled, soil_by_day(filled))


@dataclass(frozen=True, slots=True)
class Reached:
    """stage: where the batch stands. basis: how that is known. due_on: the day it was reached, when reckoned."""

    stage: Stage
    basis: Basis
    due_on: date | None = None


def reckoned(
    garden: Garden, crops: Mapping[str, Crop], today: date, warmth: Warmth | None = None
) -> tuple[Garden, dict[int, Reached]]:
    """The garden with every batch at the stage it has reached, and what was reckoned, by planting id.

    Everything that asks for a stage asks this garden: the week, may it go out, cold, wind and the water.
    """
    known, found = warmth or Warmth(), {}
    plantings = []
    for planting in garden.plantings:
        crop = crops.get(planting.crop)
        if crop is not None:
            moved, reached = _moved_on(planting, crop, garden.place_of(planting), today, known)
            if reached.basis is not Basis.DONE:
                planting, found[planting.id] = moved, reached
        plantings.append(planting)
    return (replace(garden, plantings=tuple(plantings), place_by_id={}) if found else garden), found


def stage_now(planting: Planting, crop: Crop, place: Place, today: date, warmth: Warmth | None = None) -> Reached:
    """The stage a batch has reached today. A perennial's flowers and fruit of last year are over."""
    return _moved_on(planting, crop, place, today, warmth or Warmth())[1]


def coming(planting: Planting, crop: Crop, place: Place, today: date, warmth: Warmth | None = None) -> Reached | None:
    """What is waited for next: that it comes up, else its harvest; None when it waits for hands, or is ready."""
    known = warmth or Warmth()
    moved, _ = _moved_on(planting, crop, place, today, known)
    if moved.stage is Stage.SOWN:
        return _next(moved, crop, place, today, known)
    in_row = moved.stage is Stage.SEEDLING and not in_pots(moved, place, crop)
    if not in_row and moved.stage not in (Stage.GROWING, Stage.FLOWERING):
        return None
    return _ripe(moved, crop, today, known)


def _moved_on(planting: Planting, crop: Crop, place: Place, today: date, warmth: Warmth) -> tuple[Planting, Reached]:
    reached = Reached(planting.stage, Basis.DONE)
    if crop.life is Life.PERENNIAL and _is_over(planting, crop, today):
        planting, reached = replace(planting, stage=Stage.GROWING), Reached(Stage.GROWING, Basis.SEASON)
    held_on = _held_on(planting)
    while (then := _next(planting, crop, place, today, warmth)) and then.due_on:
        due_on = max(then.due_on, held_on) if held_on and reached.basis is Basis.DONE else then.due_on
        if due_on > today:
            break
        reached = replace(then, due_on=due_on)
        planting = replace(planting, stage=then.stage, stage_on=due_on)
    return planting, reached


def _is_over(planting: Planting, crop: Crop, today: date) -> bool:
    if planting.stage is Stage.READY:
        return not in_season(planting, crop, today)
    seen_on = planting.stage_on
    return planting.stage is Stage.FLOWERING and (
        seen_on is None or today - seen_on > timedelta(days=_SEEN_FLOWER_DAYS)
    )


def _held_on(planting: Planting) -> date | None:
    """The day before which it does not move on by itself: somebody has looked since it was sown or planted."""
    started_on = planting.planted_on or planting.sown_on
    if planting.stage_on is None or started_on is None or planting.stage_on <= started_on:
        return None
    return planting.stage_on + timedelta(days=_LOOK_AGAIN_DAYS)


def _next(planting: Planting, crop: Crop, place: Place, today: date, warmth: Warmth) -> Reached | None:
    """The next stage and the day that it is due, which may lie ahead."""
    if planting.stage is Stage.SOWN:
        return _up(planting, crop, place, today, warmth)
    if planting.stage is Stage.SEEDLING:
        waits = in_pots(planting, place, crop)
        return _stayed(planting, crop, place) if waits else _established(planting, crop, place, today, warmth)
    if planting.stage is Stage.GROWING:
        flowers, ripe = _flowers(planting, crop, today), _ripe(planting, crop, today, warmth)
        both = [one for one in (flowers, ripe) if one is not None and one.due_on is not None]
        return min(both, key=lambda one: one.due_on or date.max, default=None)
    return _ripe(planting, crop, today, warmth) if planting.stage is Stage.FLOWERING else None


def _up(planting: Planting, crop: Crop, place: Place, today: date, warmth: Warmth) -> Reached | None:
    """Seed comes up in its row or tray; sets and tubers are in their final place already."""
    since, table = planting.sown_on or planting.planted_on, crop.sowing.emergence
    if since is None:
        return None
    stage = Stage.SEEDLING if crop.sowing.start is Start.SEED else Stage.GROWING
    if not table:
        return Reached(stage, Basis.DAYS, since + timedelta(days=_UP_DAYS[crop.sowing.start]))
    slowest = max(days for _, days in table)
    if place.shelter is PlaceKind.INDOORS:
        return Reached(stage, Basis.DAYS, since + timedelta(days=round(_days_at(table, _ROOM_C) or slowest)))
    surely_on = since + timedelta(days=round(_SURELY_UP * slowest))
    by_warmth = _up_by_warmth(table, since, today, warmth)
    if by_warmth is None:
        return Reached(stage, Basis.DAYS, since + timedelta(days=round(slowest)))
    return Reached(stage, Basis.WARMTH, by_warmth) if by_warmth <= surely_on else Reached(stage, Basis.DAYS, surely_on)


def _up_by_warmth(table: tuple[tuple[float, float], ...], since: date, today: date, warmth: Warmth) -> date | None:
    """The day on which the daily shares of its days to emergence sum to one; None when a day's soil is not known.

    Soil colder than the table brings it no nearer. What lies ahead is taken to be like the last day.
    """
    grown, share = 0.0, 0.0
    for n in range((today - since).days):
        soil_c = warmth.soil_c.get(since + timedelta(days=n))
        if soil_c is None:
            return None
        days = _days_at(table, soil_c)
        share = 1.0 / days if days else 0.0
        grown += share
        if grown >= 1.0 - _ROUNDING:
            return since + timedelta(days=n + 1)
    return today + timedelta(days=max(1, round((1.0 - grown) / share))) if share else None


@lru_cache(maxsize=8192)  # many batches of a crop ask for the same day
def _days_at(table: tuple[tuple[float, float], ...], soil_c: float) -> float | None:
    """Days to emergence; soil warmer than the table counts as its warmest, colder soil as never."""
    return emergence_days(table, min(soil_c, table[-1][0]))


def _established(planting: Planting, crop: Crop, place: Place, today: date, warmth: Warmth) -> Reached | None:
    """When a row of seedlings fills its place, counted from when it came up, or else must have."""
    came = None if planting.stage_on else _up(planting, crop, place, today, warmth)
    up_on = planting.stage_on or (came.due_on if came else None)
    if up_on is None:
        return None
    return Reached(Stage.GROWING, Basis.DAYS, up_on + timedelta(days=min(_ESTABLISHED_DAYS, crop.harvest.days[0] // 3)))


def _stayed(planting: Planting, crop: Crop, place: Place) -> Reached | None:
    """What was sown under glass and not set out while that was the time was sown where it grows: winter lettuces."""
    if planting.sown_on is None or crop.planting.out is None or place.shelter not in UNDER_GLASS:
        return None
    return Reached(Stage.GROWING, Basis.DAYS, closes_on(planting.sown_on, crop.planting.out) + timedelta(days=1))


def _flowers(planting: Planting, crop: Crop, today: date) -> Reached | None:
    """When flowers come: perennials by the season, what is eaten after its flowers by days, the rest never."""
    window, started_on = crop.harvest.flowering, _started_on(planting, crop)
    if window is not None:
        opened = in_window(today, window)
        return Reached(
            Stage.FLOWERING, Basis.SEASON, on_day(today.year, window[0]) if opened else next_in_window(today, window)
        )
    if not crop.harvest.after_flower or started_on is None:
        return None
    least, most = harvest_days(crop, started_on)
    due_on = started_on + timedelta(days=max(round(_FLOWERS_SHARE * most), least - _FRUIT_DAYS))
    if crop.sowing.start is Start.SEED and planting.planted_on is not None:
        due_on = max(due_on, planting.planted_on + timedelta(days=_SETTLED_DAYS))
    return Reached(Stage.FLOWERING, Basis.DAYS, due_on)


def _ripe(planting: Planting, crop: Crop, today: date, warmth: Warmth) -> Reached | None:
    """When it may be harvested, in its season: perennials old enough with the season, the rest by warmth or days."""
    started_on, window = _started_on(planting, crop), crop.harvest.window
    if crop.life is Life.PERENNIAL:
        old_on = started_on + timedelta(days=crop.harvest.days[0]) if started_on else date.min
        opened = in_window(today, window) and old_on <= today
        due_on = _opening(today, window) if opened else next_in_window(max(today, old_on), window)
        return Reached(Stage.READY, Basis.SEASON, due_on)
    if started_on is None:
        return None
    in_place = planting.planted_on is None  # heat is published for what is sown where it grows
    warm_on = _ripe_by_warmth(crop, started_on, today, warmth) if in_place else None
    due_on = warm_on or started_on + timedelta(days=harvest_days(crop, started_on)[0])
    return Reached(Stage.READY, Basis.WARMTH if warm_on else Basis.DAYS, next_in_window(due_on, window))


def _opening(today: date, window: tuple[tuple[int, int], tuple[int, int]]) -> date:
    """The day on which the window that holds today opened."""
    opened_on = on_day(today.year, window[0])
    return opened_on if opened_on <= today else on_day(today.year - 1, window[0])


def _started_on(planting: Planting, crop: Crop) -> date | None:
    """The day that `Harvest.days` counts from: sowing for seed, planting for sets, tubers and plants.

    Plants that were bought are taken to be as old as the youngest that are planted out.
    """
    if crop.sowing.start is not Start.SEED:
        return planting.planted_on or planting.sown_on
    if planting.sown_on is None and planting.planted_on is not None and crop.raising is not None:
        return planting.planted_on - timedelta(weeks=crop.raising.ready_weeks[0])
    return planting.sown_on


def _ripe_by_warmth(crop: Crop, started_on: date, today: date, warmth: Warmth) -> date | None:
    """The day on which degree days (day's mean less base, floor 0: Peet, NCSU) reach what the crop needs.

    None when a day is not known. What lies ahead is taken to be like the days so far.
    """
    base, needed = crop.harvest.base_c, crop.harvest.degree_days
    if base is None or needed is None:
        return None
    summed = 0.0
    for n in range((today - started_on).days):
        day_c = warmth.air_c.get(started_on + timedelta(days=n))
        if day_c is None:
            return None
        summed += max(0.0, day_c - base)
        if summed >= needed:
            return started_on + timedelta(days=n + 1)
    if summed <= 0.0:
        return None
    return today + timedelta(days=max(1, round((needed - summed) / (summed / (today - started_on).days))))
