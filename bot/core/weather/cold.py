"""The cold of each coming night, at 2 m, at the ground, and at a plant in its place under its cover."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from bot.core.garden.snapshot import Cover, Place, PlaceKind, Taught
from bot.core.weather.ground import NightKind
from bot.core.weather.lead_error import lead_error_c
from bot.core.weather.night import Night, Site
from bot.core.weather.night_course import course_c, hours_below_course
from bot.core.weather.night_minima import expected_at, nights
from bot.core.weather.odds import Estimate, Step, StepCode
from bot.core.weather.recursive_line import carried_c
from bot.core.weather.shelter import placed
from bot.core.weather.timeline import Day, days

__all__ = [
    "Day",
    "Night",
    "NightKind",
    "Site",
    "at_plant",
    "at_plant_steps",
    "course",
    "days",
    "expected_at",
    "hours_below",
    "lead_error_c",
    "nights",
    "taught_there",
]

_HOUR = timedelta(hours=1)


def at_plant(
    night: Night,
    shelter: PlaceKind,
    cover: Cover,
    *,
    in_pot: bool,
    opened: bool = False,
    taught: Taught | None = None,
) -> Estimate:
    """The night's minimum at a plant in that place under that cover; opened: of a house, its doors and vents stand open.

    taught: moves the estimate by what the place's own thermometer showed. The band stays as wide as it was.
    """
    estimate = placed(night.air, night.ground, shelter, cover, in_pot=in_pot, opened=opened)[0]
    return estimate if taught is None else estimate.shifted(taught.offset_c)


def at_plant_steps(
    night: Night,
    shelter: PlaceKind,
    cover: Cover,
    *,
    in_pot: bool,
    opened: bool = False,
    taught: Taught | None = None,
) -> tuple[Step, ...]:
    """The night's steps and those of the place, for "Why?"."""
    steps = (*night.steps, placed(night.air, night.ground, shelter, cover, in_pot=in_pot, opened=opened)[1])
    if taught is None:
        return steps
    low_c, high_c = taught.offset_c - 1.645 * taught.sd_c, taught.offset_c + 1.645 * taught.sd_c
    return (*steps, Step(StepCode.PLACE_LEARNED, taught.offset_c, low_c, high_c, f"{taught.count} readings"))


def taught_there(night: Night, place: Place) -> Taught | None:
    """What the place's own thermometer has taught of such nights, the part of its last night's error in it."""
    clear_still, other = place.taught
    taught = clear_still if night.kind is NightKind.RADIATION else other
    if taught is None:
        return None
    more_c = carried_c(taught.last_error_c, taught.last_on, night.evening_on + timedelta(days=1))
    return replace(taught, offset_c=taught.offset_c + more_c)


def course(night: Night, at: datetime, minimum_c: float | None = None) -> float | None:
    """Air temperature at a moment between sunset and sunrise; of a plant, when its own minimum is given."""
    if night.dusk_c is None:
        return None
    lowest_c = night.air.mean_c if minimum_c is None else minimum_c
    return course_c(night.dusk_c, lowest_c, (at - night.sunset_at) / _HOUR, night.length_h)


def hours_below(night: Night, threshold_c: float, minimum_c: float | None = None) -> float | None:
    """Hours of the night below a threshold, in the air or, with its own minimum, at a plant; None without a course."""
    if night.dusk_c is None:
        return None
    lowest_c = night.air.mean_c if minimum_c is None else minimum_c
    return hours_below_course(night.dusk_c, lowest_c, night.length_h, threshold_c)
