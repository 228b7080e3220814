"""Processor time of answers over HTTP, beside two echo bots in the same run: `python -m tests.benchmarks.bench_wire`.

Each bot runs in a process of its own against the platform on loopback; what it uses is read from /proc (Linux only), less
what it uses when nobody writes. The bare echo is the chat library's own; the durable echo stores what comes in, queues its
answer and settles it, with this project's ends of the chat. The garden is the demo's, its weather that of the demo.
"""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import select

from bot.chat.wire.platform import MemoryApi
from bot.cli.demo import _FOLDER
from bot.storage.models import Base, Person
from bot.storage.session import Database
from tests.support.bot_api import TOKEN, BotApiServer
from tests.support.invented_weather import calm, write

PEOPLE, ROUNDS = 9, 3
IDLE_S = 12.0
QUESTIONS = ("what should I do this week?", "/help", "watered bed 1", "/out")


async def main() -> None:
    rows: list[tuple[str, float]] = []
    async with _serving("tests.support.bare_echo:serve") as (process, server):
        rows.append(("bare echo", await _cost_ms(process, server, "hello")))
    async with _serving("tests.support.echo_bot:serve") as (process, server):
        rows.append(("durable echo", await _cost_ms(process, server, "hello")))
    async with _serving(None) as (process, server):
        rows += [(question, await _cost_ms(process, server, question)) for question in QUESTIONS]
        print(f"idle, beside the clock's jobs: {_used_s(process):.2f} s of processor time so far")
        print(_resident(process))
    bare = rows[0][1]
    for name, cost_ms in rows:
        print(f"{name}: {cost_ms:.1f} ms, {cost_ms / bare:.1f} x bare echo, {cost_ms / rows[1][1]:.1f} x durable echo")


@asynccontextmanager
async def _serving(hook: str | None) -> AsyncIterator[tuple[asyncio.subprocess.Process, BotApiServer]]:
    """A bot in a process of its own; None for the real one, with the demo's garden."""
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        api = MemoryApi(lambda: datetime.now(UTC))
        for n in range(PEOPLE):
            api.add_user(501 + n, f"Member {n}")
        async with BotApiServer(api) as server:
            url = f"sqlite+aiosqlite:///{folder}/bench.sqlite3"
            environ = os.environ | {
                "GATEPOST_DATABASE_URL": url,
                "GATEPOST_TOKEN": TOKEN,
                "GATEPOST_BOT_API_URL": server.base_url,
                "GATEPOST_FORECAST": f"file:{folder}/forecast.json",
                "GATEPOST_LOG_LEVEL": "ERROR",
            }
            await _filled(url, Path(folder), environ, with_garden=hook is None)
            launched = (
                ["-m", "bot", "run"] if hook is None else ["-m", "tests.support.launched", hook, url, server.base_url]
            )
            process = await asyncio.create_subprocess_exec(sys.executable, *launched, env=environ)
            while not server.polls:
                await asyncio.sleep(0.05)
            try:
                yield process, server
            finally:
                process.kill()
                await process.wait()


async def _filled(url: str, folder: Path, environ: dict[str, str], *, with_garden: bool) -> None:
    database = Database(url)
    if with_garden:
        write(folder / "forecast.json", [calm()] * 10, datetime.now(UTC))
        importing = [sys.executable, "-m", "bot", "import", str(_FOLDER / "garden")]
        subprocess.run(importing, env=environ, check=True, capture_output=True)
        async with database.begin() as session:
            for n, person in enumerate((await session.scalars(select(Person).order_by(Person.id))).all()):
                person.user_id, person.private_ok_at = 501 + n, datetime.now(UTC)
    else:
        from tests.support.echo_bot import EFFECTS

        async with database.engine.begin() as connection:
            await connection.run_sync(Base.metadata.create_all)
            await connection.run_sync(EFFECTS.metadata.create_all)
    await database.close()


async def _cost_ms(process: asyncio.subprocess.Process, server: BotApiServer, text: str) -> float:
    """Of one message, from its arrival to its settled answer, the mean of a few rounds of everybody."""
    await _answered(server, text)  # whatever is made ready for the first of its kind
    await asyncio.sleep(1.0)
    before_s, began_s = _used_s(process), time.monotonic()
    await asyncio.sleep(IDLE_S)
    idle = (_used_s(process) - before_s) / (time.monotonic() - began_s)
    before_s, began_s = _used_s(process), time.monotonic()
    for _ in range(ROUNDS):
        await _answered(server, text)
        await asyncio.sleep(1.2)  # what the platform lets through in one chat
    used_s = _used_s(process) - before_s - idle * (time.monotonic() - began_s)
    return 1000 * used_s / (ROUNDS * PEOPLE)


async def _answered(server: BotApiServer, text: str) -> None:
    """Everybody writes, one after the other, and has an answer."""
    for n in range(PEOPLE):
        user = 501 + n
        before = len(server.api.said(user))
        server.api.write(user, user, text)
        async with asyncio.timeout(30):
            while len(server.api.said(user)) == before:
                await asyncio.sleep(0.01)
    await asyncio.sleep(0.2)


def _used_s(process: asyncio.subprocess.Process) -> float:
    fields: Sequence[str] = Path(f"/proc/{process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _resident(process: asyncio.subprocess.Process) -> str:
    lines = Path(f"/proc/{process.pid}/status").read_text().splitlines()
    return next(line for line in lines if line.startswith("VmRSS"))


if __name__ == "__main__":
    asyncio.run(main())
