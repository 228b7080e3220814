"""How many people a load needs, by published lifting guidance and by what each member says they are glad to lift.

Source: Health and Safety Executive, Manual handling at work: a brief guide, INDG143(rev4), 2020, and Manual handling,
L23, 4th ed. 2016 (figures and rules read via copies, 2026-11-25; see each constant). The figures are a filter, no safe
limit: within them an operation seldom needs a closer look, and nobody has to lift anything. Strength is never assumed
by sex: whoever has not said is taken by the lower of the two published figures, whoever has said by their own word,
and nobody is asked for more than the higher figure. Local rules and a person's own judgement go first.

Valid for a load held in both hands, easy to grasp, good footing, a stable body, back upright.
"""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache
from math import ceil
from typing import Protocol

from bot.core.finding import TaskKind
from bot.core.garden.snapshot import PlaceKind


class Zone(StrEnum):
    """How high the hands are. Hands that pass through two zones count in the one with the smaller figure."""

    HEAD = "shoulder to head"
    CHEST = "elbow to shoulder"
    WAIST = "knuckle to elbow"
    KNEE = "lower leg to knuckle"  # a pot taken by its rim or handles
    GROUND = "below the lower leg"  # a tray or bag taken from the ground


class Reach(StrEnum):
    CLOSE = "close to the body"
    ARMS_LENGTH = "at arm's length"


# Kilograms (close, at arm's length). The higher published figures: INDG143, read via safetyservicesdirect.com, 2022.
HIGHER_KG: dict[Zone, tuple[float, float]] = {
    Zone.HEAD: (10.0, 5.0),
    Zone.CHEST: (20.0, 10.0),
    Zone.WAIST: (25.0, 15.0),
    Zone.KNEE: (20.0, 10.0),
    Zone.GROUND: (10.0, 5.0),
}
# The lower published figures: 16 at the waist, 7 and 3 at the head, INDG143, read via first4lawyers.com, 2021. The
# others could not be read: the higher figure times the smallest ratio that could (16/25 close, 3/5 at arm's length).
LOWER_KG: dict[Zone, tuple[float, float]] = {
    Zone.HEAD: (7.0, 3.0),
    Zone.CHEST: (12.8, 6.0),
    Zone.WAIST: (16.0, 9.0),
    Zone.KNEE: (12.8, 6.0),
    Zone.GROUND: (6.4, 3.0),
}
CARRY_M = 10.0  # carry no further without a rest; INDG143, read via a copy at watmos.simplyhas.com
MAX_TEAM = 3  # the rule for teams is published for two and three people only

# What asks something of the hands: carried, or tilted over its foot to lie down and to stand again.
_CARRIED = frozenset({TaskKind.BRING_IN, TaskKind.PUT_BACK, TaskKind.MOVE_FROM_RAIN})
_TILTED = frozenset({TaskKind.LAY_DOWN, TaskKind.STAND_UP})
HANDLED = _CARRIED | _TILTED
#: A tray, a pot of unknown weight, a half-full can: whoever lifts nothing is not asked, everybody else may judge for
#: themselves. Common practice, no source.
LIGHT_KG = 5.0
# What a litre of wet compost weighs where no weight is recorded: the heavy end of mixes when dry (`pots`, 0.72 kg/L)
# and the water that it holds. Heavy is on the safe side here, as light is in the wind.
_KG_PER_L = 0.72 + 0.55
# Pushing and pulling, kg of force: to start a load 15 by the lower figure and 20 by the higher (L23; HSE research
# report 228, 2004, abstract read), to keep it moving 7 and 10 (INDG143, read via a copy), for 20 m at most (RR228).
_START_KG, _ROLL_KG, ROLL_M = (15.0, 20.0), (7.0, 10.0), 20.0
# To get a pot on to a trolley it is tipped by its rim: as tall as wide, its foot 0.8 of its top, that takes 0.4 of its
# weight (moments about the foot; engineering estimate). Rolled over grass or gravel it takes a tenth (from memory, no
# source read). Both common practice in that no pot is measured for it.
_TIP_SHARE, _ROLL_SHARE = 0.4, 0.1
_TROLLEY_TEAM = 2  # one tips, the other holds the trolley: common practice, no source

# L23 para. 120, read via yumpu.com: two people bear two thirds, three half, of the sum of what each bears alone.
_TEAM_SHARE = {1: 1.0, 2: 2 / 3, 3: 1 / 2}


def guideline_kg(zone: Zone, reach: Reach = Reach.CLOSE, *, lower: bool = True) -> float:
    """The published filter figure for one person, kg: the lower one, or the higher one."""
    close, far = (LOWER_KG if lower else HIGHER_KG)[zone]
    return close if reach is Reach.CLOSE else far


def strain(lifts_per_min: float = 0.0, twist_deg: float = 0.0) -> float:
    """The share of the guideline figure that is left by repetition and twisting, 0-1.

    INDG143: 30 % less at one or two lifts a minute, 50 % at five to eight, 80 % above twelve, none up to some 30 an
    hour; 10 % less when the body twists beyond 45 degrees, 20 % beyond 90. Between the published rates the stricter
    neighbour holds. That both reductions multiply is our assumption (common practice, no source).
    """
    if lifts_per_min < 0:
        raise ValueError(f"lifts_per_min is {lifts_per_min}, expected 0 or more")
    rate = 1.0 if lifts_per_min <= 0.5 else 0.7 if lifts_per_min <= 2 else 0.5 if lifts_per_min <= 8 else 0.2
    twist = 1.0 if abs(twist_deg) <= 45 else 0.9 if abs(twist_deg) <= 90 else 0.8
    return rate * twist


