"""A rota whose duties and helpers are as they were is not solved again at every look, in any of many gardens."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from bot.core.tasks.rota import Duty, Helper, Problem, Solution
from bot.services.tasks.solving import FRESH_FOR, remembering

NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


def garden(number: int) -> Problem:
    duty = Duty(number, NOW + timedelta(hours=9), NOW + timedelta(hours=10), place_id=number, minutes=10)
    return Problem("Europe/London", (duty,), (Helper(10 * number), Helper(10 * number + 1)))


async def test_each_of_many_gardens_is_solved_once_until_something_changes() -> None:
    solved, at = list[Problem](), [NOW]

    async def solve(problem: Problem) -> Solution:
        solved.append(problem)
        return Solution((), (), proven=True)

    once = remembering(solve, lambda: at[0])
    gardens = [garden(number) for number in range(1, 41)]
    for _ in range(3):
        for one in gardens:
            await once(one)
        at[0] += timedelta(minutes=5)
    assert solved == gardens

    refused = replace(gardens[6], duties=(replace(gardens[6].duties[0], refused=(70,)),))
    await once(refused)
    assert solved[len(gardens) :] == [refused]

    at[0] = NOW + FRESH_FOR
    await once(gardens[0])
    assert solved[-1] == gardens[0]
    assert len(solved) == len(gardens) + 2


@pytest.mark.parametrize("said", [{"away": ((NOW.date(), NOW.date()),)}, {"lift_kg": 0.0}, {"per_week": 1}])
async def test_nobody_is_named_by_a_rota_from_before_they_said_that_they_cannot(said: dict[str, Any]) -> None:
    """A later rota has been solved meanwhile, and then the duties stand as they did at first."""
    solved = list[Problem]()

    async def solve(problem: Problem) -> Solution:
        solved.append(problem)
        return Solution((), (), proven=True)

    once, first = remembering(solve, lambda: NOW), garden(1)
    asked = replace(first, duties=(replace(first.duties[0], asked=(10,)),))
    cannot = replace(first, helpers=(replace(first.helpers[0], **said), first.helpers[1]))
    for one in (first, asked, cannot):
        await once(one)
    assert solved == [first, asked, cannot]
