"""Random rotas: small and crowded, and a fortnight of forty places for six people."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

from bot.core.tasks.rota import Duty, Helper, Problem, Window

MONDAY = datetime(2026, 10, 5, tzinfo=UTC)
FORTNIGHT = datetime(2026, 10, 19, tzinfo=UTC)  # a Monday; clocks go back on the Sunday
EARLY, DAY, AFTERNOON = (time(8), time(12)), (time(8), time(20)), (time(14), time())


def small_problem(seed: int, most_duties: int = 4, most_helpers: int = 5) -> Problem:
    """Up to most_duties on two days; the zone is UTC, so local time is plain.

    An odd seed makes a crowded one, in which much is short; an even one leaves a choice, so that evenness decides.
    """
    dice = random.Random(seed)
    helpers = range(1, 1 + dice.randint(1, most_helpers))
    duties = range(1, 1 + dice.randint(1, most_duties))
    problem = Problem(
        "UTC", tuple(_duty(dice, each, helpers) for each in duties), tuple(_helper(dice, each) for each in helpers)
    )
    return problem if seed % 2 else _roomy(problem, dice)


def _roomy(problem: Problem, dice: random.Random) -> Problem:
    """Everybody may do nearly everything, and little is given out yet."""
    return replace(
        problem,
        duties=tuple(
            replace(duty, people=dice.choice((1, 1, 2)), needs_key=False, skill=None, agreed=(), asked=duty.asked[1:])
            for duty in problem.duties
        ),
        helpers=tuple(
            replace(helper, adult=True, reachable=True, lift_kg=25.0, free=None, away=()) for helper in problem.helpers
        ),
    )


def _some(dice: random.Random, ids: Sequence[int], chance: float) -> tuple[int, ...]:
    return tuple(each for each in ids if dice.random() < chance)


def _others(ids: Sequence[int], taken: Sequence[int]) -> list[int]:
    return [each for each in ids if each not in taken]


def _duty(dice: random.Random, number: int, helpers: Sequence[int]) -> Duty:
    """An answer is a yes or a no or none yet; whoever let something else pass may have said yes to this."""
    start = MONDAY + timedelta(days=dice.randrange(2), hours=dice.choice((7, 9, 9, 10, 16, 17)))
    agreed = _some(dice, helpers, 0.1)
    asked = _some(dice, _others(helpers, agreed), 0.15)
    return Duty(
        id=number,
        starts_at=start,
        ends_at=start + timedelta(minutes=dice.choice((30, 60, 90))),
        place_id=dice.randrange(3),
        minutes=dice.choice((5, 10, 15, 20, 30, 37, 45, 60, 75)),
        people=dice.choice((1, 1, 2, 3)),
        kg_each=dice.choice((0.0, 0.0, 0.0, 5.0, 12.0, 12.8, 20.0)),
        needs_key=dice.random() < 0.3,
        after_sunset=dice.random() < 0.2,
        skill="glass" if dice.random() < 0.15 else None,
        agreed=agreed,
        asked=asked,
        refused=_some(dice, _others(helpers, agreed + asked), 0.1),
        last=_some(dice, helpers, 0.25),
        too_far=_some(dice, helpers, 0.08),
    )


def _helper(dice: random.Random, number: int) -> Helper:
    away = MONDAY.date() + timedelta(days=dice.randrange(2))
    spans = (EARLY, DAY, AFTERNOON)
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
        turns_on=(MONDAY.date() + timedelta(days=dice.choice((-1, 4))),) if dice.random() < 0.3 else (),
        burden=dice.choice((0.0, 0.0, 0.4, 1.3, 2.75, dice.uniform(0, 3))),
        own_places=frozenset({dice.randrange(3)}),
        travel_min={place: dice.choice((5, 10, 25)) for place in range(3)},
    )


def forty_places(seed: int, people: int = 6) -> Problem:
    """Forty duties in two weeks, one a place, for a handful of people, most of whom wish for few turns a week."""
    dice = random.Random(seed)
    helpers = range(1, 1 + people)
    duties = tuple(_place_duty(dice, number, helpers) for number in range(1, 41))
    return Problem("Europe/London", duties, tuple(_wishing(dice, number) for number in helpers))


def _place_duty(dice: random.Random, number: int, helpers: Sequence[int]) -> Duty:
    start = FORTNIGHT + timedelta(days=dice.randrange(14), hours=dice.choice((7, 8, 10, 15, 16)))
    start += timedelta(minutes=dice.choice((0, 15, 30)))
    minutes = dice.choice((10, 15, 20, 25, 30, 45, 60))
    agreed = _some(dice, helpers, 0.03)
    asked = _some(dice, _others(helpers, agreed), 0.08)
    return Duty(
        id=number,
        starts_at=start,
        ends_at=start + timedelta(minutes=minutes),
        place_id=number,
        minutes=minutes,
        people=dice.choice((1, 1, 1, 2)),
        kg_each=dice.choice((0.0, 0.0, 0.0, 12.0)),
        needs_key=dice.random() < 0.2,
        after_sunset=dice.random() < 0.1,
        agreed=agreed,
        asked=asked,
        refused=_some(dice, _others(helpers, agreed + asked), 0.05),
        last=_some(dice, helpers, 0.1),
    )


def _wishing(dice: random.Random, number: int) -> Helper:
    days = [day for day in range(7) if dice.random() < 0.8]
    away = FORTNIGHT.date() + timedelta(days=dice.randrange(14))
    return Helper(
        id=number,
        lift_kg=dice.choice((None, 0.0, 25.0)),
        has_key=dice.random() < 0.5,
        free=None if dice.random() < 0.5 else tuple(Window(day, time(7), time(19)) for day in days),
        away=((away, away + timedelta(days=1)),) if dice.random() < 0.3 else (),
        mornings_only=dice.random() < 0.2,
        per_week=dice.choice((None, 2, 3, 4, 5, 8)),
        turns_on=(FORTNIGHT.date() - timedelta(days=dice.choice((-2, 1))),) if dice.random() < 0.3 else (),
        burden=dice.choice((0.0, 0.5, dice.uniform(0, 3), dice.uniform(0, 3))),
        own_places=frozenset({dice.randrange(1, 41)}),
        travel_min={place: dice.choice((5, 10, 25)) for place in range(1, 41)},
    )
