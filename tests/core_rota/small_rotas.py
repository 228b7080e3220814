"""Small random rotas, and the rules of `bot.core.rota` written a second time, plainly, to judge a rota by."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Collection
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.core.rota import Duty, Helper, Problem, Window
from bot.core.rota_rules import trouble, units

MONDAY = datetime(2026, 10, 5, tzinfo=UTC)
Names = Collection[tuple[int, int]]  # (duty id, helper id)


def small_problem(seed: int, most_duties: int = 4, most_helpers: int = 5) -> Problem:
    """Up to most_duties on two days, crowded so that much is short; the zone is UTC, so local time is plain."""
    dice = random.Random(seed)
    helpers = range(1, 1 + dice.randint(1, most_helpers))
    duties = range(1, 1 + dice.randint(1, most_duties))
    return Problem(
        "UTC", tuple(_duty(dice, each, helpers) for each in duties), tuple(_helper(dice, each) for each in helpers)
    )


def _some(dice: random.Random, ids: range, chance: float) -> tuple[int, ...]:
    return tuple(each for each in ids if dice.random() < chance)


def _duty(dice: random.Random, number: int, helpers: range) -> Duty:
    start = MONDAY + timedelta(days=dice.randrange(2), hours=dice.choice((9, 9, 10, 16, 17)))
    return Duty(
        id=number,
        starts_at=start,
        ends_at=start + timedelta(minutes=dice.choice((30, 60, 90))),
        place_id=dice.randrange(3),
        minutes=dice.choice((15, 30, 60)),
        people=dice.choice((1, 1, 2, 3)),
        kg_each=dice.choice((0.0, 0.0, 12.0, 20.0)),
        needs_key=dice.random() < 0.3,
        after_sunset=dice.random() < 0.2,
        skill="glass" if dice.random() < 0.15 else None,
        agreed=_some(dice, helpers, 0.08),
        asked=_some(dice, helpers, 0.15),
        refused=_some(dice, helpers, 0.1),
    )


def _helper(dice: random.Random, number: int) -> Helper:
    spans = ((time(8), time(12)), (time(8), time(20)), (time(14), time()))
    away = MONDAY.date() + timedelta(days=dice.randrange(2))
    return Helper(
        id=number,
        adult=dice.random() < 0.9,
        reachable=dice.random() < 0.9,
        lift_kg=dice.choice((None, 0.0, 12.0, 25.0)),
        has_key=dice.random() < 0.4,
        skills=frozenset({"glass"} if dice.random() < 0.4 else ()),
        free=None if dice.random() < 0.5 else tuple(Window(day, *dice.choice(spans)) for day in range(2)),
        away=((away, away),) if dice.random() < 0.15 else (),
        mornings_only=dice.random() < 0.2,
        per_week=dice.choice((None, None, 1, 2)),
        turns_on=(MONDAY.date() + timedelta(days=4),) if dice.random() < 0.2 else (),
        burden=dice.choice((0.0, 0.0, 0.4, 1.3, 2.75)),
        own_places=frozenset({dice.randrange(3)}),
        travel_min={place: dice.choice((5, 10, 25)) for place in range(3)},
    )


def may(duty: Duty, helper: Helper) -> bool:
    """Whether the helper may be named for the duty at all."""
    agreed = helper.id in duty.agreed
    day = duty.starts_at.date()
    free = helper.free is None or any(
        window.weekday == day.weekday()
        and window.start <= duty.starts_at.time()
        and (window.end == time() or duty.ends_at.time() <= window.end)
        for window in helper.free
    )
    glad_kg = 16 if helper.lift_kg is None else min(helper.lift_kg, 25)
    return (
        helper.adult
        and helper.reachable
        and helper.id not in duty.refused
        and not any(first <= day <= last for first, last in helper.away)
        and duty.kg_each <= glad_kg
        and (agreed or (free and turns_left(helper) != 0))
    )


def turns_left(helper: Helper) -> int | None:
    """In the one week of the small rotas; whoever has accepted more is let."""
    return None if helper.per_week is None else max(0, helper.per_week - len(helper.turns_on))


def overlap(one: Duty, other: Duty) -> bool:
    return one.id != other.id and one.starts_at < other.ends_at and other.starts_at < one.ends_at


def broken_rules(problem: Problem, names: Names) -> list[str]:
    """Every hard rule that the names break."""
    duties = {duty.id: duty for duty in problem.duties}
    helpers = {helper.id: helper for helper in problem.helpers}
    broken = [f"{h} may not do {d}" for d, h in names if not may(duties[d], helpers[h])]
    for duty in problem.duties:
        team = [helpers[h] for d, h in names if d == duty.id]
        need = max(duty.people, 2) if duty.after_sunset else duty.people
        all_or_none = duty.after_sunset or (duty.kg_each > 0 and duty.people > 1)
        if len(team) > need or (all_or_none and len(team) not in (0, need)):
            broken.append(f"{len(team)} people for {duty.id}, which needs {need}")
        if team and duty.needs_key and not any(helper.has_key for helper in team):
            broken.append(f"nobody has a key for {duty.id}")
        if team and duty.skill and not any(duty.skill in helper.skills for helper in team):
            broken.append(f"nobody knows how to do {duty.id}")
    for helper in problem.helpers:
        mine = [duties[d] for d, h in names if h == helper.id]
        broken += [f"{helper.id} is twice at once" for one in mine for other in mine if overlap(one, other)]
        left = turns_left(helper)
        accepted = sum(helper.id in duty.agreed and may(duty, helper) for duty in problem.duties)
        if left is not None and len(mine) > max(left, accepted):
            broken.append(f"{helper.id} is asked {len(mine)} times, wishes {left}")
    return broken


def square_steps(problem: Problem, turns: int) -> int:
    """The square of so many turns of mean weight, in thousandths, each step rounded."""
    mean = sum(units(duty, ZoneInfo(problem.zone)) for duty in problem.duties) / len(problem.duties)
    return sum(round((2 * step + 1) * mean**2 / 1000) for step in range(turns))


def worth(problem: Problem, names: Names) -> tuple[int, ...]:
    """How good the names are, level by level, smaller is better: the order of `bot.core.rota`."""
    zone = ZoneInfo(problem.zone)
    duties = {duty.id: duty for duty in problem.duties}
    helpers = {helper.id: helper for helper in problem.helpers}
    teams = Counter(d for d, _ in names)
    turns = Counter(h for _, h in names)
    weight = {duty.id: units(duty, zone) for duty in problem.duties}
    before = {helper.id: round(1000 * helper.burden) for helper in problem.helpers}
    loads = {h: before[h] + sum(weight[d] for d, other in names if other == h) for h in turns}
    whole = sum(teams[d.id] == (max(d.people, 2) if d.after_sunset else d.people) for d in problem.duties)
    uneven = sum(round(2 * before[h] * weight[d] / 1000) for d, h in names)
    return (
        -whole,
        -len(names),
        -sum(h in duties[d].agreed for d, h in names),
        max(loads.values(), default=0),
        uneven + sum(square_steps(problem, n) for n in turns.values()),
        sum(trouble(duties[d], helpers[h], zone) for d, h in names),
        -sum(h in duties[d].asked for d, h in names),
    )
