"""Two processes on one PostgreSQL by webhook: how long from an update to its answer, and what idle processes cost.

`python -m tests.benchmarks.bench_processes [UPDATES]` (200). The smallest bot with both durable ends answers, so that what is
measured is the way in and out: the median and the slowest in twenty, for updates that come one by one to either process at
random; then the processor time of one idle process a minute, which is mostly the look each second for what another left.
"""

from __future__ import annotations

import asyncio
import os
import random
import statistics
import sys
import time
from contextlib import AsyncExitStack
from datetime import UTC, datetime
from pathlib import Path

from bot.chat.wire.platform import MemoryApi
from bot.storage.schema import upgrade
from bot.storage.session import Database
from tests.cli.test_metrics_and_logs import free_port
from tests.support import postgres
from tests.support.bot_api import BotApiServer
from tests.support.echo_bot import EFFECTS
from tests.support.slots import Slot, slot
from tests.support.webhook_push import bringing

IDLE_S = 20.0
ECHO = "tests.support.echo_bot:serve_by_webhook"
_TICKS = os.sysconf("SC_CLK_TCK")


def cpu_s(one: Slot) -> float:
    fields = Path(f"/proc/{one.pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / _TICKS


async def measured(n: int) -> None:
    api = MemoryApi(lambda: datetime.now(UTC))
    people = range(4001, 4041)
    for person in people:
        api.add_user(person, f"Neighbour {person}")
    chance, ports = random.Random(5), [free_port(), free_port()]
    with postgres.server() as server:
        async with postgres.empty_database(server) as url, BotApiServer(api) as platform, AsyncExitStack() as stack:
            database = Database(url)
            await upgrade(database)
            async with database.engine.begin() as connection:
                await connection.run_sync(EFFECTS.metadata.create_all)
            await stack.enter_async_context(bringing(api, ports, chance))
            lives = [slot(ECHO, url, platform.base_url, str(port)) for port in ports]
            slots = [await stack.enter_async_context(life) for life in lives]
            took_ms = []
            for turn in range(n):
                person = people[turn % len(people)]
                before = len(api.said(person))
                began_s = time.perf_counter()
                api.write(person, person, "Sowed peas")
                while len(api.said(person)) == before:
                    await asyncio.sleep(0.002)
                took_ms.append(1000 * (time.perf_counter() - began_s))
            warm = sorted(took_ms[n // 10 :])
            late_ms = warm[int(0.95 * len(warm))]
            print(
                f"from an update to its answer: median {statistics.median(warm):.0f} ms, slowest in twenty {late_ms:.0f} ms"
            )
            await asyncio.sleep(2)
            used_s = [cpu_s(one) for one in slots]
            await asyncio.sleep(IDLE_S)
            idle_s = [(cpu_s(one) - before_s) * 60 / IDLE_S for one, before_s in zip(slots, used_s, strict=True)]
            print(f"idle: {max(idle_s):.2f} s of processor time a minute and process")
            await database.close()


def main() -> None:
    asyncio.run(measured(int(sys.argv[1]) if len(sys.argv) > 1 else 200))


if __name__ == "__main__":
    main()
