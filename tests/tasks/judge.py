"""The rules and the order of `bot.core.tasks.rota` written a second time, plainly, to judge a rota by."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.core.tasks.rota import Duty, Helper, Problem
from bot.core.tasks.rota_rules import trouble, units

Names = Collection[tuple[int, int]]  # (duty id, helper id)
LEVELS = ("whole duties", "people", "agreed", "asked", "last", "heaviest", "squares", "trouble")
HEAVIEST, SQUARES = LEVELS.index("heaviest"), LEVELS.index("squares")


def _local(at: datetime, problem: Problem) -> datetime:
    return at.astimezone(ZoneInfo(problem.zone)).replace(tzinfo=None)


def _week(day: date) -> tuple[int, int]:
    return day.isocalendar()[:2]


def _minutes(duty: Duty, problem: Problem) -> Iterator[datetime]:
    at = _local(duty.starts_at, problem)
    while at < _local(duty.ends_at, problem):
        yield at
        at += timedelta(minutes=1)


def _free(helper: Helper, at: datetime) -> bool:
    return helper.free is None or any(
        window.weekday == at.weekday()
        and window.start <= at.time()
        and (window.end == time() or at.time() < window.end)
        for window in helper.free
    )


def need(duty: Duty) -> int:
    return max(duty.people, 2) if duty.after_sunset else duty.people


def all_or_none(duty: Duty) -> bool:
    return duty.after_sunset or (duty.kg_each > 0 and duty.people > 1)


def is_asked(duty: Duty, helper_id: int) -> bool:
    return helper_id in duty.asked and helper_id not in duty.agreed


def comes_last(duty: Duty, helper_id: int) -> bool:
    return helper_id in duty.last and helper_id not in (*duty.agreed, *duty.asked)


def before(helper: Helper) -> int:
    """Their burden in hundredths of a turn."""
    return round(100 * helper.burden)


def weights(problem: Problem) -> dict[int, int]:
    """Of each duty, in hundredths of a turn, by id."""
    return {duty.id: units(duty, ZoneInfo(problem.zone)) for duty in problem.duties}


def week(duty: Duty, problem: Problem) -> tuple[int, int]:
    return _week(_local(duty.starts_at, problem).date())


def may(problem: Problem, duty: Duty, helper: Helper) -> bool:
    """Whether the helper may be named for the duty at all."""
    agreed = helper.id in duty.agreed
    starts, ends = _local(duty.starts_at, problem).date(), _local(duty.ends_at, problem).date()
    glad_kg = 16 if helper.lift_kg is None else min(helper.lift_kg, 25)
    return (
        helper.adult
        and helper.reachable
        and helper.id not in duty.refused
        and (helper.id not in duty.too_far or agreed or helper.id in duty.asked)
        and all(ends < first or last < starts for first, last in helper.away)
        and duty.kg_each <= glad_kg
        and (agreed or all(_free(helper, at) for at in _minutes(duty, problem)))
        and (agreed or turns_left(helper, week(duty, problem)) != 0)
    )


def turns_left(helper: Helper, of_week: tuple[int, int]) -> int | None:
    if helper.per_week is None:
        return None
    return max(0, helper.per_week - sum(_week(day) == of_week for day in helper.turns_on))


def overlap(one: Duty, other: Duty) -> bool:
    return one.id != other.id and one.starts_at < other.ends_at and other.starts_at < one.ends_at


def broken_rules(problem: Problem, names: Names) -> list[str]:
    """Every hard rule that the names break."""
    duties = {duty.id: duty for duty in problem.duties}
    helpers = {helper.id: helper for helper in problem.helpers}
    broken = [f"{h} may not do {d}" for d, h in names if not may(problem, duties[d], helpers[h])]
    for duty in problem.duties:
        broken += _broken_by_team(duty, [helpers[h] for d, h in names if d == duty.id])
    for helper in problem.helpers:
        broken += _broken_by_helper(problem, helper, [duties[d] for d, h in names if h == helper.id])
    return broken


def _broken_by_team(duty: Duty, team: list[Helper]) -> Iterator[str]:
    if len({helper.id for helper in team}) < len(team):
        yield f"somebody is named twice for {duty.id}"
    if len(team) > need(duty) or (all_or_none(duty) and len(team) not in (0, need(duty))):
        yield f"{len(team)} people for {duty.id}, which needs {need(duty)}"
    if team and duty.needs_key and not any(helper.has_key for helper in team):
        yield f"nobody has a key for {duty.id}"
    if team and duty.skill and not any(duty.skill in helper.skills for helper in team):
        yield f"nobody knows how to do {duty.id}"


def _broken_by_helper(problem: Problem, helper: Helper, mine: list[Duty]) -> Iterator[str]:
    for one in mine:
        if any(overlap(one, other) for other in mine):
            yield f"{helper.id} is twice at once"
    for each in {week(duty, problem) for duty in mine}:
        turns = [duty for duty in mine if week(duty, problem) == each]
        left = turns_left(helper, each)
        if left is not None and len(turns) > left and any(helper.id not in duty.agreed for duty in turns):
            yield f"{helper.id} has {len(turns)} turns, not all accepted, and wishes {left}"


def worth(problem: Problem, names: Names) -> tuple[int, ...]:
    """How good the names are by LEVELS, smaller is better; exact: every figure is a whole number."""
    duties = {duty.id: duty for duty in problem.duties}
    helpers = {helper.id: helper for helper in problem.helpers}
    weight, zone = weights(problem), ZoneInfo(problem.zone)
    load = {helper.id: before(helper) for helper in problem.helpers}
    for d, h in names:
        load[h] += weight[d]
    return (
        -sum(sum(d == duty.id for d, _ in names) == need(duty) for duty in problem.duties),
        -len(names),
        -sum(h in duties[d].agreed for d, h in names),
        -sum(is_asked(duties[d], h) for d, h in names),
        sum(comes_last(duties[d], h) for d, h in names),
        max((load[h] for _, h in names), default=0),
        sum(each**2 for each in load.values()),
        sum(trouble(duties[d], helpers[h], zone) for d, h in names),
    )
