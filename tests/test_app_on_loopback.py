"""`gatepost run` as a group meets it: the real command in a process of its own, over HTTP, stopped and killed."""

from __future__ import annotations

import asyncio
import re
import signal
from collections.abc import AsyncIterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.chat.wire.platform import MemoryApi
from bot.cli import main
from tests.support.bot_api import TOKEN, BotApiServer
from tests.support.group_messages import GARDEN
from tests.support.invented_weather import calm, write
from tests.support.running import Running

GROUP, MIRIAM, TOBIAS = -1001000000099, 501, 502


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
        running = Running(server, tmp_path, f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}", code[1])
        await running.start()
        yield running
        if running.process is not None:
            await running.end(signal.SIGKILL)
    assert server.problems == []


async def test_from_the_first_organisers_code_to_a_members_week(running: Running) -> None:
    api = running.api
    api.write(MIRIAM, MIRIAM, "/start wrong-code")
    await running.heard(MIRIAM, "I do not know this code")
    api.write(MIRIAM, MIRIAM, f"/start {running.code}")
    await running.heard(MIRIAM, "You are now an organiser of Teasel Lane.")
    api.join(MIRIAM, GROUP)
    api.join(TOBIAS, GROUP)
    added = api.promote(api.bot.id, GROUP)
    added["my_chat_member"]["from"] = api.users[MIRIAM].json()
    question = await running.heard(MIRIAM, "Is it your garden's?")
    api.press(MIRIAM, question, "Teasel Lane")
    greeting = await running.heard(GROUP, "tap Join")
    api.press(TOBIAS, greeting, "Join")
    welcome = await running.heard(GROUP, "Welcome, Tobias!")
    assert welcome.keyboard[0][0]["url"] == "https://t.me/gatepost_bot?start=hello"
    api.write(TOBIAS, TOBIAS, "/start hello")
    await running.heard(TOBIAS, "There is a name like yours on the list")
    before = len(api.said(TOBIAS))
    api.write(TOBIAS, TOBIAS, "what should I do this week?")
    await running.until(lambda: len(api.said(TOBIAS)) > before, "an answer about the week")
    week = api.said(TOBIAS)[-1]
    assert "not on this garden's list" not in week.text

    api.write(TOBIAS, TOBIAS, f"/start {running.code}")
    await running.heard(TOBIAS, "I do not know this code")
    assert "organiser" not in api.said(TOBIAS)[-1].text, "a code is used up"

    assert await running.end(signal.SIGTERM) == 0
    log = running.log.read_text(encoding="utf-8")
    assert TOKEN not in log and TOKEN.partition(":")[2] not in log
    assert running.code not in log and "this week" not in log, "nor what people write"


async def test_what_was_written_while_it_was_dead_or_dying_is_handled_once(running: Running) -> None:
    """Each message has one answer. One that was being sent at the kill may have arrived, and is sent again, saying so."""
    api = running.api
    for number in range(6):
        api.write(MIRIAM, MIRIAM, f"/help {number}")
        if number == 2:
            await running.until(lambda: len(api.said(MIRIAM)) >= 1, "a first answer")
            assert await running.end(signal.SIGKILL) == -signal.SIGKILL
    await running.start()
    await running.until(
        lambda: len(running.answers()) >= 6 and not {"pending", "sending"} & {*running.answers()}, "all"
    )
    states = running.answers()
    assert states.count("sent") == 6 and len(states) <= 7 and {*states} <= {"sent", "uncertain"}
    said = [message.text for message in api.said(MIRIAM)]
    repeats = [text for text in said if text.startswith("(I may have answered this already.)")]
    assert len(said) - len(repeats) <= 6 and len(repeats) == states.count("uncertain")
    assert await running.end(signal.SIGTERM) == 0
    assert TOKEN.partition(":")[2] not in running.log.read_text(encoding="utf-8")


async def test_a_second_process_on_the_same_database_stops_at_once_and_says_why(running: Running) -> None:
    second = await running.launch()
    assert await asyncio.wait_for(second.wait(), 60) == 3
    assert running.process is not None
    log = running.log.read_text(encoding="utf-8")
    assert f"in use by process {running.process.pid}; stop that one first" in log
