"""Sowing, sowing again, potting on, hardening off and planting out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from bot.core.garden.snapshot import UNDER_GLASS, Planting, Stage
from bot.core.growing.crop import Crop, Hardiness, Start
from bot.core.growing.jobs.job import Item, JobKind, View, worth
from bot.core.growing.outdoors import FIRST_H, PRACTICE_FIRST_H, Advice, Outing, Verdict, hours_outside
from bot.core.growing.seasons import in_window
from bot.core.growing.succession import Sown, Where, first_harvest, sowing_places
from bot.core.weather.odds import Step, StepCode

LEGGY = "leggy"  # the detail of a job for seedlings that light and warmth have drawn up

_OPEN_DAYS = 28  # into its season in the open nobody sows a hardy crop under glass any more: common practice, no source
_BATCH = 10  # plants of a batch not yet sown, for ranking: common practice, no source
_SOON = timedelta(days=7)
_POT_BOUND_WEEKS, _LATE_WEEKS = 1.0, 2.0  # of growing lost when not done: common practice, no source


def sowing(view: View) -> Iterator[Item]:
    """Crops that are wanted and in season: those without a batch, and those due for the next in a row."""
    batches: dict[str, list[Planting]] = {}
    for planting in view.garden.plantings:  # ended ones too: a harvested row says when the last was sown
        if planting.place_id in view.scope:
            batches.setdefault(planting.crop, []).append(planting)
    alive = {one.crop for one in view.plantings if one.stage is not Stage.CHITTING}
    chitting = {one.crop for one in view.plantings} - alive
    glass = any(place.kind in UNDER_GLASS for place in view.garden.places)
    for key in view.wanted:
        crop = view.crops.get(key)
        place = _place(crop, view, glass) if crop else None
        if crop is None or place is None:
            continue
        if key not in alive and not (place.where is Where.CHIT and key in chitting):
            kind = JobKind.CHIT if place.where is Where.CHIT else JobKind.SOW
            yield _sow(crop, place, view, kind, place.ends_on)
        elif key in alive and (again_on := _again_on(crop, batches[key])) and again_on <= view.today:
            yield _sow(crop, place, view, JobKind.SOW_AGAIN, min(max(again_on, view.today) + _SOON, place.ends_on))


def raising(view: View) -> Iterator[Item]:
    """What the advice for each waiting batch asks for; holding asks for nothing."""
    plantings = {one.id: one for one in view.plantings}
    plans: dict[tuple[str, date | None], tuple[Outing, ...]] = {}
    for advice in view.advice:
        planting = plantings.get(advice.planting_id)
        if planting is None or advice.verdict is Verdict.HOLD:
            continue
        if advice.verdict is Verdict.HARDEN_OFF:
            same = planting.crop, planting.hardening_on if planting.stage is Stage.HARDENING else None
            if same not in plans:
                plans[same] = hours_outside(planting, view.crops[planting.crop], view.days, view.nights, view.today)
            yield from _outings(planting, advice, plans[same], view)
            continue
        kind = JobKind(advice.verdict.value)
        weeks = _POT_BOUND_WEEKS if advice.verdict is Verdict.POT_ON else _LATE_WEEKS
        yield Item(
            key=f"{kind}:{planting.id}",
            kind=kind,
            group=(kind, planting.crop),
            value_lost=weeks * worth(planting),
            crop=planting.crop,
            planting_id=planting.id,
            place_id=planting.place_id,
            by_on=view.today + _SOON,
            count=planting.count,
            detail=LEGGY if _is_leggy(planting, view.crops[planting.crop]) else None,
            reasons=advice.reasons,
        )


def _is_leggy(planting: Planting, crop: Crop) -> bool:
    """Whether it has grown taller than its rule has it before it may go out."""
    height_cm = planting.height_cm
    return crop.raising is not None and height_cm is not None and height_cm >= crop.raising.leggy_height_cm


def _outings(planting: Planting, advice: Advice, plan: tuple[Outing, ...], view: View) -> Iterator[Item]:
    """The hours outside of each of the coming days; later days only for whoever is asked to have them."""
    first = Step(StepCode.FIRST_HOURS, PRACTICE_FIRST_H, FIRST_H, None, "practice")
    reasons = (*advice.reasons, first)
    for outing in plan:
        if outing.hours == 0:
            continue
        yield Item(
            key=f"harden off:{planting.id}:{outing.on}",
            kind=JobKind.HARDEN_OFF,
            group=("harden off", str(outing.on), str(outing.hours)),
            value_lost=worth(planting),
            crop=planting.crop,
            planting_id=planting.id,
            place_id=planting.place_id,
            by_on=outing.on,
            again_days=1,
            count=planting.count,
            hours=outing.hours,
            detail="night" if outing.night else None,
            asked_only=outing.on > view.today,
            reasons=reasons,
        )


def _place(crop: Crop, view: View, glass: bool) -> Sown | None:
    """Where to start it today, the gentlest place that the garden has; outdoors only in soil that is warm enough."""
    cold_soil = view.soil_c is not None and view.soil_c < crop.sowing.soil_min_c
    found = [
        place
        for place in sowing_places(crop, view.today)
        if not (place.where is Where.OUTDOORS and cold_soil) and not (place.where is Where.UNDER_COVER and not glass)
    ]
    if _is_long_open(crop, view.today):
        found.sort(key=lambda place: place.where is not Where.OUTDOORS)
    return next(iter(found), None)


def _is_long_open(crop: Crop, on: date) -> bool:
    """Whether a crop that no frost of summer hurts has been sown in the open for weeks: a house is only too hot for it."""
    outdoors = crop.sowing.outdoors
    if outdoors is None or crop.hardiness is Hardiness.TENDER:
        return False
    return in_window(on, outdoors) and in_window(on - timedelta(days=_OPEN_DAYS), outdoors)


def _again_on(crop: Crop, batch: list[Planting]) -> date | None:
    """When the next of a row is due; None without a rhythm, a known last sowing, or time to be harvested."""
    last_on = max((one.sown_on for one in batch if one.sown_on), default=None)
    if crop.harvest.succession_days is None or last_on is None or crop.sowing.start is not Start.SEED:
        return None
    again_on = last_on + timedelta(days=crop.harvest.succession_days)
    return again_on if in_window(first_harvest(crop, again_on)[0], crop.harvest.window) else None


def _sow(crop: Crop, place: Sown, view: View, kind: JobKind, by_on: date) -> Item:
    season = Step(StepCode.SEASON, 0, None, (place.ends_on - view.today).days, _window_source(crop, place.where))
    soil = Step(StepCode.SOIL, view.soil_c, crop.sowing.soil_min_c, None, crop.sources.get("sowing.soil_min_c", ""))
    weeks = crop.cold.weeks_lost if kind is JobKind.SOW else _POT_BOUND_WEEKS
    return Item(
        key=f"{kind}:{crop.key}:{place.where}:{view.today.year}",
        kind=kind,
        group=(kind, crop.key, place.where),
        value_lost=weeks * _BATCH,
        crop=crop.key,
        by_on=by_on,
        again_days=crop.harvest.succession_days or 14,
        cm=crop.sowing.depth_cm if kind is not JobKind.CHIT else None,
        detail=place.where.value,
        reasons=(season, soil) if place.where is Where.OUTDOORS else (season,),
    )


def _window_source(crop: Crop, where: Where) -> str:
    key = "chit" if where is Where.CHIT else where.value.replace(" ", "_")
    return crop.sources.get(f"sowing.{key}", "practice")
