"""Who does it: the words in which a rota is asked for and answered (rules: rota_rules; solver: rota_solver).

A rota is solved level by level, each as good as the levels before it allow:
1. as many duties as possible have all their people, then as many places as possible are filled;
2. whoever has accepted stays, then whoever was asked and has not answered yet;
3. as few as possible are named who refused, or let pass, something else of the same event;
4. the heaviest burden of anyone named is as light as possible (to the hundredth of a turn; in a large rota, of more
   than 400 possible names, to the quarter), then all are as even as possible (least squares, each duty at its own
   weight), so that one member whose turn cannot be spared leaves the others' shares fair;
5. least trouble: minutes to get there, times outside a member's wishes;
6. ties go by id, in a large rota by the solver's fixed seed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class Duty:
    """One thing to do, by people who are needed at once.

    starts_at, ends_at: the time it takes, aware, UTC. minutes: work for each of them.
    people: how many are needed; after sunset never fewer than two are sent.
    kg_each: what each must be glad to lift (`lifting.kg_each`), 0 for none. needs_key, skill: one of them must have it.
    agreed: members who have accepted and stay. asked: members last named for it who have not answered.
    refused: members who said no, or could not be reached; never named for it again.
    last: members who refused, or let pass, something else of the same event; named only where nobody else can.
    too_far: members who could not answer, come and do it before it is too late (`rota_rules.too_far`).
    """

    id: int
    starts_at: datetime
    ends_at: datetime
    place_id: int
    minutes: int
    people: int = 1
    kg_each: float = 0.0
    needs_key: bool = False
    after_sunset: bool = False
    skill: str | None = None
    agreed: tuple[int, ...] = ()
    asked: tuple[int, ...] = ()
    refused: tuple[int, ...] = ()
    last: tuple[int, ...] = ()
    too_far: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if self.ends_at <= self.starts_at:
            raise ValueError(f"duty {self.id} ends at {self.ends_at}, expected after {self.starts_at}")
        if self.people < 1:
            raise ValueError(f"duty {self.id} needs {self.people} people, expected 1 or more")

    @property
    def need(self) -> int:
        """How many are sent: nobody goes alone after sunset."""
        return max(self.people, 2) if self.after_sunset else self.people

    @property
    def together(self) -> bool:
        """All of them or nobody: in the dark, and where a load is shared."""
        return self.after_sunset or (self.kg_each > 0 and self.people > 1)


@dataclass(frozen=True, slots=True)
class Window:
    """Free on this weekday (0 is Monday) from start to end, local time; an end of 00:00 is midnight."""

    weekday: int
    start: time
    end: time


@dataclass(frozen=True, slots=True)
class Helper:
    """A member as the rota sees them.

    adult, reachable: only such are asked. lift_kg: what they are glad to lift, 0 for no lifting, None when unsaid.
    free: when they can come, None when unsaid (any time). away: (first, last) local days. mornings_only: a wish.
    per_week: most turns a week, None for no limit. turns_on: local days of turns that are not in this problem.
    burden: `rota_rules.burden` now, in turns. own_places: places they tend anyway. travel_min: minutes to a
    place, by id, where that was said.
    """

    id: int
    adult: bool = True
    reachable: bool = True
    lift_kg: float | None = None
    has_key: bool = False
    skills: frozenset[str] = frozenset()
    free: tuple[Window, ...] | None = None
    away: tuple[tuple[date, date], ...] = ()
    mornings_only: bool = False
    per_week: int | None = None
    turns_on: tuple[date, ...] = ()
    burden: float = 0.0
    own_places: frozenset[int] = frozenset()
    travel_min: Mapping[int, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Problem:
    """zone: IANA name of the garden's zone; weeks are Monday to Sunday there. Ids must be unique."""

    zone: str
    duties: tuple[Duty, ...]
    helpers: tuple[Helper, ...]


class Why(StrEnum):
    """Why a member was asked, the weightiest first."""

    AGREED = "has accepted"
    ONLY_ONE = "nobody else could"
    HAS_KEY = "holds a key"
    HAS_SKILL = "knows how"
    CAN_LIFT = "glad to lift it"
    TURN_DUE = "has done least lately of those who could"
    OWN_PLACE = "tends that place anyway"
    FREE_THEN = "free then"


class Short(StrEnum):
    """What a duty lacks."""

    PEOPLE = "adults who can be reached"
    FREE = "people free then"
    NOT_REFUSED = "people who have not said no"
    NEAR = "people near enough to be there in time"
    LIFT = "people glad to lift so much"
    WEEK = "people with a turn left this week"
    ANSWER = "people who have said yes"  # it is late, and those who were asked have not answered
    KEY = "a key holder among them"
    SKILL = "somebody who knows how among them"
    ELSEWHERE = "people not needed elsewhere"  # enough could, but not for everything at once


@dataclass(frozen=True, slots=True)
class Assignment:
    """burden: the member's, before this, in turns. others: how many more could have been asked."""

    task_id: int
    helper_id: int
    why: tuple[Why, ...]
    burden: float
    others: int


@dataclass(frozen=True, slots=True)
class Shortage:
    """A duty that lacks people: what is short, how many there are of the `need`, and the weight where that is it."""

    task_id: int
    short: Short
    have: int
    need: int
    kg_each: float = 0.0


@dataclass(frozen=True, slots=True)
class Solution:
    """assignments: by duty, then helper id; shortages: by duty id, at least one for each duty that lacks anybody.

    proven: every level was solved to a proven optimum; else the best found within the work limit.
    """

    assignments: tuple[Assignment, ...]
    shortages: tuple[Shortage, ...]
    proven: bool

    def people(self, task_id: int) -> tuple[int, ...]:
        return tuple(each.helper_id for each in self.assignments if each.task_id == task_id)
