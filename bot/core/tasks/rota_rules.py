"""The rules of the rota: who may do what, what it weighs, why they were asked and what is missing.

What a turn weighs, and what a member has borne this season: weighted, and fading.

The weights are common practice, no source: they only say which turn counts for more, and organisers see them under Why.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import partial
from math import exp2
from zoneinfo import ZoneInfo

from bot.core.people.lifting import can, glad_kg
from bot.core.tasks.rota import Duty, Helper, Problem, Short, Shortage, Why, Window

HALF_LIFE_DAYS = 42.0  # a turn six weeks ago counts half
_COMING = 0.5  # coming at all is half a turn; half an hour of ordinary work makes it one
_MINUTES = 60.0
_HEAVY = 0.5  # a lift of all that an unsaid member may be asked for adds half again
_UNSOCIAL = 1.25
_DAY_STARTS, _DAY_ENDS = time(8), time(21)


@dataclass(frozen=True, slots=True)
class Turn:
    """A duty that a member has done, or has accepted: when (aware, UTC), and what it weighs in turns."""

    at: datetime
    weight: float


def turn_weight(minutes: float, kg_each: float, starts: time, *, after_sunset: bool) -> float:
    """What one duty weighs, in turns: 1 for half an hour of light work by day; more when long, heavy or unsocial.

    starts: local time of day. kg_each: see `lifting.kg_each`; all of a shared load counts up to twice an easy lift.
    """
    heavy = 1.0 + _HEAVY * min(kg_each / glad_kg(None), 2.0)
    unsocial = after_sunset or not _DAY_STARTS <= starts < _DAY_ENDS
    return (_COMING + minutes / _MINUTES) * heavy * (_UNSOCIAL if unsocial else 1.0)


def burden(done: Iterable[Turn], now: datetime, half_life_days: float = HALF_LIFE_DAYS) -> float:
    """The fading sum of the turns, in turns: each counts half as much every half_life_days, one to come in full."""
    ages = ((max((now - turn.at).total_seconds(), 0.0) / 86400, turn.weight) for turn in done)
    return sum(weight * exp2(-days / half_life_days) for days, weight in ages)


UNIT = 100  # burdens and weights are counted in hundredths of a turn, so that every optimum is exact
OUTSIDE_WISH = 60  # asking against a wish counts as an hour's travel (common practice, no source)
_UNKNOWN_TRAVEL_MIN = 15  # common practice, no source
_NOON = time(12)


def _is_free(windows: tuple[Window, ...] | None, start: datetime, end: datetime) -> bool:
    """Whether the windows, joined end to end, hold the whole of start to end (local wall time, naive)."""
    if windows is None:
        return True
    while start < end:
        midnight = datetime.combine(start.date() + timedelta(days=1), time())
        ends = [
            midnight if window.end == time() else datetime.combine(start.date(), window.end)
            for window in windows
            if window.weekday == start.weekday() and window.start <= start.time()
        ]
        latest = max(ends, default=start)
        if latest <= start:
            return False
        start = latest
    return True


def _local(at: datetime, zone: ZoneInfo) -> datetime:
    return at.astimezone(zone).replace(tzinfo=None)


def week_of(duty: Duty, zone: ZoneInfo) -> date:
    """The Monday of the local week in which the duty starts."""
    return _monday(_local(duty.starts_at, zone).date())


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def units(duty: Duty, zone: ZoneInfo) -> int:
    """The weight of the duty in hundredths of a turn."""
    starts = _local(duty.starts_at, zone).time()
    return round(UNIT * turn_weight(duty.minutes, duty.kg_each, starts, after_sunset=duty.after_sunset))


def trouble(duty: Duty, helper: Helper, zone: ZoneInfo) -> int:
    """The trouble of coming, in minutes: none to a place they tend anyway; a wish set aside counts for many."""
    travel = 0 if duty.place_id in helper.own_places else helper.travel_min.get(duty.place_id, _UNKNOWN_TRAVEL_MIN)
    against = helper.mornings_only and _local(duty.ends_at, zone) > datetime.combine(
        _local(duty.starts_at, zone).date(), _NOON
    )
    return travel + (OUTSIDE_WISH if against else 0)


def travel_min(to_garden_min: int | None, walk_min: int | None) -> int | None:
    """Minutes to a place: to the gate, and on from there; None where neither was said."""
    if to_garden_min is None and walk_min is None:
        return None
    return (_UNKNOWN_TRAVEL_MIN if to_garden_min is None else to_garden_min) + (walk_min or 0)


def too_far(
    helpers: Collection[Helper], place_id: int, minutes: int, answered_at: datetime, latest_at: datetime
) -> tuple[int, ...]:
    """Ids of those who, newly asked, could not come after answering and be done by the latest safe time.

    answered_at: when they will have seen the message and answered. Whoever has said no distance is taken to be near.
    """
    left_min = (latest_at - answered_at) / timedelta(minutes=1) - minutes
    return tuple(helper.id for helper in helpers if helper.travel_min.get(place_id, 0) > max(left_min, 0.0))


def have_turn_left(helper: Helper, week: date) -> int | None:
    """How many more turns they take in the week of this Monday; None for no limit."""
    if helper.per_week is None:
        return None
    return max(0, helper.per_week - sum(_monday(day) == week for day in helper.turns_on))


def _can_be_asked(helper: Helper) -> bool:
    return helper.adult and helper.reachable


def _is_there(duty: Duty, start: datetime, end: datetime, helper: Helper) -> bool:
    if any(first <= end.date() and start.date() <= last for first, last in helper.away):
        return False
    return helper.id in duty.agreed or _is_free(helper.free, start, end)


def _has_not_refused(duty: Duty, helper: Helper) -> bool:
    return helper.id not in duty.refused


def _is_near(duty: Duty, helper: Helper) -> bool:
    return helper.id not in duty.too_far or helper.id in (*duty.agreed, *duty.asked)


def _can_lift(duty: Duty, helper: Helper) -> bool:
    return can(helper.lift_kg, duty.kg_each)


def _has_turn(duty: Duty, week: date, helper: Helper) -> bool:
    return helper.id in duty.agreed or have_turn_left(helper, week) != 0


def _filters(duty: Duty, zone: ZoneInfo) -> list[tuple[Short, Callable[[Helper], bool]]]:
    """In the order in which they are told when nobody is left."""
    start, end = _local(duty.starts_at, zone), _local(duty.ends_at, zone)
    return [
        (Short.PEOPLE, _can_be_asked),
        (Short.FREE, partial(_is_there, duty, start, end)),
        (Short.NOT_REFUSED, partial(_has_not_refused, duty)),
        (Short.NEAR, partial(_is_near, duty)),
        (Short.LIFT, partial(_can_lift, duty)),
        (Short.WEEK, partial(_has_turn, duty, week_of(duty, zone))),
    ]


def eligible(duty: Duty, helpers: Collection[Helper], zone: ZoneInfo) -> list[Helper]:
    """Who may be named for the duty, whatever else they do; whoever has accepted is not held to hours or number."""
    tests = [test for _, test in _filters(duty, zone)]
    if duty.need == 1:
        tests += [has for _, _, has in _special(duty)]
    return [helper for helper in helpers if all(test(helper) for test in tests)]


def _special(duty: Duty) -> list[tuple[Short, Why, Callable[[Helper], bool]]]:
    """What at least one of the people of the duty must have."""
    needs: list[tuple[Short, Why, Callable[[Helper], bool]]] = []
    if duty.needs_key:
        needs.append((Short.KEY, Why.HAS_KEY, lambda helper: helper.has_key))
    if duty.skill is not None:
        skill = duty.skill
        needs.append((Short.SKILL, Why.HAS_SKILL, lambda helper: skill in helper.skills))
    return needs


def holders(duty: Duty, able: Collection[Helper]) -> list[list[Helper]]:
    """For each thing that one of the duty's people must have: those of the able who have it."""
    return [[helper for helper in able if has(helper)] for _, _, has in _special(duty)]


