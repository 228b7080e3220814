"""The cold of each coming night, at 2 m, at the ground, and at a plant in its place under its cover.

How a night cools between sunset and sunrise, and so for how long it is below a threshold.

What a cover or a place does to the night minimum at the plant: stated ranges with their sources, never promises.

A range is in degrees C, added to the estimate it starts from. A low end at or below zero says that measured nights
show the cover failing: a garden must not count on it. `SOURCES` keys are worded in docs/cold.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from bot.core.garden.snapshot import Cover, Place, PlaceKind, Taught
from bot.core.weather.ground import NightKind
from bot.core.weather.learn import carried_c
from bot.core.weather.night import Night, Site
from bot.core.weather.night_minima import expected_at, lead_error_c, nights
from bot.core.weather.odds import Estimate, Step, StepCode
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

_START_H = 2.0


def course_c(start_c: float, minimum_c: float, hours_after_sunset: float, night_h: float) -> float:
    """Temperature at a moment of the night, degrees C.

    T(i) = T2 + (Tn - T2) * sqrt((i - 2) / (n - 2)), i hours after sunset, n hours from sunset to sunrise, T2 two hours
    after sunset, Tn the minimum at sunrise (Snyder & de Melo-Abreu 2005, FAO ENRS 10, ch. 5). Valid for radiation
    nights from 2 h after sunset to sunrise; held at T2 before and at Tn after. A night that does not cool holds Tn.
    """
    if night_h <= _START_H or start_c <= minimum_c:
        return minimum_c
    share = min(max((hours_after_sunset - _START_H) / (night_h - _START_H), 0.0), 1.0)
    return start_c + (minimum_c - start_c) * math.sqrt(share)


def hours_below_course(start_c: float, minimum_c: float, night_h: float, threshold_c: float) -> float:
    """Hours between sunset and sunrise during which the course is below threshold_c."""
    if minimum_c >= threshold_c:
        return 0.0
    if night_h <= _START_H or start_c <= threshold_c:
        return max(night_h, 0.0)
    crossed = ((threshold_c - start_c) / (minimum_c - start_c)) ** 2
    return (1.0 - crossed) * (night_h - _START_H)


class Base(StrEnum):
    """Which estimate a place starts from."""

    GROUND = "ground"  # 10 cm above grass under the open sky
    AIR = "air"  # screen air: the plants do not see the sky
    ROOM = "room"  # a temperature of its own, whatever the night does outside


@dataclass(frozen=True, slots=True)
class Effect:
    """A change of low_c to high_c on `base` (for ROOM: the temperature itself)."""

    low_c: float
    high_c: float
    source: str
    base: Base = Base.GROUND


# Measured row covers: mean lift of +1.8, +0.5 and +0.8 C over seasons, single nights of 0.0 and -0.6 C.
_ROW_COVER_SOURCE = "Oregon State Univ. 1988, Tables 1-2"
_PRACTICE = "common practice, no source"

COVER_EFFECTS: dict[Cover, Effect] = {
    Cover.NONE: Effect(0.0, 0.0, ""),
    Cover.FLEECE: Effect(-0.6, 2.0, _ROW_COVER_SOURCE),
    Cover.DOUBLE_FLEECE: Effect(-0.6, 4.0, "Garden Answers Feb 2018: twice the single fleece; Oregon State Univ. 1988"),
    Cover.CLOCHE: Effect(
        -0.5, 1.5, "Geographical Bulletin 39(1), not confirmed: slightly colder; upper end " + _PRACTICE
    ),
    Cover.NET: Effect(0.0, 0.5, _PRACTICE),
}

SHELTER_EFFECTS: dict[PlaceKind, Effect] = {
    PlaceKind.BED: Effect(0.0, 0.0, ""),
    PlaceKind.CONTAINER: Effect(0.0, 0.0, ""),
    # Mean minimum +1.3 C inside; colder inside for a while after sunset, hence a low end below zero.
    PlaceKind.TUNNEL: Effect(-0.5, 2.5, "Savage 1980, Agrochemophysica 12:5-13", Base.AIR),
    PlaceKind.FRAME: Effect(-0.5, 3.0, "from memory: cold glass 0-3 C, not reliable", Base.AIR),
    PlaceKind.GREENHOUSE: Effect(-0.5, 3.0, "from memory: cold glass 0-3 C, not reliable", Base.AIR),
    PlaceKind.INDOORS: Effect(8.0, 18.0, _PRACTICE, Base.ROOM),
}

#: A house whose doors or vents stand open is as cold inside as the air outside; its roof still shuts out the sky.
OPENED = Effect(-0.5, 0.0, _PRACTICE, Base.AIR)

_ROOM_SD_C = 2.0
# The ground figures are one lowland lawn's; bare soil and a pot's side differ. Common practice, no source.
BARE_SOIL_SD_C = 0.7
POT_SD_C = 1.0


def place_effect(shelter: PlaceKind, cover: Cover, *, opened: bool = False) -> Effect:
    """The cover's range upon the shelter's, added end to end; in a room a cover does nothing."""
    house, over = OPENED if opened else SHELTER_EFFECTS[shelter], COVER_EFFECTS[cover]
    if house.base is Base.ROOM or cover is Cover.NONE:
        return house
    source = "; ".join(part for part in (house.source, over.source) if part)
    return Effect(house.low_c + over.low_c, house.high_c + over.high_c, source, house.base)


def placed(
    air: Estimate, ground: Estimate, shelter: PlaceKind, cover: Cover, *, in_pot: bool, opened: bool = False
) -> tuple[Estimate, Step]:
    """The night minimum at a plant there, degrees C, and the step that says how.

    air: at 2 m; ground: at 10 cm over grass in the open. Outdoors the band is widened for bare soil, and more in a pot.
    opened: the doors or vents of the house stand open.
    """
    effect = place_effect(shelter, cover, opened=opened)
    step = Step(StepCode.PLACE, 0.5 * (effect.low_c + effect.high_c), effect.low_c, effect.high_c, effect.source)
    if effect.base is Base.ROOM:
        return Estimate(0.0, _ROOM_SD_C).ranged(effect.low_c, effect.high_c), step
    start = ground if effect.base is Base.GROUND else air
    sd_c = POT_SD_C if in_pot else BARE_SOIL_SD_C
    return start.widened(sd_c).ranged(effect.low_c, effect.high_c), step


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
