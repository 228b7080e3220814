"""A process that is killed and born anew, again and again, from one that has everything loaded (`tests.support.nursery`)."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from tests.open_data import ROOT

__all__ = ["Slot", "slot"]


class Slot:
    """pid: of the life that goes on; 0 without one."""

    def __init__(self, nursery: asyncio.subprocess.Process) -> None:
        self._nursery, self.pid = nursery, 0

    async def bear(self) -> None:
        assert self._nursery.stdin is not None and self._nursery.stdout is not None
        self._nursery.stdin.write(b"live\n")
        await self._nursery.stdin.drain()
        self.pid = int(await self._nursery.stdout.readline())

    async def kill(self) -> None:
        """It must not have ended by itself before."""
        assert self._nursery.stdout is not None
        pid, self.pid = self.pid, 0
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
        died_of = int(await self._nursery.stdout.readline())
        assert died_of == -signal.SIGKILL, f"a process ended by itself with {died_of}"


@asynccontextmanager
async def slot(hook: str, *arguments: str) -> AsyncIterator[Slot]:
    """Alive when the block begins. hook: MODULE:FUNCTION, which runs with the arguments until it is killed."""
    nursery = await asyncio.create_subprocess_exec(
        *(sys.executable, "-m", "tests.support.nursery", hook, *arguments),
        cwd=ROOT,
        stdin=asyncio.subprocess.PIPE,
        stdout=asyncio.subprocess.PIPE,
    )
    one = Slot(nursery)
    try:
        await one.bear()
        yield one
    finally:
        if one.pid:
            await one.kill()  # or its end of the pipe would be waited for
        assert nursery.stdin is not None
        nursery.stdin.close()
        nursery.kill()
        await nursery.wait()
