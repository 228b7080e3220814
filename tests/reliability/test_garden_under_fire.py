"""Nothing is lost and nothing doubled in a fortnight of the whole bot, whenever it dies and however the network fails:
one process on SQLite that asks for updates, and two on one PostgreSQL to which a webhook brings them.

A small seeded run; docs/reliability.md has the command and the figures of the long one.
"""

from __future__ import annotations

import asyncio
import logging
import multiprocessing
import os
from collections import Counter
from collections.abc import Awaitable, Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import URL

from bot.chat.wire.platform import MemoryApi
from bot.storage.session import Database
from bot.storage.states import SendState
from tests.cli.test_metrics_and_logs import free_port
from tests.support import postgres
from tests.support.bot_api import BotApiServer, Fault, Faults
from tests.support.fire_checks import Aftermath, aftermath
from tests.support.garden_bot import FileClock
from tests.support.garden_under_fire import END_AT, START_AT, Fortnight, weather_of
from tests.support.group_messages import Event, played

KILLS = int(os.environ.get("GATEPOST_FIRE_KILLS", "10"))
PAIR_KILLS = int(os.environ.get("GATEPOST_FIRE_KILLS", "6"))
SEED = int(os.environ.get("GATEPOST_FIRE_SEED", "5"))
#: A run of many kills looks more often, and has its solver in a process of its own; of two processes each look is two.
LONG = KILLS > 20
STEP_MIN, SOLVER = (15, "apart") if LONG else (90, "here")
PAIR_STEP_MIN, PAIR_SOLVER = 90, "here"
FAULTS = 0.08


Window = tuple[str, date]


def undisturbed(folder: Path, seed: int, step_min: int) -> list[Event]:
    """The same fortnight on a platform in memory, where nothing dies, nothing fails and nobody answers."""
    folder.mkdir()
    step, seen = timedelta(minutes=step_min), weather_of(seed).seen
    return asyncio.run(played(folder, seen, START_AT, END_AT, None, step))


def expected_of(events: list[Event]) -> tuple[set[Window], set[Window]]:
    """Windows that must be called, and those of which anything may be said."""
    firm = {
        (e.hazard, e.window_on) for e in events if {"call", "too late"} & {*e.kinds} and "called off" not in e.kinds
    }
    return firm, {(event.hazard, event.window_on) for event in events}


Lived = tuple[int, Aftermath, Counter[Fault]]


async def fortnight(folder: Path, database: Database, seed: int, kills: int, ports: Sequence[int]) -> Lived:
    """How often somebody was killed, what is left, and the faults that were met."""
    folder.mkdir()
    clock = FileClock(folder / "clock")
    async with BotApiServer(MemoryApi(clock), faults=Faults(seed, share=FAULTS, delay_s=0.7)) as server:
        step_min, solver = (PAIR_STEP_MIN, PAIR_SOLVER) if ports else (STEP_MIN, SOLVER)
        lived = Fortnight(server, database, folder, clock, seed, step_min, solver, ports)
        await lived.go_through(kills)
        left = await aftermath(database, server, lived.people.pressed)
        assert server.problems == []
    await database.close()
    return lived.kills, left, Counter(server.faults.met)


@pytest.mark.alone
async def test_a_fortnight_loses_nothing_and_doubles_nothing(tmp_path: Path) -> None:
    async def alone(seed: int, kills: int) -> Lived:
        folder = tmp_path / f"fire {seed}"
        database = Database(f"sqlite+aiosqlite:///{tmp_path}/{seed}.sqlite3")
        return await fortnight(folder, database, seed, kills, ())

    await lives(tmp_path, KILLS, STEP_MIN, alone)


@pytest.mark.alone
async def test_two_processes_on_one_database_lose_nothing_and_double_nothing(
    tmp_path: Path, postgres_server: URL
) -> None:
    async def as_a_pair(seed: int, kills: int) -> Lived:
        async with postgres.empty_database(postgres_server) as url:
            return await fortnight(tmp_path / f"fire {seed}", Database(url), seed, kills, (free_port(), free_port()))

    await lives(tmp_path, PAIR_KILLS, PAIR_STEP_MIN, as_a_pair)


async def lives(folder: Path, kills: int, step_min: int, live: Callable[[int, int], Awaitable[Lived]]) -> None:
    """Fortnights until so many were killed; each is checked, also against the same one undisturbed."""
    killed, seed, met, total = 0, SEED, Counter[Fault](), Counter[str]()
    spawned = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=spawned) as elsewhere:
        while killed < kills:
            asked = asyncio.get_running_loop().run_in_executor(
                elsewhere, undisturbed, folder / f"calm {seed}", seed, step_min
            )
            died, left, faults = await live(seed, kills - killed)
            left.check()
            firm, told = expected_of(await asked)
            called = {(row.hazard, row.window_on) for row in left.warnings.values() if row.called_at is not None}
            assert firm <= called <= told
            assert firm, "a fortnight without a warning proves nothing"
            killed, seed, met = killed + died, seed + 1, met + faults
            total.update(_counted(left))
    assert min(total["warning messages"], total["asks"], total["presses"], total["uncertain"]) > 0
    logging.getLogger(__name__).warning(
        "%d kills, %d fortnights, %s, faults: %s", killed, seed - SEED, dict(total), dict(met)
    )


def _counted(left: Aftermath) -> Counter[str]:
    """The figures for docs/reliability.md."""
    rows = left.rows.values()
    late = [row for row in rows if row.state is SendState.EXPIRED and row.error == "too late"]
    return Counter({
        "warnings": len(left.warnings),
        "warning messages": sum(row.key.startswith("warning:") and row.method == "sendMessage" for row in rows),
        "asks": sum(row.key.startswith("ask:") for row in rows),
        "lists of the day": sum(row.key.startswith("walk:") for row in rows),
        "replies": sum(row.key.startswith("reply:") for row in rows),
        "edits": sum(row.edits is not None for row in rows),
        "presses": len(left.presses),
        "updates": len(left.inbox),
        "uncertain": sum(row.state is SendState.UNCERTAIN for row in rows),
        "marked repeats": sum(":again" in row.key for row in rows),
        "expired": len(late),
    })  # fmt: skip
