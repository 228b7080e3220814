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
from math import ceil

__all__ = [
    "CARRY_M",
    "HIGHER_KG",
    "LOWER_KG",
    "MAX_TEAM",
    "Reach",
    "Zone",
    "glad_kg",
    "guideline_kg",
    "kg_each",
    "people_needed",
    "rests",
    "strain",
]


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


def rests(distance_m: float) -> int:
    """How often to put the load down on the way, so that no stretch is longer than CARRY_M."""
    return max(0, ceil(distance_m / CARRY_M) - 1)
