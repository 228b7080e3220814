"""What a finding is: one thing that the weather endangers, what to do to it, by when, and the chain of reasons."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from bot.core.garden.snapshot import Cover
from bot.core.weather.odds import Step


class Hazard(StrEnum):
    COLD = "cold"
    WIND = "wind"
    HEAT = "heat"
    RAIN = "rain"


class Severity(StrEnum):
    """A class of harm; a step up makes a warning worse and speaks again."""

    SLIGHT = "slight"
    MODERATE = "moderate"
    SEVERE = "severe"


class TaskKind(StrEnum):
    """What someone is asked to do to a thing: against a hazard, after it, and what a day wants by itself."""

    PICK = "pick or lift"
    CLOSE = "close"
    COVER = "cover"
    EARTH_UP = "earth up"
    BRING_IN = "bring in"
    TIE = "tie"
    LAY_DOWN = "lay down"
    PIN = "pin down"
    VENT = "vent"
    SHADE = "shade"
    MOVE_FROM_RAIN = "move out of the rain"
    UNCOVER = "uncover"
    PUT_BACK = "put back"
    STAND_UP = "stand up"
    LOOK = "look for damage"
    WATER = "water"
    DRAIN = "drain hoses"


#: Places, and the day of the hazard there, for which people have been called: hazard, window_on and place id.
Called = frozenset[tuple[Hazard, date, int]]
NOBODY: Called = frozenset()

#: What no hazard asks for, and the day does.
DAILY = frozenset({TaskKind.WATER, TaskKind.DRAIN})
#: What follows each task when the hazard is over; a task that is not here leaves nothing to undo.
AFTERWARDS: dict[TaskKind, TaskKind] = {
    TaskKind.COVER: TaskKind.UNCOVER,
    TaskKind.BRING_IN: TaskKind.PUT_BACK,
    TaskKind.LAY_DOWN: TaskKind.STAND_UP,
    TaskKind.MOVE_FROM_RAIN: TaskKind.PUT_BACK,
    TaskKind.VENT: TaskKind.LOOK,
    TaskKind.TIE: TaskKind.LOOK,
    TaskKind.PIN: TaskKind.LOOK,
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing at risk from one hazard in one window.

    window_on: local day of the wind, heat or rain; for a night, of its evening. planting_id, support_id: what is at
    risk, when it is one of these; else the place itself. probability: of harm when nothing is done, 0-1.
    threshold_c: temperature of harm (cold, heat); gust_ms: gust at 10 m of harm (wind). starts_at, ends_at: when the
    hazard lasts, aware UTC. due_at: latest safe time, which may be past. minutes: of work for each of `people`.
    target_place_id: where to bring it. cover: what to put over it. enough: what is asked is expected to save it; else
    it is still worth doing. unliftable: too heavy to carry by hand, so trolley, empty or split. add_n: ties or pins to
    add. chain: for "Why?".
    """

    hazard: Hazard
    window_on: date
    place_id: int
    planting_id: int | None
    support_id: int | None
    task: TaskKind
    severity: Severity
    probability: float
    threshold_c: float | None
    gust_ms: float | None
    starts_at: datetime
    ends_at: datetime
    due_at: datetime
    minutes: int
    people: int
    target_place_id: int | None = None
    cover: Cover | None = None
    enough: bool = True
    unliftable: bool = False
    add_n: int = 0
    chain: tuple[Step, ...] = ()
