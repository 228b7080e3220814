"""Fairness over a season, played day by day: thirty members of different freedom, never worse than taking turns."""

from __future__ import annotations

import random
from collections import defaultdict
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.core.tasks.rota import Duty, Helper, Problem, Window
from bot.core.tasks.rota_rules import UNIT, Turn, burden, eligible, units
from bot.core.tasks.rota_solver import solve

SPRING = datetime(2026, 3, 30, 16, tzinfo=UTC)  # a Monday
DAYS = 180
ANY, EVENINGS, WEEKENDS = (
    None,
    tuple(Window(day, time(16), time(21)) for day in range(7)),
    (
        Window(5, time(6), time(22)),
        Window(6, time(6), time(22)),
    ),
)


def _members() -> list[Helper]:
    """Thirty: ten always free, ten in the evenings, ten at weekends; in each ten, three hold keys, two lift nothing."""
    return [
        Helper(
            id=number,
            free=(ANY, EVENINGS, WEEKENDS)[number // 10],
            has_key=number % 10 < 3,
            lift_kg=0.0 if number % 10 > 7 else None,
        )
        for number in range(30)
    ]


def _equally_free(helper: Helper) -> tuple[object, ...]:
    return helper.free, helper.has_key, helper.lift_kg


def _day(dice: random.Random, day: int, even: bool) -> tuple[Duty, ...]:
    """Up to three duties on most days, each for one or two, some locked or heavy; even: all of the same weight."""
    duties = []
    for number in range(dice.choice((0, 1, 1, 2, 3))):
        start = SPRING + timedelta(days=day, hours=0 if even else dice.choice((0, 1, -8)))
        minutes = 30 if even else dice.choice((15, 30, 60))
        duties.append(
            Duty(
                id=number,
                starts_at=start,
                ends_at=start + timedelta(minutes=minutes),
                place_id=number,
                minutes=minutes,
                people=dice.choice((1, 2)),
                kg_each=0.0 if even else dice.choice((0.0, 0.0, 12.0)),
                needs_key=dice.random() < 0.3,
            )
        )
    return tuple(duties)


def _season(seed: int, even: bool) -> tuple[list[Helper], dict[int, list[Turn]]]:
    """Every member and their turns after a season in which each day's rota was solved as it came."""
    dice = random.Random(seed)
    members, done = _members(), defaultdict[int, list[Turn]](list)
    for day in range(DAYS):
        now = SPRING + timedelta(days=day)
        duties = _day(dice, day, even)
        helpers = tuple(replace(member, burden=burden(done[member.id], now)) for member in members)
        solution = solve(Problem("Europe/London", duties, helpers))
        assert solution.proven
        weight = {duty.id: units(duty, ZoneInfo("Europe/London")) / UNIT for duty in duties}
        for each in solution.assignments:
            done[each.helper_id].append(Turn(now, weight[each.task_id]))
    return members, done


def _spreads(members: list[Helper], totals: dict[int, float]) -> list[float]:
    groups = defaultdict(list)
    for member in members:
        groups[_equally_free(member)].append(totals.get(member.id, 0.0))
    assert len(groups) == 9
    return [max(group) - min(group) for group in groups.values()]


@pytest.mark.parametrize("seed", [1, 2])
def test_over_a_season_equally_free_members_differ_by_one_turn_at_most(seed: int) -> None:
    members, done = _season(seed, even=True)
    counts = {member: float(len(turns)) for member, turns in done.items()}
    assert sum(counts.values()) > 200
    assert max(_spreads(members, counts)) <= 1


@pytest.mark.parametrize("seed", [3, 4])
def test_over_a_season_of_light_and_heavy_turns_burdens_differ_by_the_heaviest_turn_at_most(seed: int) -> None:
    members, done = _season(seed, even=False)
    heaviest = max(turn.weight for turns in done.values() for turn in turns)
    ends = SPRING + timedelta(days=DAYS)
    now = {member.id: burden(done[member.id], ends) for member in members}
    assert max(_spreads(members, now)) <= heaviest


def _taking_turns(problem: Problem) -> float | None:
    """The heaviest burden when each duty goes to the next in the list who may and is free; None if one stays open."""
    zone = ZoneInfo(problem.zone)
    queue = list(problem.helpers)
    loads = {helper.id: helper.burden for helper in queue}
    busy: dict[int, list[Duty]] = defaultdict(list)
    for duty in problem.duties:
        able = [
            helper
            for helper in queue
            if helper in eligible(duty, queue, zone)
            and all(other.ends_at <= duty.starts_at or duty.ends_at <= other.starts_at for other in busy[helper.id])
        ]
        team = able[: duty.people]
        if duty.needs_key and not any(helper.has_key for helper in team):
            team = [*[helper for helper in able if helper.has_key][:1], *team[: duty.people - 1]]
        if len(team) < duty.people or (duty.needs_key and not any(helper.has_key for helper in team)):
            return None
        for helper in team:
            queue.remove(helper)
            queue.append(helper)
            busy[helper.id].append(duty)
            loads[helper.id] += units(duty, zone) / UNIT
    return max((loads[each] for each in busy if busy[each]), default=0.0)


def test_the_heaviest_burden_is_never_heavier_than_by_taking_turns() -> None:
    dice, compared = random.Random(7), 0
    for day in range(120):
        duties = _day(dice, day, even=False)
        helpers = tuple(replace(member, burden=round(dice.uniform(0, 3), 2)) for member in dice.sample(_members(), 8))
        problem = Problem("Europe/London", duties, helpers)
        by_turns = _taking_turns(problem)
        if not duties or by_turns is None:
            continue
        compared += 1
        loads = {helper.id: helper.burden for helper in helpers}
        solution = solve(problem)
        weight = {duty.id: units(duty, ZoneInfo("Europe/London")) / UNIT for duty in duties}
        for each in solution.assignments:
            loads[each.helper_id] += weight[each.task_id]
        heaviest = max(loads[each.helper_id] for each in solution.assignments)
        assert not solution.shortages
        assert heaviest <= by_turns + 1e-9
    assert compared > 40