def missing(duty: Duty, problem: Problem, named: int) -> list[Shortage]:
    """What the duty lacks, when only `named` of its people were found."""
    zone = ZoneInfo(problem.zone)
    able: list[Helper] = list(problem.helpers)
    short = partial(Shortage, duty.id, need=duty.need)
    found: list[Shortage] = []
    for name, test in _filters(duty, zone):
        able = [helper for helper in able if test(helper)]
        if len(able) < duty.need:
            found.append(short(name, have=len(able), kg_each=duty.kg_each if name is Short.LIFT else 0.0))
            break
    for name, _, has in _special(duty):
        having = [helper for helper in able if has(helper)]
        if not having:
            found.append(Shortage(duty.id, name, have=0, need=1))
        elif duty.need == 1:
            able = having
    return found or [short(Short.ELSEWHERE, have=named)]


def reasons(duty: Duty, helper: Helper, able: Collection[Helper], named: Collection[int]) -> tuple[Why, ...]:
    """Why this member was named: able are those who may be, named the ids of those who are."""
    passed_over = [other for other in able if other.id not in named]
    why = [
        (Why.AGREED, helper.id in duty.agreed),
        (Why.ONLY_ONE, not passed_over and len(able) <= duty.need),
        *((reason, has(helper)) for _, reason, has in _special(duty)),
        (Why.CAN_LIFT, duty.kg_each > glad_kg(None)),
        (Why.TURN_DUE, bool(passed_over) and all(helper.burden <= other.burden for other in passed_over)),
        (Why.OWN_PLACE, duty.place_id in helper.own_places),
        (Why.FREE_THEN, True),
    ]
    return tuple(reason for reason, holds in why if holds)
