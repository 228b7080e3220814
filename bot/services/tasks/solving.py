"""The rota solved in a process of its own, so that the bot never holds the solver in memory."""

from __future__ import annotations

from bot import worker
from bot.core.tasks.rota import Problem, Solution

__all__ = ["SolvingFailed", "solve"]

_TIMEOUT_S = 180.0  # far above the work limit of the solver; only a stuck machine comes here

SolvingFailed = worker.WorkerFailed


async def solve(problem: Problem, *, timeout_s: float = _TIMEOUT_S) -> Solution:
    """The best rota for the problem, off the event loop. Raises SolvingFailed; may simply be tried again."""
    return await worker.run("rota", "bot.core.tasks.rota_solver:solve", problem, Solution, timeout_s=timeout_s)
