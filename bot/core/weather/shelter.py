"""What a cover or a place does to the night minimum at the plant: stated ranges with their sources, never promises.

A range is in degrees C, added to the estimate it starts from. A low end at or below zero says that measured nights
show the cover failing: a garden must not count on it. `SOURCES` keys are worded in docs/cold.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bot.core.garden.snapshot import Cover, PlaceKind
from bot.core.weather.odds import Estimate, Step, StepCode

__all__ = ["COVER_EFFECTS", "OPENED", "SHELTER_EFFECTS", "Base", "Effect", "place_effect", "placed"]


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
