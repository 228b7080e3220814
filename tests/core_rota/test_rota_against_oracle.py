"""The solver against another solver, and against trying everything.

Oracle: scipy.optimize.milp (HiGHS), on a formulation of its own: one program a level, the square as the upper hull of
its chords, clashes two by two. Every level must come out equal, exactly.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import csr_array

from bot.core.rota import Duty, Problem
from bot.core.rota_rules import trouble, units
from bot.core.rota_solver import solve
from tests.core_rota.small_rotas import (
    Names,
    broken_rules,
    may,
    overlap,
    small_problem,
    square_steps,
    turns_left,
    worth,
)

ROTAS = 1000
Row = dict[int, float]


@dataclass
class Program:
    """A mixed-integer program that grows by a row at a time: column numbers, upper bounds, rows with their bounds."""

    upper: list[float] = field(default_factory=list)
    rows: list[tuple[Mapping[int, float], float]] = field(default_factory=list)

    def column(self, upper: float = 1) -> int:
        self.upper.append(upper)
        return len(self.upper) - 1

    def at_most(self, row: Mapping[int, float], bound: float) -> None:
        self.rows.append((row, bound))

    def least(self, cost: Row) -> NDArray[np.float64]:
        index = [(number, column, value) for number, (row, _) in enumerate(self.rows) for column, value in row.items()]
        numbers, columns, values = zip(*index, strict=True) if index else ((), (), ())
        matrix = csr_array((values, (numbers, columns)), shape=(len(self.rows), len(self.upper)))
        objective = np.zeros(len(self.upper))
        objective[list(cost)] = list(cost.values())
        found = milp(
            objective,
            integrality=np.ones(len(self.upper)),
            bounds=(0, np.array(self.upper)),
            constraints=LinearConstraint(matrix, -np.inf, np.array([bound for _, bound in self.rows])),
            options={"mip_rel_gap": 0},
        )
        assert found.status == 0, found.message
        rounded: NDArray[np.float64] = np.round(found.x)
        return rounded


def _oracle(problem: Problem) -> tuple[int, ...]:
    program = Program()
    pairs = {
        (duty.id, helper.id): program.column()
        for duty in problem.duties
        for helper in problem.helpers
        if may(duty, helper)
    }
    if not pairs:
        return worth(problem, ())
    whole = {duty.id: program.column() for duty in problem.duties}
    for duty in problem.duties:
        _duty_rows(program, problem, duty, pairs, whole[duty.id])
    _helper_rows(program, problem, pairs)
    names: Names = ()
    for level in _levels(program, problem, pairs, whole):
        found = program.least(level)
        names = [key for key, column in pairs.items() if found[column] > 0.5]
        program.at_most(level, sum(found[column] * cost for column, cost in level.items()) + 1e-6)
    assert not broken_rules(problem, names)
    return worth(problem, names)


def _duty_rows(program: Program, problem: Problem, duty: Duty, pairs: dict[tuple[int, int], int], whole: int) -> None:
    team = {helper.id: pairs[duty.id, helper.id] for helper in problem.helpers if (duty.id, helper.id) in pairs}
    need = max(duty.people, 2) if duty.after_sunset else duty.people
    program.at_most({whole: need} | dict.fromkeys(team.values(), -1), 0)
    if duty.after_sunset or (duty.kg_each > 0 and duty.people > 1):
        program.at_most({whole: -need} | dict.fromkeys(team.values(), 1), 0)
    program.at_most(dict.fromkeys(team.values(), 1), need)
    having = [[h.id for h in problem.helpers if h.has_key]] if duty.needs_key else []
    having += [[h.id for h in problem.helpers if duty.skill in h.skills]] if duty.skill else []
    for ids in having:
        holding: Row = {team[each]: -1.0 for each in ids if each in team}
        for helper_id in team.keys() - set(ids):
            program.at_most({team[helper_id]: 1.0} | holding, 0)


def _helper_rows(program: Program, problem: Problem, pairs: dict[tuple[int, int], int]) -> None:
    for helper in problem.helpers:
        mine = [duty for duty in problem.duties if (duty.id, helper.id) in pairs]
        for one, other in combinations(mine, 2):
            if overlap(one, other):
                program.at_most({pairs[one.id, helper.id]: 1, pairs[other.id, helper.id]: 1}, 1)
        left = turns_left(helper)
        if left is not None:
            accepted = sum(helper.id in duty.agreed for duty in mine)
            program.at_most({pairs[duty.id, helper.id]: 1 for duty in mine}, max(left, accepted))


def _levels(program: Program, problem: Problem, pairs: dict[tuple[int, int], int], whole: dict[int, int]) -> list[Row]:
    zone = ZoneInfo(problem.zone)
    duties = {duty.id: duty for duty in problem.duties}
    helpers = {helper.id: helper for helper in problem.helpers}
    weight = {duty.id: units(duty, zone) for duty in problem.duties}
    before = {helper.id: round(1000 * helper.burden) for helper in problem.helpers}
    many = 1 + 3 * len(duties)
    heaviest = program.column(100_000)
    uneven: Row = {column: round(2 * before[h] * weight[d] / 1000) for (d, h), column in pairs.items()}
    for helper in helpers:
        mine = {column: d for (d, h), column in pairs.items() if h == helper}
        named, square = program.column(), program.column(1e9)
        for column in mine:
            program.at_most({column: 1, named: -1}, 0)
        load: Row = {column: weight[d] for column, d in mine.items()}
        program.at_most(load | {named: before[helper], heaviest: -1}, 0)
        for turns in range(len(mine)):
            low, high = square_steps(problem, turns), square_steps(problem, turns + 1)
            chord: Row = dict.fromkeys(mine, high - low)
            program.at_most(chord | {square: -1}, turns * (high - low) - low)
        uneven[square] = 1
    return [
        dict.fromkeys(whole.values(), -many) | dict.fromkeys(pairs.values(), -1.0),
        {column: -1.0 for (d, h), column in pairs.items() if h in duties[d].agreed},
        {heaviest: 1.0},
        uneven,
        {column: trouble(duties[d], helpers[h], zone) for (d, h), column in pairs.items()},
        {column: -1.0 for (d, h), column in pairs.items() if h in duties[d].asked},
    ]


@pytest.mark.parametrize("hundred", range(0, ROTAS, 100))
def test_a_thousand_random_rotas_are_as_good_as_another_solver_finds(hundred: int) -> None:
    for seed in range(hundred, hundred + 100):
        problem = small_problem(seed)
        solution = solve(problem)
        names = [(each.duty_id, each.helper_id) for each in solution.assignments]
        assert solution.proven
        assert broken_rules(problem, names) == []
        assert worth(problem, names) == _oracle(problem), f"seed {seed}"


def test_small_rotas_are_the_best_of_all_that_can_be_tried() -> None:
    tried = 0
    for seed in range(5000, 5150):
        problem = small_problem(seed, most_duties=3, most_helpers=4)
        pairs = [(d.id, h.id) for d in problem.duties for h in problem.helpers if may(d, h)]
        if len(pairs) > 8:
            continue
        tried += 1
        every = (subset for size in range(len(pairs) + 1) for subset in combinations(pairs, size))
        best = min(worth(problem, names) for names in every if not broken_rules(problem, names))
        names = [(each.duty_id, each.helper_id) for each in solve(problem).assignments]
        assert worth(problem, names) == best, f"seed {seed}"
    assert tried > 100
