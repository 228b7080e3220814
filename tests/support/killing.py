"""Kills the bot at seeded random moments while people write and press, and the network fails."""

from __future__ import annotations

import asyncio
import random
import signal
import sys
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from pathlib import Path

from bot.chat.wire.platform import MemoryApi
from tests.support.bot_api import BotApiServer

__all__ = ["Ordeal"]

ROOT = Path(__file__).resolve().parents[2]


@dataclass(slots=True)
class Ordeal:
    """hook: what the launcher runs. deed: one thing that somebody does. is_settled: whether nothing is left to do.

    alive_s: a life lasts at most this long from its first call; as many deeds fall into it as `deeds`.
    """

    server: BotApiServer
    database_url: str
    hook: str
    deed: Callable[[MemoryApi, random.Random], None]
    is_settled: Callable[[], Awaitable[bool]]
    seed: int
    alive_s: float = 0.6
    deeds: int = 8
    kills: int = 0
    _random: random.Random = field(init=False)

    def __post_init__(self) -> None:
        self._random = random.Random(self.seed)

    async def go_through(self, kills: int) -> None:
        """Live and be killed `kills` times; then live on, without faults, until all is settled."""
        for _ in range(kills):
            process = await self._born()
            await self._live()
            process.send_signal(signal.SIGKILL)
            await process.wait()
            self.kills += 1
        self.server.faults.share = 0.0
        process = await self._born()
        try:
            async with asyncio.timeout(120):
                while not await self.is_settled():
                    assert process.returncode is None, "the bot ended by itself"
                    await asyncio.sleep(0.2)
        finally:
            if process.returncode is None:
                process.send_signal(signal.SIGKILL)
            await process.wait()

    async def _born(self) -> asyncio.subprocess.Process:
        """A new process, once its first call for updates has come."""
        before = self.server.polls
        command = ["-m", "tests.support.launched", self.hook, self.database_url, self.server.base_url]
        process = await asyncio.create_subprocess_exec(sys.executable, *command, cwd=ROOT)
        async with asyncio.timeout(60):
            while self.server.polls == before:
                assert process.returncode is None, "the bot did not start"
                await asyncio.sleep(0.01)
        return process

    async def _live(self) -> None:
        """A random stretch of life, with deeds at random moments in it."""
        end_s = self._random.uniform(0.02, self.alive_s)
        moments = sorted(self._random.uniform(0, end_s) for _ in range(self.deeds))
        passed_s = 0.0
        for moment_s in moments:
            await asyncio.sleep(moment_s - passed_s)
            passed_s = moment_s
            self.deed(self.server.api, self._random)
        await asyncio.sleep(end_s - passed_s)
