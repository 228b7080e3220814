"""How dry beds and pots get, and how many litres are due. See docs/water.md.

A bed is the bucket of FAO-56 chapter 8; a pot is a bucket of its own, with the rain that its mouth catches.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from bot.core.garden.snapshot import HOUSES, UNDER_GLASS, Cover, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.evapotranspiration import Et0, Method, daily
from bot.core.growing.hardiness import in_pots
from bot.core.warnings.pots import canopy_width_m
from bot.core.weather.days import Day
from bot.core.weather.odds import Step, StepCode

CAN_L = 10.0
# Water that plants can draw, share of the volume: loam 0.17, sandy loam 0.12 (Israelsen 1932, read via
# weather.nmsu.edu, 2026-11-25). Potting compost about 0.3: common practice, no source.
_SOIL_SHARE, _COMPOST_SHARE = 0.15, 0.30
_DOSE_SHARE = 0.10  # of a pot's volume at one watering: RHS, read via gardeningetc.com
_SEED_ROOT_M = 0.15  # roots of a young plant: engineering estimate
# Initial, development, mid and late shares of a season: mean of potato 30/35/50/30, pea 15/25/35/15 and winter squash
# 25/35/35/25 days (FAO-56 Table 11).
_STAGE_SHARES = (0.19, 0.27, 0.34, 0.20)
# A young plant on a bench stands in a 9 cm pot of about 0.35 L: the trade's size, from memory; modules hold less.
_POT_M2, _POT_L = 0.0081, 0.35
_YOUNG = (Stage.CHITTING, Stage.SOWN, Stage.SEEDLING, Stage.POTTED_ON, Stage.HARDENING, Stage.HARDENED)


class Decision(StrEnum):
    """WATER now; RAIN_ENOUGH: it would be due, but the rain to come does it; NOT_DUE; UNKNOWN: too little is known."""

    WATER = "water"
    RAIN_ENOUGH = "rain enough"
    NOT_DUE = "not due"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Bucket:
    """What a place holds, litres. area_m2: what rain falls on. leaf_m2: what dries it out.

    total_l: all that plants can draw; readily_l: what they draw without suffering. rained_on: rain reaches it.
    """

    area_m2: float
    leaf_m2: float
    kc: float
    total_l: float
    readily_l: float
    rained_on: bool


@dataclass(frozen=True, slots=True)
class Watering:
    """Whether and how much, with the numbers that led there.

    depletion_l: what is missing on the evening of the day asked about; readily_l: what may be. used_l, rain_l: drawn
    by plants and caught up to then. coming_l: rain caught in the days after. estimated: some ET0 was not by full data.
    dry_assumed_n: days whose rain is not known and was counted as none. days_n: days of drying reckoned with.
    rained_on: rain reaches the place. crops: in a house, those that want it, where others there do not.
    """

    decision: Decision
    litres: float = 0.0
    cans: int = 0
    depletion_l: float = 0.0
    readily_l: float = 0.0
    used_l: float = 0.0
    rain_l: float = 0.0
    coming_l: float = 0.0
    estimated: bool = False
    dry_assumed_n: int = 0
    days_n: int = 0
    rained_on: bool = True
    crops: tuple[str, ...] = ()


def steps(due: Watering) -> tuple[Step, ...]:
    """How a watering came about, for Why."""
    return (
        Step(StepCode.DRUNK, due.used_l, None, due.days_n, "fao56"),
        Step(StepCode.RAINED, due.rain_l, float(due.rained_on), None, "past-days"),
        Step(StepCode.DRY_BY, due.depletion_l, None, due.readily_l, "fao56"),
        Step(StepCode.RAIN_TO_COME, due.coming_l if due.rained_on else None, None, None, "forecast"),
        Step(StepCode.UNKNOWN_RAIN, due.dry_assumed_n or None, None, None, ""),
    )


def unbroken(days: Sequence[Day], first_on: date, last_on: date) -> tuple[Day, ...]:
    """Of days ascending, the run that ends on last_on and begins no earlier than first_on: no day missing, each with
    its extremes of temperature. What was before a gap is not known, and the balance begins after it.
    """
    by_date = {day.on: day for day in days if day.min_c is not None and day.max_c is not None}
    run: list[Day] = []
    on = last_on
    while on >= first_on and on in by_date:
        run.append(by_date[on])
        on -= timedelta(days=1)
    return tuple(reversed(run))


def stage_lengths(season_days: int) -> tuple[float, float, float, float]:
    """Days of the initial, development, mid and late stage in a season of `season_days`."""
    first, second, third, fourth = (share * season_days for share in _STAGE_SHARES)
    return first, second, third, fourth


def kc_on(kc: tuple[float, float, float], day: float, lengths: tuple[float, float, float, float]) -> float:
    """The crop coefficient on a day of the season, from (initial, mid, end): FAO-56 figure 34 and equation 66."""
    first, mid, end = kc
    initial, development, middle, late = lengths
    if day <= initial:
        return first
    if day < initial + development:
        return first + (mid - first) * (day - initial) / development
    if day <= initial + development + middle:
        return mid
    return mid + (end - mid) * min(1.0, (day - initial - development - middle) / late)


def total_mm(root_m: float, available: float = _SOIL_SHARE) -> float:
    """Total available water TAW, mm, of a root zone (FAO-56 (82)); available: field capacity less wilting point."""
    return 1000.0 * available * root_m


def readily_mm(total_mm: float, depletion: float, etc_mm: float) -> float:
    """Readily available water RAW, mm: p TAW with p + 0.04 (5 - ETc) held to 0.1-0.8 (FAO-56 (83) and Table 22)."""
    return total_mm * max(0.1, min(0.8, depletion + 0.04 * (5.0 - etc_mm)))


def mouth_m2(place: Place) -> float:
    """Area that rain falls on: an ellipse for a container, a rectangle for anything else. ValueError when not known."""
    length, width = place.length_m or place.width_m, place.width_m or place.length_m
    if not length or not width:
        raise ValueError(f"{place.name}: length and width are not known, give them to reckon its water")
    return length * width * (math.pi / 4.0 if place.kind is PlaceKind.CONTAINER else 1.0)


def catches_rain(place: Place) -> bool:
    """Whether rain reaches the soil: not under a roof or cloche; fleece and net let it through (common practice)."""
    return place.shelter not in HOUSES and place.cover is not Cover.CLOCHE


def bucket(place: Place, growing: Sequence[tuple[Planting, Crop]], on: date, et0_mm: float = 5.0) -> Bucket:
    """The bucket of a place with what grows in it; the thirstiest crop decides, and the shallowest root.

    et0_mm: of a day, for the share readily drawn. ValueError when a size is missing or nothing grows.
    """
    if not growing:
        raise ValueError(f"{place.name}: nothing grows here, expected at least one planting")
    if place.kind in UNDER_GLASS:
        area_m2 = leaf_m2 = sum(_floor_m2(planting, crop, place) for planting, crop in growing)
        total_l = sum(_floor_l(planting, crop, place, on) for planting, crop in growing)
        return _filled(place, growing, on, et0_mm, area_m2, leaf_m2, total_l)
    area_m2 = leaf_m2 = mouth_m2(place)
    if place.kind is PlaceKind.CONTAINER:
        if not place.volume_l:
            raise ValueError(f"{place.name}: volume is not known, give its litres to reckon its water")
        leaf_m2 = max(area_m2, sum(_canopy_m2(planting) for planting, _ in growing))
        total_l = place.volume_l * _COMPOST_SHARE
    else:
        total_l = total_mm(min(_root_m(planting, crop, on) for planting, crop in growing)) * area_m2
    return _filled(place, growing, on, et0_mm, area_m2, leaf_m2, total_l)


def _filled(
    place: Place,
    growing: Sequence[tuple[Planting, Crop]],
    on: date,
    et0_mm: float,
    area_m2: float,
    leaf_m2: float,
    total_l: float,
) -> Bucket:
    kc = max(_kc(planting, crop, on) for planting, crop in growing)
    depletion = min(crop.care.depletion for _, crop in growing)
    return Bucket(area_m2, leaf_m2, kc, total_l, readily_mm(total_l, depletion, kc * et0_mm), catches_rain(place))


def litres_due(
    place: Place,
    growing: Sequence[tuple[Planting, Crop]],
    past: Sequence[Day],
    coming: Sequence[Day],
    *,
    latitude: float,
    altitude_m: float | None = None,
    start_l: float = 0.0,
) -> Watering:
    """Litres due at a place on the evening of the last day of `past`.

    past: the days since the place was last full (watered through or rained full), or since `start_l` litres were
    missing; coming: the days whose rain may spare a turn. A pot gets at least a tenth of its volume. In a house each batch
    has soil of its own: lettuces by the tomatoes are dry when theirs is. ValueError when sizes are missing or `past` is
    empty.
    """
    if place.kind not in UNDER_GLASS or len(growing) < 2 or not past:
        return _due(place, growing, past, coming, latitude=latitude, altitude_m=altitude_m, start_l=start_l)
    holds_l = [_floor_l(planting, crop, place, past[-1].on) for planting, crop in growing]
    each = [
        _due(
            place, [one], past, coming, latitude=latitude, altitude_m=altitude_m,
            start_l=start_l * own_l / (sum(holds_l) or 1.0),
        )
        for one, own_l in zip(growing, holds_l, strict=True)
    ]  # fmt: skip
    return _together(each, [crop.key for _, crop in growing])


def _together(each: Sequence[Watering], crops: Sequence[str]) -> Watering:
    """One watering of a house: of the batches that want it, else how all of them stand."""
    dry = [one for one in each if one.decision is Decision.WATER]
    told = dry or list(each)
    unknown = any(one.decision is Decision.UNKNOWN for one in each)
    litres = sum(one.litres for one in told)
    some = [crop for one, crop in zip(each, crops, strict=True) if one.decision is Decision.WATER]
    return replace(
        told[0],
        decision=Decision.WATER if dry else Decision.UNKNOWN if unknown else told[0].decision,
        litres=litres,
        cans=math.ceil(litres / CAN_L),
        depletion_l=sum(one.depletion_l for one in told),
        readily_l=sum(one.readily_l for one in told),
        used_l=sum(one.used_l for one in told),
        rain_l=sum(one.rain_l for one in told),
        coming_l=sum(one.coming_l for one in told),
        estimated=any(one.estimated for one in told),
        crops=tuple(dict.fromkeys(some)) if 0 < len(dry) < len(each) else (),
    )


def _due(
    place: Place,
    growing: Sequence[tuple[Planting, Crop]],
    past: Sequence[Day],
    coming: Sequence[Day],
    *,
    latitude: float,
    altitude_m: float | None,
    start_l: float,
) -> Watering:
    if not past:
        raise ValueError(f"{place.name}: no days are given, expected at least one")
    known = [daily(day, latitude, altitude_m) for day in past]
    losses = [et0 for et0 in known if et0 is not None]
    if len(losses) < len(past):
        return Watering(Decision.UNKNOWN)
    kept = bucket(place, growing, past[-1].on, sum(et0.mm for et0 in losses) / len(losses))
    missing_l, used_l = min(start_l, kept.total_l), 0.0
    for day, et0 in zip(past, losses, strict=True):
        drawn_l = _drawn_l(kept, et0, missing_l)
        used_l += drawn_l
        missing_l = max(0.0, missing_l + drawn_l - _caught_l(kept, day))
    coming_l = sum(_caught_l(kept, day) for day in coming)
    decision = _decide(missing_l, kept.readily_l, coming_l)
    # A place that lives on though nobody has said a word of water for weeks had some: no more is asked for at once than
    # what a place wants that was looked after up to yesterday.
    most_l = kept.readily_l + max(_used_l(kept, et0) for et0 in losses)
    litres = max(min(missing_l, most_l), _dose_l(place)) if decision is Decision.WATER else 0.0
    return Watering(
        decision=decision,
        litres=litres,
        cans=math.ceil(litres / CAN_L),
        depletion_l=missing_l,
        readily_l=kept.readily_l,
        used_l=used_l,
        rain_l=sum(_caught_l(kept, day) for day in past),
        coming_l=coming_l,
        estimated=any(et0.method is not Method.PENMAN_MONTEITH for et0 in losses),
        dry_assumed_n=sum(day.rain_mm is None for day in past) if kept.rained_on else 0,
        days_n=len(past),
        rained_on=kept.rained_on,
    )


def _used_l(kept: Bucket, et0: Et0) -> float:
    return et0.mm * kept.kc * kept.leaf_m2


def _drawn_l(kept: Bucket, et0: Et0, missing_l: float) -> float:
    """What plants draw in a day: less as it gets dry (Ks of FAO-56 (84)), and never more than is there."""
    dry_l = max(0.0, missing_l - kept.readily_l)
    ease = 1.0 - dry_l / (kept.total_l - kept.readily_l)
    return min(ease * _used_l(kept, et0), kept.total_l - missing_l)


def _decide(missing_l: float, readily_l: float, coming_l: float) -> Decision:
    if missing_l < readily_l:
        return Decision.NOT_DUE
    return Decision.RAIN_ENOUGH if missing_l - coming_l < readily_l else Decision.WATER


def _caught_l(kept: Bucket, day: Day) -> float:
    """A millimetre on a square metre is a litre. Rain that is not known is counted as none, and said to be."""
    return (day.rain_mm or 0.0) * kept.area_m2 if kept.rained_on else 0.0


def _dose_l(place: Place) -> float:
    return _DOSE_SHARE * (place.volume_l or 0.0) if place.kind is PlaceKind.CONTAINER else 0.0


def _kc(planting: Planting, crop: Crop, on: date) -> float:
    """By age since sowing or planting; a batch in flower or fruit never uses less than the mid value."""
    first, mid, _ = crop.care.kc
    if planting.stage in _YOUNG:
        return first
    share = _season_share(planting, crop, on)
    by_age = mid if share is None else kc_on(crop.care.kc, share, stage_lengths(1))
    return max(by_age, mid) if planting.stage is Stage.FLOWERING else by_age


def _season_share(planting: Planting, crop: Crop, on: date) -> float | None:
    """How much of its season has passed, 0-1; the longest time to harvest stands for the season."""
    since = planting.sown_on or planting.planted_on
    return None if since is None else max(0.0, min(1.0, (on - since).days / crop.harvest.days[1]))


def _root_m(planting: Planting, crop: Crop, on: date) -> float:
    """Roots grow evenly down to their greatest depth by the mid stage (FAO-56 chapter 8)."""
    share = _season_share(planting, crop, on)
    if planting.stage in _YOUNG:
        return min(_SEED_ROOT_M, crop.care.root_m)
    if share is None:
        return crop.care.root_m
    grown = min(1.0, share / (_STAGE_SHARES[0] + _STAGE_SHARES[1]))
    return min(_SEED_ROOT_M, crop.care.root_m) + grown * max(0.0, crop.care.root_m - _SEED_ROOT_M)


def _floor_m2(planting: Planting, crop: Crop, place: Place) -> float:
    """What a batch in a house takes of its bench or border: its pots, or its spacing."""
    if in_pots(planting, place, crop):
        return planting.count * _POT_M2
    return planting.count * crop.planting.in_row_cm * crop.planting.rows_cm / 1e4


def _floor_l(planting: Planting, crop: Crop, place: Place, on: date) -> float:
    """What plants can draw there, litres."""
    if in_pots(planting, place, crop):
        return planting.count * _POT_L * _COMPOST_SHARE
    return total_mm(_root_m(planting, crop, on)) * _floor_m2(planting, crop, place)


def _canopy_m2(planting: Planting) -> float:
    return planting.count * math.pi / 4.0 * canopy_width_m((planting.height_cm or 0.0) / 100.0) ** 2
