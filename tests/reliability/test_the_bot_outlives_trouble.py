"""The real command lives through what happens to real machines, and ends when it is told to."""

from __future__ import annotations

import asyncio
import signal
import sqlite3
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import URL

from bot.chat.wire.platform import MemoryApi
from tests.reliability.test_the_database_goes_away import dismiss_all
from tests.support.bot_api import BotApiServer, Fault, Faults
from tests.support.postgres import empty_database
from tests.support.running import Running

PEOPLE = range(601, 607)
GROUP = -1009500000001


@asynccontextmanager
async def started(folder: Path, database_url: str) -> AsyncIterator[Running]:
    """The bot, with a few people who may write to it."""
    api = MemoryApi(lambda: datetime.now(UTC))
    for user in PEOPLE:
        api.add_user(user, f"Neighbour {user}")
    async with BotApiServer(api) as server:
        running = Running(server, folder, database_url)
        try:
            await running.start()
            yield running
        finally:
            if running.process is not None and running.process.returncode is None:
                await running.end(signal.SIGKILL)


async def burst(running: Running, rounds: int, meanwhile: Callable[[], Awaitable[None]]) -> None:
    """Everybody writes again and again while something goes on; each message has one answer in the end."""
    for _ in range(rounds):
        for user in PEOPLE:
            running.api.write(user, user, "/help")
        await meanwhile()
    wanted = rounds * len(PEOPLE)

    def answers_n() -> dict[int, int]:
        return {user: len(running.api.said(user)) for user in PEOPLE}

    await running.until(lambda: sum(answers_n().values()) >= wanted, "an answer to each", 90)
    await asyncio.sleep(1.5)
    assert answers_n() == dict.fromkeys(PEOPLE, rounds)


@pytest.fixture
def url(tmp_path: Path) -> Iterator[str]:
    yield f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}"


async def test_a_pinned_message_that_the_bot_cannot_see_stops_nothing(tmp_path: Path, url: str) -> None:
    """Bot API 10.0: such a message comes as InaccessibleMessage, whose date is 0."""
    async with started(tmp_path, url) as running:
        api = running.api
        group = api.add_group(GROUP, "Teasel Lane")
        chat, sender = group.json(), api.users[601].json()
        pinned = {"chat": chat, "message_id": 5, "date": 0}
        service = {"message_id": 9007, "date": int(datetime.now(UTC).timestamp()), "chat": chat, "from": sender}
        api._push("message", service | {"pinned_message": pinned})
        api._push("message", service | {"text": "/help", "reply_markup": {"inline_keyboard": []}})
        await burst(running, 1, lambda: asyncio.sleep(0))
        assert await running.end(signal.SIGTERM, 10) == 0
        await running.start()
        await burst_again(running)


async def burst_again(running: Running) -> None:
    before = len(running.api.said(601))
    running.api.write(601, 601, "/help")
    await running.until(lambda: len(running.api.said(601)) == before + 1, "an answer after the second start")


async def test_told_to_end_while_everybody_writes_it_begins_no_send_and_loses_none(tmp_path: Path, url: str) -> None:
    """docs/reliability.md: no send is begun from then on, and it ends within ten seconds; here each send takes one."""
    rounds = 5
    async with started(tmp_path, url) as running:
        server = running.server
        server.faults = Faults(share=1.0, kinds=(Fault.DELAY,), methods=frozenset({"sendMessage"}), delay_s=1.0)
        for user in PEOPLE:
            for _ in range(rounds):
                running.api.write(user, user, "/help")
        await running.until(lambda: len(server.made(["sendMessage"])) > len(PEOPLE), "some answers")
        told_s = time.monotonic()
        assert await running.end(signal.SIGTERM, 10) == 0
        late = [at_s - told_s for at_s, method, _ in server.calls if method == "sendMessage" and at_s > told_s + 0.5]
        assert not late, "what was on its way at the signal arrives at once"
        assert len(server.made(["sendMessage"])) < rounds * len(PEOPLE), "there was more to send"
        server.faults.share = 0.0
        await running.start()
        await running.until(lambda: len(server.made(["sendMessage"])) >= rounds * len(PEOPLE), "the rest")
        await asyncio.sleep(1.5)
        assert {user: len(running.api.said(user)) for user in PEOPLE} == dict.fromkeys(PEOPLE, rounds)
        assert await running.end(signal.SIGTERM, 10) == 0


async def test_a_file_that_another_program_locks_for_longer_than_a_try_is_waited_for(tmp_path: Path, url: str) -> None:
    async with started(tmp_path, url) as running:
        other = sqlite3.connect(tmp_path / "own.sqlite3", check_same_thread=False)

        async def hold() -> None:
            await asyncio.to_thread(other.execute, "BEGIN EXCLUSIVE")
            await asyncio.sleep(8)
            await asyncio.to_thread(other.rollback)

        await burst(running, 1, hold)
        assert running.log.read_text().count("is locked or away") == 1
        await asyncio.to_thread(other.execute, "BEGIN EXCLUSIVE")
        running.api.write(601, 601, "/help")
        await asyncio.sleep(1)
        await running.end(signal.SIGTERM, 11)
        await asyncio.to_thread(other.close)


async def test_a_server_that_ends_all_connections_again_and_again_loses_and_doubles_nothing(
    tmp_path: Path, postgres_server: URL
) -> None:
    async with empty_database(postgres_server) as url, started(tmp_path, url) as running:

        async def dismiss() -> None:
            await dismiss_all(url)
            await asyncio.sleep(0.3)

        await burst(running, 8, dismiss)
        assert await running.end(signal.SIGTERM, 10) == 0


async def test_a_database_that_needs_a_person_is_named_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "own.sqlite3").write_bytes(b"minutes of the meeting " * 100)
    async with BotApiServer(MemoryApi(lambda: datetime.now(UTC))) as server:
        running = Running(server, tmp_path, f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}")
        process = await running.launch()
        assert await asyncio.wait_for(process.wait(), 30) == 5
    log = running.log.read_text()
    assert "no database; look at the path" in log and "Traceback" not in log


async def test_an_idle_bot_writes_next_to_nothing_into_its_log(tmp_path: Path, url: str) -> None:
    async with started(tmp_path, url) as running:
        await asyncio.sleep(12)
        assert await running.end(signal.SIGTERM, 10) == 0
        whole = running.log.read_text().splitlines()
        lines = [line for line in whole if " INFO " in line and "alembic" not in line]  # a database is made once
    assert len(lines) < 20, lines
