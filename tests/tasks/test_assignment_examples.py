"""Published assignment problems, played as a rota: duties at one hour, one person each, the matrix as minutes of travel."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from bot.core.tasks.rota import Duty, Helper, Problem, Short, Solution
from bot.core.tasks.rota_solver import solve

NINE = datetime(2026, 10, 5, 8, tzinfo=UTC)
Matrix = list[list[int]]

# scipy.optimize.linear_sum_assignment: documentation and tests (scipy 1.17.1), read 2026-11-25.
SCIPY_DOCS = [[4, 1, 3], [2, 0, 5], [3, 2, 2]]
SCIPY_SQUARE = [[400, 150, 400], [400, 450, 600], [300, 225, 300]]
SCIPY_WIDE = [[400, 150, 400, 1], [400, 450, 600, 2], [300, 225, 300, 3]]
SCIPY_TIED = [[10, 10, 8, 11], [9, 8, 1, 1], [9, 7, 4, 10]]
# OR-Tools guide, "Solving an assignment problem", read 2026-11-25: five workers, four tasks.
FIVE_WORKERS = [[90, 80, 75, 70], [35, 85, 55, 65], [125, 95, 90, 95], [45, 110, 95, 115], [50, 100, 90, 100]]
# tests of the repository antma/algo, read 2026-11-25: the greatest sum is 3315.
GREATEST = [
    [7, 53, 183, 439, 863],
    [497, 383, 563, 79, 973],
    [287, 63, 343, 169, 583],
    [627, 343, 773, 959, 943],
    [767, 473, 103, 699, 303],
]


def _duty(number: int) -> Duty:
    return Duty(id=number, starts_at=NINE, ends_at=NINE + timedelta(minutes=30), place_id=number, minutes=30)


def _played(matrix: Matrix) -> tuple[int, dict[int, int]]:
    """Rows are members and columns duties, where there are enough rows; else the other way round."""
    turned = len(matrix) < len(matrix[0])
    rows = [list(column) for column in zip(*matrix, strict=True)] if turned else matrix
    helpers = tuple(Helper(id=number, travel_min=dict(enumerate(row))) for number, row in enumerate(rows))
    solution = solve(Problem("Europe/London", tuple(_duty(number) for number in range(len(rows[0]))), helpers))
    assert solution.proven and not solution.shortages
    chosen = {each.helper_id: each.task_id for each in solution.assignments}
    total = sum(rows[helper][duty] for helper, duty in chosen.items())
    return total, {duty: helper for helper, duty in chosen.items()} if turned else chosen


@pytest.mark.parametrize(
    ("matrix", "total", "chosen"),
    [
        (SCIPY_DOCS, 5, {0: 1, 1: 0, 2: 2}),
        (SCIPY_SQUARE, 850, {0: 1, 1: 0, 2: 2}),
        (FIVE_WORKERS, 265, {0: 3, 1: 2, 2: 1, 3: 0}),
    ],
)
def test_published_problems_are_solved_as_published(matrix: Matrix, total: int, chosen: dict[int, int]) -> None:
    assert _played(matrix) == (total, chosen)


@pytest.mark.parametrize(("matrix", "total"), [(SCIPY_WIDE, 452), (SCIPY_TIED, 15)])
def test_a_problem_with_ties_costs_what_is_published(matrix: Matrix, total: int) -> None:
    assert _played(matrix)[0] == total


def test_the_greatest_sum_is_the_least_of_what_is_left_to_a_thousand() -> None:
    total, chosen = _played([[1000 - value for value in row] for row in GREATEST])
    assert 5 * 1000 - total == 3315
    assert chosen == {0: 4, 1: 1, 2: 2, 3: 3, 4: 0}


def test_where_all_cost_the_same_ties_go_by_id_and_the_order_given_does_not_matter() -> None:
    helpers = tuple(Helper(id=number) for number in range(12))
    duties = tuple(_duty(number) for number in range(8))
    solutions: list[Solution] = [
        solve(Problem("Europe/London", duties[::step], helpers[::other])) for step in (1, -1) for other in (1, -1)
    ]
    assert all(solution == solutions[0] for solution in solutions)
    assert {each.helper_id for each in solutions[0].assignments} == set(range(8))


def test_a_duty_that_nobody_can_do_is_said_to_be_short_and_the_others_are_done() -> None:
    # scipy raises on a column of infinities (its tests); a rota must do the rest and say what is missing
    duties = tuple(_duty(number) for number in range(3))
    closed = Duty(**{name: getattr(duties[1], name) for name in Duty.__slots__} | {"refused": (0, 1, 2)})
    helpers = tuple(Helper(id=number) for number in range(3))
    solution = solve(Problem("Europe/London", (duties[0], closed, duties[2]), helpers))
    assert {each.task_id for each in solution.assignments} == {0, 2}
    assert [(each.task_id, each.short, each.have, each.need) for each in solution.shortages] == [
        (1, Short.NOT_REFUSED, 0, 1)
    ]
