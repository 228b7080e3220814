"""`gatepost run` in a process of its own, over HTTP, against the platform on loopback."""

from __future__ import annotations

import asyncio
import os
import signal
import sqlite3
import sys
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from bot.chat.wire.platform import MemoryApi
from bot.chat.wire.world import Message
from tests.open_data import ROOT
from tests.support.bot_api import TOKEN, BotApiServer

__all__ = ["Running"]


@dataclass(slots=True)
class Running:
    """The bot in a process of its own, and the platform that it talks to."""

    server: BotApiServer
    folder: Path
    database_url: str
    code: str = ""
    process: asyncio.subprocess.Process | None = None

    @property
    def log(self) -> Path:
        return self.folder / "log.txt"

    @property
    def api(self) -> MemoryApi:
        return self.server.api

    async def launch(self) -> asyncio.subprocess.Process:
        environment = {
            **os.environ,
            "GATEPOST_TOKEN": TOKEN,
            "GATEPOST_BOT_API_URL": self.server.base_url,
            "GATEPOST_DATABASE_URL": self.database_url,
            "GATEPOST_FORECAST": f"file:{self.folder / 'forecast.json'}",
            "GATEPOST_LOG_LEVEL": "DEBUG",
        }
        with self.log.open("ab") as log:
            return await asyncio.create_subprocess_exec(
                *(sys.executable, "-m", "bot", "run"), cwd=ROOT, env=environment, stdout=log, stderr=log
            )

    async def start(self) -> None:
        before = self.server.polls
        self.process = await self.launch()
        await self.until(lambda: self.server.polls > before, "it asks for updates")

    async def end(self, sign: signal.Signals, within_s: float = 60.0) -> int:
        assert self.process is not None
        self.process.send_signal(sign)
        status = await asyncio.wait_for(self.process.wait(), within_s)
        self.process = None
        return status

    async def until(self, holds: Callable[[], bool], what: str, within_s: float = 60.0) -> None:
        end_s = asyncio.get_running_loop().time() + within_s
        while not holds():
            assert self.process is None or self.process.returncode is None, "the bot ended by itself"
            assert asyncio.get_running_loop().time() < end_s, f"not within {within_s:g} s: {what}"
            await asyncio.sleep(0.02)

    def answers(self) -> list[str]:
        """What became of each answer that was queued."""
        with closing(sqlite3.connect(self.folder / "own.sqlite3")) as connection:
            return [str(state) for (state,) in connection.execute("select state from outbox where key like 'reply:%'")]

    async def heard(self, chat: int, words: str) -> Message:
        """The message with these words in a chat, as soon as it is there."""
        await self.until(lambda: any(words in one.text for one in self.api.said(chat)), words)
        await asyncio.sleep(0.3)  # nobody taps before the bot has noted that its message arrived
        return next(one for one in self.api.said(chat) if words in one.text)
