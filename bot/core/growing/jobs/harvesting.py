"""Watering by litres, cutting haulm, and harvesting in order.

What the group needs, for organisers: duties without anyone, people gone silent, records that warnings need.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from bot.core.finding import TaskKind
from bot.core.garden.snapshot import HOUSES, Garden, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.harvest import PRACTICE_DAYS, Lot, Shared, harvest_order, households, in_season, lift_plan, share
from bot.core.growing.jobs.job import Ask, Item, JobKind, View, worth
from bot.core.weather.odds import Step, StepCode

_DRY_WEEKS, _SPOILT_WEEKS, _WAITS_WEEKS = 1.0, 1.0, 0.1  # of growing lost: common practice, no source
_SPOILS = timedelta(days=7)
# Greens are not picked while they are frozen (Sustainable Gardening News), and in ground that is frozen hard nobody can dig
# (M. Cullen, CTV News 2013); both read 2026-11-28. For how many days without a thaw it is left: common practice, no source.
_FROZEN_DAYS = 3


def watering(view: View) -> Iterator[Item]:
    """One item a place that is due, with its litres; all places are one job."""
    plants: dict[int, int] = {}
    for planting in view.plantings:
        plants[planting.place_id] = plants.get(planting.place_id, 0) + worth(planting)
    for place_id, litres in view.litres.items():
        if place_id in view.scope and litres > 0:
            yield Item(
                key=f"water:{place_id}",
                kind=JobKind.WATER,
                group=("water",),
                value_lost=_DRY_WEEKS * plants.get(place_id, 1),
                place_id=place_id,
                by_on=view.today,
                again_days=1,
                litres=litres,
                reasons=view.water_steps.get(place_id, ()),
            )


def harvesting(view: View) -> Iterator[Item]:
    """What is ready and in season, in the order to lift it; haulm first where it is cut."""
    ripe = [
        one for one in view.plantings if one.stage is Stage.READY and in_season(one, view.crops[one.crop], view.today)
    ]
    homes, called, frozen = households(view.garden), _called_before_frost(view), _is_frozen(view)
    for turn in harvest_order(ripe, view.garden.place_by_id, view.crops):
        place = view.garden.place_of(turn.planting)
        if turn.planting.id in called and not place.shared:
            continue  # its own job says so, with the hour
        if frozen and turn.planting.id not in called and place.shelter not in HOUSES:
            continue
        yield from _lift(turn, view.crops[turn.crop], view, homes)


def _is_frozen(view: View) -> bool:
    """Whether no day that comes brings a thaw."""
    ahead = [day.air_max_c for day in view.days if view.today <= day.on < view.today + timedelta(days=_FROZEN_DAYS)]
    return len(ahead) == _FROZEN_DAYS and all(most_c is not None and most_c <= 0.0 for most_c in ahead)


def _called_before_frost(view: View) -> frozenset[int]:
    """Plantings that a cold night within a week asks to be picked or lifted."""
    return frozenset(
        found.planting_id
        for found in view.findings
        if found.task is TaskKind.PICK and found.planting_id is not None and found.due_at <= view.now + _SPOILS
    )


def _by_on(turn: Lot, kind: JobKind, view: View) -> date | None:
    """What does not keep within a week; before the first night that would harm it in any case."""
    planting = turn.planting
    frosts = (one.window_on for one in view.findings if one.task is TaskKind.PICK and one.planting_id == planting.id)
    days = [] if turn.keeps or kind is JobKind.CUT_HAULM else [view.today + _SPOILS]
    return min([*days, *frosts], default=None)


def _lift(turn: Lot, crop: Crop, view: View, homes: Sequence[frozenset[int]]) -> Iterator[Item]:
    plan = lift_plan(crop, view.today)
    cut = view.marks.get(f"{JobKind.CUT_HAULM}:{turn.planting.id}")
    if plan is not None and (cut is None or not cut.done):
        steps = (
            Step(StepCode.PRACTICE, PRACTICE_DAYS, None, None, "practice"),
            Step(
                StepCode.PUBLISHED,
                (plan.lift_from_on - plan.cut_on).days,
                (plan.lift_from_on - plan.cut_on).days,
                (plan.lift_by_on - plan.cut_on).days,
                crop.sources.get("harvest.haulm_days", ""),
            ),
        )
        yield _item(JobKind.CUT_HAULM, turn, crop, view, _WAITS_WEEKS, (plan.lift_from_on - view.today).days, steps)
    elif plan is None or cut is None or view.today >= cut.marked_on + (plan.lift_from_on - plan.cut_on):
        weeks = _WAITS_WEEKS if turn.keeps else _SPOILT_WEEKS
        source = crop.sources.get("harvest.window", "practice")
        season = Step(StepCode.SEASON, 0, None, None, source)
        others = (Step(StepCode.OTHERS_WAIT, turn.waiting_n, None, None, "practice"),) if turn.waiting_n else ()
        item = _item(JobKind.HARVEST, turn, crop, view, weeks, 3, (season, *others))
        yield from _shared(item, turn.planting, view, homes)


def _shared(item: Item, planting: Planting, view: View, homes: Sequence[frozenset[int]]) -> Iterator[Item]:
    """A shared harvest says what the household may take; nothing once it has had that, or nothing is left."""
    if view.member_id is None or not view.garden.place_of(planting).shared:
        yield item
        return
    known = view.shared.get(planting.id, Shared())
    mine = share(homes, planting, view.crops[planting.crop], known, view.member_id)
    if mine is not None:
        yield replace(item, group=(*item.group, str(planting.id)), share=mine)


def _item(
    kind: JobKind, turn: Lot, crop: Crop, view: View, weeks: float, again_days: int, steps: tuple[Step, ...]
) -> Item:
    planting = turn.planting
    return Item(
        key=f"{kind}:{planting.id}",
        kind=kind,
        group=(kind, crop.key),
        value_lost=weeks * worth(planting),
        crop=crop.key,
        planting_id=planting.id,
        place_id=planting.place_id,
        by_on=_by_on(turn, kind, view),
        again_days=again_days,
        count=planting.count,
        detail=crop.harvest.ready,
        reasons=steps,
    )


def group_needs(
    garden: Garden, crops: Mapping[str, Crop], found: Iterable[Item], asks: Ask, silent: Iterable[int]
) -> Iterator[Item]:
    """found: weather items of shared places, as `weather_ahead.weather` makes them. silent: ids of members."""
    for item in found:
        if not asks.get(item.key):
            yield Item(
                key=f"find somebody:{item.key}",
                kind=JobKind.FIND_SOMEBODY,
                group=("find somebody", str(item.by_on), item.kind),
                value_lost=item.value_lost,
                planting_id=item.planting_id,
                place_id=item.place_id,
                due_at=item.due_at,
                by_on=item.by_on,
                again_days=1,
                detail=item.kind.value,
                reasons=item.reasons,
            )
    for member_id in silent:
        yield Item(f"speak to:{member_id}", JobKind.SPEAK_TO, ("speak to",), 1.0, member_id=member_id, again_days=28)
    yield from _records(garden, crops)


def _records(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[Item]:
    kind, planted = JobKind.COMPLETE, {one.place_id for one in garden.plantings if one.stage is not Stage.ENDED}
    for place in garden.places:
        if place.id in planted and _unknown(place):
            yield Item(f"{kind}:place:{place.id}", kind, (kind, "place"), 0.5, place_id=place.id, again_days=28)
    for one in garden.plantings:
        if one.stage is not Stage.ENDED and (one.crop not in crops or one.count <= 0):
            yield Item(f"{kind}:planting:{one.id}", kind, (kind, "planting"), 0.5, planting_id=one.id, again_days=28)


def _unknown(place: Place) -> bool:
    """Whether a lifting or wind warning could not be worked out: the weight of a pot that is carried, its size."""
    if place.kind is not PlaceKind.CONTAINER:
        return False
    return (place.movable and place.wet_kg is None) or place.width_m is None or place.height_m is None
