"""Another solver for the rota: scipy.optimize.milp (HiGHS), one program after the other, a level at a time.

The square of a load is bounded from below by chords between neighbouring loads that some choice of duties can add up
to. Chords are added where the found loads need them, until the program's squares are the true ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations
from math import ceil
from zoneinfo import ZoneInfo

import numpy as np
from scipy.optimize import LinearConstraint, OptimizeResult, milp
from scipy.sparse import csr_array

from bot.core.tasks.rota import Duty, Helper, Problem
from bot.core.tasks.rota_rules import trouble
from tests.tasks.judge import (
    LEVELS,
    SQUARES,
    Names,
    all_or_none,
    before,
    broken_rules,
    comes_last,
    is_asked,
    may,
    need,
    overlap,
    turns_left,
    week,
    weights,
    worth,
)

Row = Mapping[int, float]


@dataclass(frozen=True)
class Found:
    """best: by `judge.LEVELS`, as many levels as were proven. bound: that the next level can't be less than, if any."""

    best: tuple[int, ...]
    bound: int | None = None


@dataclass
class Program:
    """A mixed-integer program that grows by a row at a time: column numbers, upper bounds, rows with their bounds."""

    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[Row, float]] = field(default_factory=list)

    def column(self, upper: float = 1, whole: bool = True) -> int:
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.upper) - 1

    def at_most(self, row: Row, bound: float) -> None:
        self.rows.append((row, bound))

    def least(self, cost: Row, nodes: int | None) -> OptimizeResult:
        index = [(number, column, value) for number, (row, _) in enumerate(self.rows) for column, value in row.items()]
        numbers, columns, values = zip(*index, strict=True) if index else ((), (), ())
        matrix = csr_array((values, (numbers, columns)), shape=(len(self.rows), len(self.upper)))
        objective = np.zeros(len(self.upper))
        objective[list(cost)] = list(cost.values())
        return milp(
            objective,
            integrality=np.array(self.whole),
            bounds=(0, np.array(self.upper)),
            constraints=LinearConstraint(matrix, -np.inf, np.array([bound for _, bound in self.rows])),
            options={"mip_rel_gap": 0} | ({} if nodes is None else {"node_limit": nodes}),
        )