def glad_kg(lift_kg: float | None) -> float:
    """What one member may be asked to bear, kg, held close at waist height.

    lift_kg: what they say they are glad to lift, 0 for nothing, None when they have not said.
    """
    if lift_kg is None:
        return guideline_kg(Zone.WAIST)
    return min(max(lift_kg, 0.0), guideline_kg(Zone.WAIST, lower=False))


def kg_each(
    wet_kg: float, people: int, zone: Zone = Zone.KNEE, reach: Reach = Reach.CLOSE, *, left: float = 1.0
) -> float:
    """What each of `people` must be glad to lift (see `glad_kg`) to bear a load of wet_kg together in this position.

    The load is shared by the rule for teams, then restated as the weight that asks as much close at waist height, by
    the stricter of the two published figures. left: what `strain` leaves, 0-1. Raises ValueError beyond MAX_TEAM.
    """
    if people not in _TEAM_SHARE:
        raise ValueError(f"people is {people}, expected 1 to {MAX_TEAM}; use a trolley, or empty or split the load")
    position = min(
        guideline_kg(zone, reach, lower=lower) / guideline_kg(Zone.WAIST, lower=lower) for lower in (True, False)
    )
    return wet_kg / (people * _TEAM_SHARE[people] * position * left)


@lru_cache(1024)
def people_needed(
    wet_kg: float, zone: Zone = Zone.KNEE, reach: Reach = Reach.CLOSE, *, left: float = 1.0
) -> int | None:
    """The fewest people who may lift wet_kg together, 1 to MAX_TEAM; None when it should not be lifted by hand.

    First by the lower figures, so that anyone may help; only if no team would do by those, by the higher ones, which
    `kg_each` then asks of people who have said that they are glad to lift so much. None: trolley, empty it, split it.
    """
    for most_kg in (guideline_kg(Zone.WAIST), guideline_kg(Zone.WAIST, lower=False)):
        for people in range(1, MAX_TEAM + 1):
            if kg_each(wet_kg, people, zone, reach, left=left) <= most_kg + 1e-9:
                return people
    return None


class Load(Protocol):
    """A place of the records, as far as it is a load."""

    @property
    def kind(self) -> PlaceKind: ...
    @property
    def volume_l(self) -> float | None: ...
    @property
    def wet_kg(self) -> float | None: ...


def load_kg(place: Load) -> float | None:
    """What a container weighs when watered, kg: as recorded, else from its litres; None when neither is known.

    Anything else (a bed, a windowsill) is no load itself: what is carried from it are trays.
    """
    if place.kind is not PlaceKind.CONTAINER:
        return None
    if place.wet_kg:
        return place.wet_kg
    return place.volume_l * _KG_PER_L if place.volume_l else None


def movers(place: Load) -> int | None:
    """How many people bring it somewhere else: by hand, else on a trolley; None when it stays where it stands."""
    kg = load_kg(place)
    if kg is None:
        return 1
    if by_trolley(kg):
        return _TROLLEY_TEAM if trolley_kg_each(kg) <= guideline_kg(Zone.WAIST, lower=False) + 1e-9 else None
    return people_needed(kg)


def by_trolley(wet_kg: float) -> bool:
    """Whether it is too heavy to be lifted by hand."""
    return people_needed(wet_kg) is None


def trolley_kg_each(wet_kg: float) -> float:
    """What each of the two at a trolley must be glad to lift, kg: pushing restated as the lift that asks as much.

    By the smaller ratio of the figures, for a start and for rolling, whichever asks more; shared by the rule for teams.
    """
    share = _TROLLEY_TEAM * _TEAM_SHARE[_TROLLEY_TEAM]
    lower, higher = guideline_kg(Zone.WAIST), guideline_kg(Zone.WAIST, lower=False)
    start = min(_START_KG[0] / lower, _START_KG[1] / higher)
    roll = min(_ROLL_KG[0] / lower, _ROLL_KG[1] / higher)
    return max(wet_kg * _TIP_SHARE / start, wet_kg * _ROLL_SHARE / roll) / share


def asked_kg(task: TaskKind, place: Load | None, people: int) -> float:
    """What each of the people on a duty must be glad to lift, kg; 0 for what asks nothing of the hands.

    place: None for the whole garden. Water is carried in cans, half full. A pot laid down or stood up rests with half its
    weight on the hands, near the ground.
    """
    if task is TaskKind.WATER:
        return LIGHT_KG
    if place is None or task not in HANDLED:
        return 0.0
    kg, team = load_kg(place), min(max(people, 1), MAX_TEAM)
    if kg is None:
        return LIGHT_KG
    if task in _TILTED:
        return kg_each(kg / 2, team, Zone.GROUND)
    return trolley_kg_each(kg) if by_trolley(kg) else kg_each(kg, team)


def can(lift_kg: float | None, kg: float) -> bool:
    """Whether somebody may be asked for so much. lift_kg: see `glad_kg`."""
    return kg <= 0 or kg <= glad_kg(lift_kg) + 1e-9


def rests(distance_m: float) -> int:
    """How often to put the load down on the way, so that no stretch is longer than CARRY_M."""
    return max(0, ceil(distance_m / CARRY_M) - 1)
