"""`gatepost run` as a group meets it: the real command in a process of its own, over HTTP, stopped and killed."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import sqlite3
import sys
from collections.abc import AsyncIterator, Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.chat.wire import MemoryApi
from bot.chat.wire_world import Message
from bot.cli import main
from tests.open_data import ROOT
from tests.support.bot_api import TOKEN, BotApiServer
from tests.support.group_messages import GARDEN
from tests.support.invented_weather import calm, write

GROUP, MIRIAM, TOBIAS = -1001000000099, 501, 502


@dataclass(slots=True)
class Running:
    """The bot in a process of its own, and the platform that it talks to."""

    server: BotApiServer
    folder: Path
    code: str
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
            "GATEPOST_DATABASE_URL": f"sqlite+aiosqlite:///{self.folder / 'own.sqlite3'}",
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

    async def end(self, sign: signal.Signals) -> int:
        assert self.process is not None
        self.process.send_signal(sign)
        status = await asyncio.wait_for(self.process.wait(), 60)
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
        return next(one for one in self.api.said(chat) if words in one.text)


@pytest.fixture
async def running(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> AsyncIterator[Running]:
    monkeypatch.setenv("GATEPOST_DATABASE_URL", f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}")
    assert await asyncio.to_thread(main, ["import", str(GARDEN)]) == 0
    code = re.search(r"/start (\S+)", capsys.readouterr().out)
    assert code is not None
    today = datetime.now(UTC)
    write(tmp_path / "forecast.json", [calm()] * 10, today)
    api = MemoryApi(lambda: datetime.now(UTC))
    api.add_user(MIRIAM, "Miriam")
    api.add_user(TOBIAS, "Tobias")
    api.add_group(GROUP, "Teasel Lane")
    async with BotApiServer(api) as server:
        running = Running(server, tmp_path, code[1])
        await running.start()
        yield running
        if running.process is not None:
            await running.end(signal.SIGKILL)
    assert server.problems == []


async def test_from_the_first_organisers_code_to_a_members_week(running: Running) -> None:
    api = running.api
    api.write(MIRIAM, MIRIAM, "/start wrong-code")
    await running.heard(MIRIAM, "whoever runs me can give you a code")
    api.write(MIRIAM, MIRIAM, f"/start {running.code}")
    await running.heard(MIRIAM, "You are now an organiser of Teasel Lane.")
    api.join(MIRIAM, GROUP)
    api.join(TOBIAS, GROUP)
    added = api.promote(api.bot.id, GROUP)
    added["my_chat_member"]["from"] = api.users[MIRIAM].json()
    greeting = await running.heard(GROUP, "please tap Join")
    api.press(TOBIAS, greeting, "Join")
    welcome = await running.heard(GROUP, "Welcome, Tobias!")
    assert welcome.keyboard[0][0]["url"] == "https://t.me/gatepost_bot?start=hello"
    api.write(TOBIAS, TOBIAS, "/start hello")
    await running.heard(TOBIAS, "Ask me at any time")
    api.write(TOBIAS, TOBIAS, "what should I do this week?")
    await running.until(lambda: len(api.said(TOBIAS)) >= 2, "an answer about the week")
    week = api.said(TOBIAS)[-1]
    assert "not on this garden's list" not in week.text

    api.write(TOBIAS, TOBIAS, f"/start {running.code}")
    await running.until(lambda: len(api.said(TOBIAS)) >= 3, "the used code is answered")
    assert "organiser" not in api.said(TOBIAS)[-1].text, "a code is used up"

    assert await running.end(signal.SIGTERM) == 0
    log = running.log.read_text(encoding="utf-8")
    assert TOKEN not in log and TOKEN.partition(":")[2] not in log
    assert running.code not in log and "this week" not in log, "nor what people write"


async def test_what_was_written_while_it_was_dead_or_dying_is_handled_once(running: Running) -> None:
    """Each message has one answer. One that was being sent at the kill may have arrived, and is not sent again."""
    api = running.api
    for number in range(6):
        api.write(MIRIAM, MIRIAM, f"/help {number}")
        if number == 2:
            await running.until(lambda: len(api.said(MIRIAM)) >= 1, "a first answer")
            assert await running.end(signal.SIGKILL) == -signal.SIGKILL
    await running.start()
    await running.until(
        lambda: len(running.answers()) == 6 and not {"pending", "sending"} & {*running.answers()}, "all"
    )
    states = running.answers()
    assert {*states} <= {"sent", "uncertain"} and states.count("uncertain") <= 1
    assert states.count("sent") <= len(api.said(MIRIAM)) <= 6
    assert await running.end(signal.SIGTERM) == 0
    assert TOKEN.partition(":")[2] not in running.log.read_text(encoding="utf-8")


async def test_a_second_process_on_the_same_database_stops_at_once_and_says_why(running: Running) -> None:
    second = await running.launch()
    assert await asyncio.wait_for(second.wait(), 60) == 3
    assert running.process is not None
    log = running.log.read_text(encoding="utf-8")
    assert f"in use by process {running.process.pid}; stop that one first" in log