class _Rota:
    """The rota as a program. Columns: a name each, whether a duty is whole, the heaviest load, a square each."""

    def __init__(self, problem: Problem) -> None:
        self.problem, self.program = problem, Program()
        self.weight = weights(problem)
        self.names = {
            (duty.id, helper.id): self.program.column()
            for duty in problem.duties
            for helper in problem.helpers
            if may(problem, duty, helper)
        }
        self.whole = {duty.id: self.program.column() for duty in problem.duties}
        self.heaviest = self.program.column(1e6, whole=False)
        self.square = {helper.id: self.program.column(1e9, whole=False) for helper in problem.helpers}
        self.sums: dict[int, list[int]] = {}
        self.chords: set[tuple[int, int, int]] = set()
        for duty in problem.duties:
            self._duty_rows(duty)
        for helper in problem.helpers:
            self._helper_rows(helper)

    def _duty_rows(self, duty: Duty) -> None:
        team = {h: column for (d, h), column in self.names.items() if d == duty.id}
        everybody = dict.fromkeys(team.values(), 1.0)
        whole, people = self.whole[duty.id], need(duty)
        self.program.at_most({whole: people} | dict.fromkeys(team.values(), -1.0), 0)
        self.program.at_most(everybody, people)
        if all_or_none(duty):
            self.program.at_most({whole: -people} | everybody, 0)
        having = [{h.id for h in self.problem.helpers if h.has_key}] if duty.needs_key else []
        having += [{h.id for h in self.problem.helpers if duty.skill in h.skills}] if duty.skill else []
        for ids in having:
            holding = {column: -1.0 for h, column in team.items() if h in ids}
            self.program.at_most({whole: 1.0} | holding, 0)
            for other in team.keys() - ids:
                self.program.at_most({team[other]: 1.0} | holding, 0)

    def _mine(self, helper: Helper) -> dict[int, Duty]:
        return {
            self.names[duty.id, helper.id]: duty for duty in self.problem.duties if (duty.id, helper.id) in self.names
        }

    def _helper_rows(self, helper: Helper) -> None:
        mine = self._mine(helper)
        for (column, one), (another, other) in combinations(mine.items(), 2):
            if overlap(one, other):
                self.program.at_most({column: 1, another: 1}, 1)
        for each in {week(duty, self.problem) for duty in mine.values()}:
            of_week = {column: duty for column, duty in mine.items() if week(duty, self.problem) == each}
            self._week_rows(helper, turns_left(helper, each), of_week)
        added = {column: float(self.weight[duty.id]) for column, duty in mine.items()}
        for column in mine:  # whoever is named carries what they had, and all that is added
            self.program.at_most({**added, column: added[column] + before(helper), self.heaviest: -1}, 0)
        sums = {0}
        for duty in mine.values():
            sums |= {each + self.weight[duty.id] for each in sums}
        self.sums[helper.id] = sorted(sums)

    def _week_rows(self, helper: Helper, left: int | None, mine: Mapping[int, Duty]) -> None:
        """Beyond their wish they have only what they accepted: then nothing new."""
        if left is None:
            return
        new = [column for column, duty in mine.items() if helper.id not in duty.agreed]
        beyond = self.program.column()
        self.program.at_most(dict.fromkeys(mine, 1.0) | {beyond: -float(max(0, len(mine) - len(new) - left))}, left)
        for column in new:
            self.program.at_most({column: 1, beyond: 1}, 1)

    def level(self, name: str) -> Row:
        duties = {duty.id: duty for duty in self.problem.duties}
        helpers = {helper.id: helper for helper in self.problem.helpers}
        zone = ZoneInfo(self.problem.zone)
        match name:
            case "whole duties":
                return dict.fromkeys(self.whole.values(), -1.0)
            case "people":
                return dict.fromkeys(self.names.values(), -1.0)
            case "agreed":
                return {column: -1.0 for (d, h), column in self.names.items() if h in duties[d].agreed}
            case "asked":
                return {column: -1.0 for (d, h), column in self.names.items() if is_asked(duties[d], h)}
            case "last":
                return {column: 1.0 for (d, h), column in self.names.items() if comes_last(duties[d], h)}
            case "heaviest":
                return {self.heaviest: 1.0}
            case "squares":  # (before + added)^2 - before^2
                crossed = {column: 2.0 * before(helpers[h]) * self.weight[d] for (d, h), column in self.names.items()}
                return crossed | dict.fromkeys(self.square.values(), 1.0)
            case _:
                return {column: float(trouble(duties[d], helpers[h], zone)) for (d, h), column in self.names.items()}

    def constant(self, name: str) -> int:
        return sum(before(helper) ** 2 for helper in self.problem.helpers) if name == "squares" else 0

    def named(self, values: np.ndarray) -> Names:
        return [name for name, column in self.names.items() if values[column] > 0.5]

    def touch(self, names: Names) -> bool:
        """Add the chords on both sides of each load that lack; False when none lacks."""
        known = len(self.chords)
        for helper in self.problem.helpers:
            load = sum(self.weight[d] for d, h in names if h == helper.id)
            sums = self.sums[helper.id]
            at = sums.index(load)
            for low, high in zip(sums[max(at - 1, 0) : at + 1], sums[max(at, 1) : at + 2], strict=False):
                self._chord(helper, low, high)
        return len(self.chords) > known

    def _chord(self, helper: Helper, low: int, high: int) -> None:
        if (helper.id, low, high) in self.chords:
            return
        self.chords.add((helper.id, low, high))
        row = {column: float((low + high) * self.weight[duty.id]) for column, duty in self._mine(helper).items()}
        self.program.at_most(row | {self.square[helper.id]: -1.0}, low * high)


def oracle(problem: Problem, nodes: int | None = None, levels: int = len(LEVELS)) -> Found:
    """The best by so many levels; with a limit of nodes, by as many of them as are proven within it."""
    rota, names = _Rota(problem), list[tuple[int, int]]()
    done: list[int] = []
    for number, name in enumerate(LEVELS[:levels]):
        cost = rota.level(name)
        while cost:
            found = rota.program.least(cost, nodes)
            if found.status != 0:
                assert "limit reached" in found.message, found.message
                bound = found.mip_dual_bound
                return Found(tuple(done), None if bound is None else ceil(bound - 1e-3) + rota.constant(name))
            names = list(rota.named(found.x))
            if number < SQUARES or not rota.touch(names):
                break
        done.append(worth(problem, names)[number])
        rota.program.at_most(cost, done[-1] - rota.constant(name) + 0.4)
    assert not broken_rules(problem, names)
    assert worth(problem, names)[:levels] == tuple(done)
    return Found(tuple(done))
