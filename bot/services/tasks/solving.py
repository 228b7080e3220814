"""The rota solved in a process of its own, so that the bot never holds the solver in memory.

A solver that does not solve the same rota again and again while nothing about it changes.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta
from operator import attrgetter

from bot import worker
from bot.core.tasks.rota import Problem, Solution
from bot.storage.kept import Kept

_TIMEOUT_S = 180.0  # far above the work limit of the solver; only a stuck machine comes here

SolvingFailed = worker.WorkerFailed


async def solve(problem: Problem, *, timeout_s: float = _TIMEOUT_S) -> Solution:
    """The best rota for the problem, off the event loop. Raises SolvingFailed; may simply be tried again."""
    return await worker.run("rota", "bot.core.tasks.rota_solver:solve", problem, Solution, timeout_s=timeout_s)


#: What each has borne changes slowly; what is open, who has answered, and what people say of themselves is looked at every
#: time.
FRESH_FOR = timedelta(minutes=30)

_GARDENS_N = 256
_SAID = attrgetter("id", "lift_kg", "has_key", "skills", "free", "away", "mornings_only", "per_week")

_Solve = Callable[[Problem], Awaitable[Solution]]


def remembering(solve: _Solve, now: Callable[[], datetime]) -> _Solve:
    """The same solver, giving its last answer again while duties and helpers are as they were; of so many gardens."""
    known: Kept[tuple[datetime, Solution]] = Kept(_GARDENS_N)

    async def solved(problem: Problem) -> Solution:
        key = (problem.duties, tuple(_SAID(one) for one in problem.helpers if one.adult and one.reachable))
        found = known.get(key)
        if found is None or not timedelta(0) <= now() - found[0] < FRESH_FOR:
            found = (now(), await solve(problem))
            known.put(key, found)
        return found[1]

    return solved
