"""The solver against another solver, and against trying everything. Every level must come out equal, exactly.

ROTAS and WIDE_ROTAS in the environment say how many random rotas are compared.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, combinations

import pytest

from bot.core.tasks.rota import Problem
from bot.core.tasks.rota_solver import solve
from tests.tasks.judge import HEAVIEST, LEVELS, Names, broken_rules, may, worth
from tests.tasks.oracle import oracle
from tests.tasks.small_rotas import forty_places, small_problem

ROTAS = int(os.environ.get("ROTAS", "200"))
WIDE_ROTAS = int(os.environ.get("WIDE_ROTAS", "4"))
NODES = 100  # of HiGHS's tree, so that what is compared does not hang on the machine
QUARTER = 25  # hundredths of a turn


def _solved(problem: Problem) -> list[tuple[int, int]]:
    solution = solve(problem)
    assert solution.proven
    names = [(each.task_id, each.helper_id) for each in solution.assignments]
    assert broken_rules(problem, names) == []
    return names


@pytest.mark.parametrize("fifty", range(0, ROTAS, 50))
def test_random_rotas_are_as_good_as_another_solver_finds(fifty: int) -> None:
    for seed in range(fifty, min(fifty + 50, ROTAS)):
        problem = small_problem(seed)
        assert worth(problem, _solved(problem)) == oracle(problem).best, f"seed {seed}"


@pytest.mark.parametrize("seed", range(3, 3 + WIDE_ROTAS))
def test_forty_places_for_six_people_who_wish_for_few_turns_a_week(seed: int) -> None:
    problem = forty_places(seed)
    names = _solved(problem)
    mine, found = worth(problem, names), oracle(problem, NODES)
    proven = len(found.best)
    assert mine[:proven] == found.best
    if proven == len(LEVELS):
        return
    assert found.bound is None or mine[proven] >= found.bound, "better than the other solver says can be"
    assert all(
        worth(problem, other) >= mine for other in _exchanged(problem, names) if not broken_rules(problem, other)
    )


def test_in_a_large_rota_the_heaviest_burden_is_exact_to_the_quarter() -> None:
    problem = forty_places(0, people=13)
    assert sum(may(problem, duty, helper) for duty in problem.duties for helper in problem.helpers) > 400
    mine = worth(problem, _solved(problem))
    best = oracle(problem, levels=HEAVIEST + 1).best
    assert mine[:HEAVIEST] == best[:HEAVIEST]
    assert best[HEAVIEST] <= mine[HEAVIEST] < best[HEAVIEST] + QUARTER


def _exchanged(problem: Problem, names: Names) -> Iterator[Names]:
    """The names with somebody added or replaced, and with two people's places exchanged."""
    kept = set(names)
    able = {(duty.id, helper.id) for duty in problem.duties for helper in problem.helpers if may(problem, duty, helper)}
    for new in able - kept:
        yield kept | {new}
        yield from ((kept | {new}) - {old} for old in kept)
    for (d, h), (other, another) in combinations(kept, 2):
        swapped = {(d, another), (other, h)}
        if h != another and swapped <= able - kept:
            yield (kept | swapped) - {(d, h), (other, another)}


def _small_enough_to_try(first: int, last: int, most: int = 10) -> Iterator[tuple[int, Problem, list[Names]]]:
    """Rotas of few possible names, with every choice of names that keeps the rules."""
    for seed in range(first, last):
        problem = small_problem(seed, most_duties=4, most_helpers=4)
        pairs = [(d.id, h.id) for d in problem.duties for h in problem.helpers if may(problem, d, h)]
        if len(pairs) <= most:
            every = chain.from_iterable(combinations(pairs, size) for size in range(len(pairs) + 1))
            yield seed, problem, [names for names in every if not broken_rules(problem, names)]


def test_small_rotas_are_the_best_of_all_that_can_be_tried() -> None:
    """Among equals no other choice has lower ids for one duty and none higher for any."""
    tried = 0
    for seed, problem, every in _small_enough_to_try(5000, 5100):
        tried += 1
        names = _solved(problem)
        best = min(worth(problem, each) for each in every)
        assert worth(problem, names) == best, f"seed {seed}"
        ids = _ids(problem, names)
        equal = [_ids(problem, each) for each in every if worth(problem, each) == best]
        assert not any(other != ids and _nowhere_higher(other, ids) for other in equal), f"seed {seed}"
    assert tried > 60


def _ids(problem: Problem, names: Names) -> list[list[int]]:
    return [sorted(h for d, h in names if d == duty.id) for duty in problem.duties]


def _nowhere_higher(one: list[list[int]], other: list[list[int]]) -> bool:
    return all(
        len(mine) == len(theirs) and all(a <= b for a, b in zip(mine, theirs, strict=True))
        for mine, theirs in zip(one, other, strict=True)
    )


def test_the_order_in_which_duties_and_members_are_given_changes_nothing() -> None:
    for seed in range(6000, 6040):
        problem, dice = small_problem(seed), random.Random(seed)
        shuffled = replace(
            problem,
            duties=tuple(dice.sample(problem.duties, len(problem.duties))),
            helpers=tuple(dice.sample(problem.helpers, len(problem.helpers))),
        )
        assert solve(shuffled) == solve(problem), f"seed {seed}"
