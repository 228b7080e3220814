"""How one process hears of work that another has left in the one PostgreSQL: by a look each second, as it is, or by NOTIFY.

`python -m tests.benchmarks.bench_wakes [UPDATES]` (100). The smallest bot with both durable ends runs in a process of its own.
Updates are stored beside it, as by a process that is too busy to work on them; measured is how long until their answer is on
the platform: median, and slowest in twenty. Then the bot's processor time a minute with nothing to do; what it costs a bot to
be woken for nothing, which is what every other process does for each update and each message that somebody stores; and how
long somebody takes who stores updates, alone and eight at a time, with and without a NOTIFY in the same transaction.
While it listens it looks by itself only every 30 s, for what nobody told it.
"""

from __future__ import annotations

import asyncio
import random
import statistics
import sys
import time
from datetime import UTC, datetime
from itertools import count
from typing import Any
from unittest.mock import patch

import asyncpg
from sqlalchemy import URL, text

from bot.app import App, build
from bot.chat.wire import errand_work, inbox, outbox
from bot.chat.wire.platform import MemoryApi
from bot.cli import run as run_command
from bot.storage.claims import count_processes
from bot.storage.schema import upgrade
from bot.storage.session import Database
from tests.benchmarks.bench_processes import IDLE_S, cpu_s
from tests.cli.test_metrics_and_logs import free_port
from tests.support import postgres
from tests.support.bot_api import BotApiServer
from tests.support.echo_bot import EFFECTS, serve_by_webhook
from tests.support.slots import Slot, slot

NET_S = 30.0
_TOLD = text("SELECT pg_notify('work', '')")
_STORED_N, _AT_ONCE, _WAKES_N = 400, 8, 200
_PERSON = 4001
_NUMBERS = count(10_000)


async def serve_listening(database_url: str, base_url: str, port: str) -> None:
    """`serve_by_webhook`, woken by NOTIFY."""
    apps: list[App] = []

    def built(*given: Any, **named: Any) -> App:
        apps.append(build(*given, **named))
        return apps[0]

    async def listening(database: Database, *more: Any) -> None:
        url = database.url.set(drivername="postgresql").render_as_string(hide_password=False)
        connection = await asyncpg.connect(url)
        await connection.add_listener("work", _wake)
        try:
            await count_processes(database, *more)
        finally:
            await connection.close()

    def _wake(*_: object) -> None:
        for event in (apps[0].wake_inbox, apps[0].wake_outbox, apps[0].wake_errands):
            event.set()

    with (
        patch.object(run_command, "build", built),
        patch.object(run_command, "count_processes", listening),
        patch.object(inbox, "TICK_S", NET_S),
        patch.object(outbox, "TICK_S", NET_S),
        patch.object(errand_work, "TICK_S", NET_S),
    ):
        await serve_by_webhook(database_url, base_url, port)


async def _store(database: Database, *, tells: bool) -> None:
    number = next(_NUMBERS)
    person = {"id": _PERSON, "is_bot": False, "first_name": "Neighbour"}
    message = {
        "message_id": number,
        "date": 0,
        "chat": {"id": _PERSON, "type": "private"},
        "from": person,
        "text": "Hi",
    }
    async with database.begin() as session:
        await inbox.store(session, {"update_id": number, "message": message}, now=datetime.now(UTC))
        if tells:
            await session.execute(_TOLD)


async def _answered(server: URL, hook: str, n: int, *, tells: bool) -> None:
    """Latency and idle processor time of one bot."""
    api, chance = MemoryApi(lambda: datetime.now(UTC)), random.Random(5)
    api.add_user(_PERSON, "Neighbour")
    api.write(_PERSON, _PERSON, "/start")
    async with postgres.empty_database(server) as url, BotApiServer(api) as platform:
        database = Database(url)
        await upgrade(database)
        async with database.engine.begin() as connection:
            await connection.run_sync(EFFECTS.metadata.create_all)
        async with slot(hook, url, platform.base_url, str(free_port())) as bot:
            while not api.webhook:
                await asyncio.sleep(0.1)
            took_ms = []
            for _ in range(n):
                await asyncio.sleep(chance.uniform(0.1, 1.1))
                before_n, began_s = len(api.said(_PERSON)), time.perf_counter()
                await _store(database, tells=tells)
                while len(api.said(_PERSON)) == before_n:
                    await asyncio.sleep(0.002)
                took_ms.append(1000 * (time.perf_counter() - began_s))
            warm = sorted(took_ms[n // 10 :])
            await asyncio.sleep(2)
            used_s = cpu_s(bot)
            await asyncio.sleep(3 * IDLE_S)
            idle_s = (cpu_s(bot) - used_s) * 60 / (3 * IDLE_S)
            woken_ms = await _woken_for_nothing(database, bot) if tells else 0.0
        await database.close()
    late_ms = warm[int(0.95 * len(warm))]
    print(
        f"{'NOTIFY' if tells else 'a look each second'}: median {statistics.median(warm):.0f} ms, slowest in twenty "
        f"{late_ms:.0f} ms; idle {idle_s:.2f} s of processor time a minute"
    )
    if tells:
        print(f"woken for nothing: {woken_ms:.1f} ms of processor time")


async def _woken_for_nothing(database: Database, bot: Slot) -> float:
    used_s = cpu_s(bot)
    for _ in range(_WAKES_N):
        async with database.begin() as session:
            await session.execute(_TOLD)
        await asyncio.sleep(0.1)
    return 1000 * (cpu_s(bot) - used_s) / _WAKES_N


async def _stored(server: URL, at_once: int, *, tells: bool) -> float:
    """Milliseconds for each update that is stored."""
    async with postgres.empty_database(server) as url:
        database = Database(url)
        await upgrade(database)

        async def some() -> None:
            for _ in range(_STORED_N // at_once):
                await _store(database, tells=tells)

        await some()
        began_s = time.perf_counter()
        await asyncio.gather(*(some() for _ in range(at_once)))
        took_s = time.perf_counter() - began_s
        await database.close()
    return 1000 * took_s / _STORED_N


async def measured(server: URL, n: int) -> None:
    here = "tests.benchmarks.bench_wakes:serve_listening"
    await _answered(server, "tests.support.echo_bot:serve_by_webhook", n, tells=False)
    await _answered(server, here, n, tells=True)
    for at_once in (1, _AT_ONCE):
        pairs = [[await _stored(server, at_once, tells=tells) for tells in (False, True)] for _ in range(3)]
        plain, told = (statistics.median(column) for column in zip(*pairs, strict=True))
        print(f"stored, {at_once} at a time: {plain:.2f} ms each, with NOTIFY {told:.2f} ms")


def main() -> None:
    with postgres.server() as server:
        asyncio.run(measured(server, int(sys.argv[1]) if len(sys.argv) > 1 else 100))


if __name__ == "__main__":
    main()
