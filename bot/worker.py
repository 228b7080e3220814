"""Heavy work in a process of its own, which ends with it, so that the bot never holds a solver or a font in memory.

The process runs `python -m bot.worker MODULE:FUNCTION`: one pickled argument on stdin, one pickled answer on stdout.
"""

from __future__ import annotations

import asyncio
import contextlib
import importlib
import pickle
import sys
from pathlib import Path
from typing import TypeVar

import bot

_Answer = TypeVar("_Answer")
_TIMEOUT_S = 60.0  # far above any work of ours; only a stuck machine comes here


class WorkerFailed(RuntimeError):
    """The worker gave no answer. The text says how it ended and what to do."""


async def run(
    name: str, function: str, argument: object, answer: type[_Answer], *, timeout_s: float = _TIMEOUT_S
) -> _Answer:
    """`function` ("module:name") of the argument, off the event loop. Raises WorkerFailed; may simply be tried again.

    name: what the worker is called in errors. answer: the type of what the function gives back.
    """
    process = await asyncio.create_subprocess_exec(
        *(sys.executable, "-m", "bot.worker", function),
        stdin=asyncio.subprocess.PIPE,
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
        cwd=Path(bot.__file__).parent.parent,
    )
    try:
        out, said = await asyncio.wait_for(process.communicate(pickle.dumps(argument)), timeout_s)
    except TimeoutError:
        raise WorkerFailed(f"the {name} worker took more than {timeout_s:g} s, expected under one; try again") from None
    finally:
        with contextlib.suppress(ProcessLookupError):
            process.kill()
        await process.wait()
    if process.returncode != 0:
        raise WorkerFailed(_how_it_ended(name, process.returncode, said))
    return _read(name, out, answer)


def _how_it_ended(name: str, code: int | None, said: bytes) -> str:
    last = said.decode(errors="replace").strip().splitlines()[-1:] or ["it said nothing"]
    return f"the {name} worker ended with {code} ({last[0]}), expected 0; try again, is memory short?"


def _read(name: str, out: bytes, answer: type[_Answer]) -> _Answer:
    found = pickle.loads(out)
    if not isinstance(found, answer):
        raise WorkerFailed(f"the {name} worker answered {type(found).__name__}, expected {answer.__name__}")
    return found


def _work(function: str) -> None:
    module, _, name = function.partition(":")
    work = getattr(importlib.import_module(module), name)
    pickle.dump(work(pickle.load(sys.stdin.buffer)), sys.stdout.buffer)


if __name__ == "__main__":
    _work(sys.argv[1])
