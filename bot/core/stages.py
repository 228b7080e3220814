"""Which stage a batch has reached: by what was done to it, else by days and warmth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from bot.core.crop import Crop, Start
from bot.core.garden import Planting, Stage
from bot.core.warmth import emergence_days

__all__ = ["Basis", "Reached", "stage_now"]

DailyMean = Callable[[date], float | None]


class Basis(StrEnum):
    DONE = "done"  # somebody recorded it
    DAYS = "days"
    WARMTH = "warmth"


@dataclass(frozen=True, slots=True)
class Reached:
    """stage: where the batch stands. basis: how that is known. due_on: the day it was reached, when reckoned."""

    stage: Stage
    basis: Basis
    due_on: date | None = None


def stage_now(
    planting: Planting,
    crop: Crop,
    today: date,
    soil_c: float | None = None,
    mean_c: DailyMean | None = None,
) -> Reached:
    """The stage a batch has reached today, never earlier than what was recorded.

    soil_c: warmth of the soil since sowing, None when unknown (then nothing is taken to have come up by warmth).
    mean_c: mean air temperature of a past day; with it a crop with published heat to harvest ripens by warmth.
    """
    if planting.stage is Stage.SOWN:
        return _emerged(planting, crop, today, soil_c) or Reached(Stage.SOWN, Basis.DONE)
    if planting.stage in (Stage.GROWING, Stage.FLOWERING):
        return _ripe(planting, crop, today, mean_c) or Reached(planting.stage, Basis.DONE)
    return Reached(planting.stage, Basis.DONE)


def _emerged(planting: Planting, crop: Crop, today: date, soil_c: float | None) -> Reached | None:
    days = emergence_days(crop.sowing.emergence, soil_c) if soil_c is not None else None
    if planting.sown_on is None or days is None:
        return None
    due_on = planting.sown_on + timedelta(days=round(days))
    return Reached(Stage.SEEDLING, Basis.WARMTH, due_on) if due_on <= today else None


def _ripe(planting: Planting, crop: Crop, today: date, mean_c: DailyMean | None) -> Reached | None:
    started_on = _started_on(planting, crop)
    if started_on is None:
        return None
    by_warmth = _ripe_by_warmth(crop, started_on, today, mean_c)
    if by_warmth is not None:
        return by_warmth if by_warmth.due_on else None
    due_on = started_on + timedelta(days=crop.harvest.days[0])
    return Reached(Stage.READY, Basis.DAYS, due_on) if due_on <= today else None


def _started_on(planting: Planting, crop: Crop) -> date | None:
    """The day that `Harvest.days` counts from: sowing for seed, planting for sets, tubers and bought plants."""
    if crop.sowing.start is Start.SEED:
        return planting.sown_on
    return planting.planted_on or planting.sown_on


def _ripe_by_warmth(crop: Crop, started_on: date, today: date, mean_c: DailyMean | None) -> Reached | None:
    """Summed degree days (day's mean less base, floor 0: Peet, NCSU); None when not known for every day."""
    base, needed = crop.harvest.base_c, crop.harvest.degree_days
    if mean_c is None or base is None or needed is None:
        return None
    warmth = 0.0
    for n in range((today - started_on).days):
        day_c = mean_c(started_on + timedelta(days=n))
        if day_c is None:
            return None
        warmth += max(0.0, day_c - base)
        if warmth >= needed:
            return Reached(Stage.READY, Basis.WARMTH, started_on + timedelta(days=n))
    return Reached(Stage.GROWING, Basis.WARMTH)
