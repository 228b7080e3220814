"""The rota solved in a process of its own: the same answer, nothing heavy left behind, a clear word when it dies."""

from __future__ import annotations

import asyncio
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import bot
from bot.core.tasks import rota_solver
from bot.services.tasks import solving
from tests.tasks.small_rotas import small_problem

ROOT = Path(bot.__file__).parent.parent


async def test_the_worker_gives_the_same_rota_as_the_solver_itself() -> None:
    problem = small_problem(11)
    assert await solving.solve(problem) == rota_solver.solve(problem)


async def test_a_worker_that_is_killed_is_reported_and_the_next_call_works(monkeypatch: pytest.MonkeyPatch) -> None:
    async def killed(*command: str, **options: Any) -> asyncio.subprocess.Process:
        process = await start(*command, **options)
        process.kill()
        return process

    start = asyncio.create_subprocess_exec
    with monkeypatch.context() as patch, pytest.raises(solving.SolvingFailed, match="the rota worker ended with -9"):
        patch.setattr(asyncio, "create_subprocess_exec", killed)
        await solving.solve(small_problem(11))
    assert (await solving.solve(small_problem(11))).proven


async def test_a_worker_that_takes_too_long_is_ended_and_reported() -> None:
    with pytest.raises(solving.SolvingFailed, match=r"took more than 0\.01 s"):
        await solving.solve(small_problem(11), timeout_s=0.01)


async def test_a_problem_that_makes_no_sense_is_reported_with_the_solvers_own_words() -> None:
    problem = small_problem(11)
    twice = type(problem)(problem.zone, problem.duties + problem.duties, problem.helpers)
    with pytest.raises(solving.SolvingFailed, match="are not unique"):
        await solving.solve(twice)


async def test_the_event_loop_stays_free_while_a_rota_is_solved() -> None:
    call, beats = asyncio.create_task(solving.solve(small_problem(11))), 0
    while not call.done():
        beats += 1
        await asyncio.sleep(0.01)
    assert beats > 3


def test_the_bot_does_not_load_the_solver_itself() -> None:
    program = "import bot.services.tasks.solving, bot.core.tasks.rota_rules, sys; sys.exit('ortools' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=False).returncode == 0
