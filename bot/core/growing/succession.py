"""When to sow, how much, how often, and what may still fill a gap."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from bot.core.growing.crop import NOT_FOOD, Crop, DayRange, Hardiness, Raising
from bot.core.growing.seasons import closes_on, harvest_days, in_window


class Where(StrEnum):
    INDOORS = "indoors"
    UNDER_COVER = "under cover"
    OUTDOORS = "outdoors"
    CHIT = "to chit"
    PLANTED_OUT = "planted out"


@dataclass(frozen=True, slots=True)
class Sown:
    """A place to sow on a day. ends_on: the last day on which the trade sows it there."""

    where: Where
    ends_on: date


@dataclass(frozen=True, slots=True)
class Sowing:
    """One of a row of sowings, and the days (first, last) on which its first harvest is due."""

    sow_on: date
    harvest_from_on: date
    harvest_by_on: date


@dataclass(frozen=True, slots=True)
class Filler:
    """A crop that still fits a gap. ready_on: its first harvest at the slower end. spare_days: left after that."""

    crop: str
    where: Where
    ready_on: date
    spare_days: int


def sow_between(plant_out_on: date, raising: Raising) -> tuple[date, date]:
    """(earliest, latest) day to sow so that plants are ready to set out on `plant_out_on`."""
    least, most = raising.ready_weeks
    return plant_out_on - timedelta(weeks=most), plant_out_on - timedelta(weeks=least)


def how_many_to_sow(wanted: int, germination: float, loss: float, confidence: float = 0.9) -> int:
    """The least number of seeds of which at least `wanted` become plants with probability `confidence`.

    germination: share that comes up, 0-1. loss: share of those lost before planting out, 0-1. Each seed fares alone:
    the number needed follows the negative binomial, summed exactly; shared losses (a frost, a mouse) are not in it.
    Raises ValueError when nothing would survive or a share is out of range.
    """
    if wanted <= 0:
        return 0
    if not (0 < germination <= 1 and 0 <= loss < 1 and 0 < confidence < 1):
        raise ValueError(
            f"germination {germination}, loss {loss}, confidence {confidence}: expected shares within 0 and 1"
        )
    survive = germination * (1 - loss)
    if survive == 1:
        return wanted
    sown, reached = wanted, 0.0
    while True:
        reached += math.exp(_log_needed(sown, wanted, survive))
        if reached >= confidence:
            return sown
        sown += 1


def _log_needed(sown: int, wanted: int, survive: float) -> float:
    """Log of the probability that the seed number `sown` gives the plant number `wanted`."""
    choose = math.lgamma(sown) - math.lgamma(wanted) - math.lgamma(sown - wanted + 1)
    return choose + wanted * math.log(survive) + (sown - wanted) * math.log1p(-survive)


def first_harvest(crop: Crop, started_on: date) -> tuple[date, date]:
    """(earliest, latest) day of the first harvest of what is started (sown, or planted for sets and tubers)."""
    least, most = harvest_days(crop, started_on)
    return started_on + timedelta(days=least), started_on + timedelta(days=most)


def turns(crop: Crop, from_on: date, until_on: date, every_days: int | None = None) -> tuple[Sowing, ...]:
    """Sowings from `from_on` to `until_on` so that harvests follow each other; the crop's own rhythm by default.

    Days outside every sowing window are left out, and so are sowings whose crop would come after its season.
    A crop without a rhythm is sown once.
    """
    step = every_days or crop.harvest.succession_days
    last = (until_on - from_on).days if step else 0
    days = (from_on + timedelta(days=n) for n in range(0, last + 1, step or 1))
    fits = (day for day in days if sowing_places(crop, day) and _in_time(crop, day))
    return tuple(Sowing(day, *first_harvest(crop, day)) for day in fits)


def sowing_places(crop: Crop, on: date) -> tuple[Sown, ...]:
    """Where the trade starts this crop on this day, the gentlest place first; tubers are set out to chit last."""
    return tuple(Sown(where, closes_on(on, span)) for where, span in sowing_windows(crop) if in_window(on, span))


def sowing_windows(crop: Crop) -> tuple[tuple[Where, DayRange], ...]:
    """Every window in which the trade starts this crop; an autumn sowing outdoors has one of its own."""
    sowing = crop.sowing
    windows = (
        (Where.INDOORS, sowing.indoors),
        (Where.UNDER_COVER, sowing.under_cover),
        (Where.OUTDOORS, sowing.outdoors),
        (Where.OUTDOORS, sowing.autumn),
        (Where.CHIT, sowing.chit),
    )
    return tuple((where, span) for where, span in windows if span)


def fill_gap(
    crops: Mapping[str, Crop], on: date, first_frost_on: date | None, families: frozenset[str] = frozenset()
) -> tuple[Filler, ...]:
    """What may still be sown in, or set out into, an empty bed on a day and be eaten in time; soonest first.

    first_frost_on: the day by which an autumn frost is likely, None when unknown; tender crops must be ready before it,
    and without it they are held to their season. families: botanical families that may not come back to this bed yet.
    """
    edible = (crop for crop in crops.values() if crop.kind not in NOT_FOOD and crop.family not in families)
    fits = (_filler(crop, on, first_frost_on) for crop in edible)
    return tuple(sorted((one for one in fits if one), key=lambda one: (one.ready_on, one.crop)))


def _filler(crop: Crop, on: date, first_frost_on: date | None) -> Filler | None:
    where, days = _into_a_bed(crop, on)
    if where is None:
        return None
    ready_on = on + timedelta(days=days)
    season_end = closes_on(ready_on, crop.harvest.window)
    if not in_window(ready_on, crop.harvest.window):
        return None
    frost_ends = crop.hardiness is not Hardiness.HARDY and first_frost_on is not None
    end_on = min(season_end, first_frost_on) if frost_ends and first_frost_on else season_end
    spare = (end_on - ready_on).days
    return Filler(crop.key, where, ready_on, spare) if spare >= 0 else None


def _into_a_bed(crop: Crop, on: date) -> tuple[Where | None, int]:
    """How it gets into the bed that day, and the days to harvest from then, at the slower end."""
    most = crop.harvest.days[1]
    if crop.sowing.outdoors and in_window(on, crop.sowing.outdoors):
        return Where.OUTDOORS, most
    if crop.planting.out and in_window(on, crop.planting.out):
        raised = 7 * crop.raising.ready_weeks[0] if crop.raising else 0
        return Where.PLANTED_OUT, max(0, most - raised)
    return None, 0


def _in_time(crop: Crop, on: date) -> bool:
    """Whether at least the quickest of a sowing comes within the season of harvest."""
    return in_window(first_harvest(crop, on)[0], crop.harvest.window)
