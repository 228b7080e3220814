"""The rota solved in a process of its own, which ends with it, so that the bot never holds the solver in memory."""

from __future__ import annotations

import asyncio
import contextlib
import pickle
import sys
from pathlib import Path

import bot
from bot.core.rota import Problem, Solution

__all__ = ["SolvingFailed", "solve"]

_TIMEOUT_S = 60.0  # far above the solver's own work limit; only a stuck machine comes here
_WORKER = "bot.services.solve_worker"


class SolvingFailed(RuntimeError):
    """The worker gave no rota. The text says how it ended and what to do."""


async def solve(problem: Problem, *, timeout_s: float = _TIMEOUT_S) -> Solution:
    """The best rota for the problem, off the event loop. Raises SolvingFailed; may simply be tried again."""
    process = await asyncio.create_subprocess_exec(
        *(sys.executable, "-m", _WORKER),
        stdin=asyncio.subprocess.PIPE,
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
        cwd=Path(bot.__file__).parent.parent,
    )
    try:
        out, said = await asyncio.wait_for(process.communicate(pickle.dumps(problem)), timeout_s)
    except TimeoutError:
        raise SolvingFailed(f"the rota worker took more than {timeout_s:g} s, expected under one; try again") from None
    finally:
        with contextlib.suppress(ProcessLookupError):
            process.kill()
        await process.wait()
    return _read(process.returncode, out, said)


def _read(code: int | None, out: bytes, said: bytes) -> Solution:
    if code != 0:
        last = said.decode(errors="replace").strip().splitlines()[-1:] or ["it said nothing"]
        raise SolvingFailed(f"the rota worker ended with {code} ({last[0]}), expected 0; try again, is memory short?")
    solution = pickle.loads(out)
    if not isinstance(solution, Solution):
        raise SolvingFailed(f"the rota worker answered {type(solution).__name__}, expected Solution")
    return solution
