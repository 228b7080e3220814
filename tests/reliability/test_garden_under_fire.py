"""Nothing is lost and nothing doubled in a fortnight of the whole bot, whenever it dies and however the network fails.

A small seeded run; docs/reliability.md has the command and the figures of the long one.
"""

from __future__ import annotations

import asyncio
import logging
import multiprocessing
import os
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from datetime import date, timedelta
from pathlib import Path

import pytest

from bot.chat.wire.platform import MemoryApi
from bot.storage.session import Database
from bot.storage.states import SendState
from tests.support.bot_api import BotApiServer, Fault, Faults
from tests.support.fire_checks import Aftermath, aftermath
from tests.support.garden_bot import FileClock
from tests.support.garden_under_fire import END_AT, START_AT, Fortnight, weather_of
from tests.support.group_messages import Event, played

KILLS = int(os.environ.get("GATEPOST_FIRE_KILLS", "10"))
SEED = int(os.environ.get("GATEPOST_FIRE_SEED", "5"))
#: A run of many kills looks more often, dies sooner, and has its solver in a process of its own.
LONG = KILLS > 20
STEP_MIN, LIFE_S, SOLVER = (15, 2.5, "apart") if LONG else (90, 4.0, "here")
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


async def fortnight(folder: Path, seed: int, kills: int, met: Counter[Fault]) -> tuple[int, Aftermath]:
    folder.mkdir()
    clock, database = FileClock(folder / "clock"), Database(f"sqlite+aiosqlite:///{folder}/gatepost.sqlite3")
    async with BotApiServer(MemoryApi(clock), faults=Faults(seed, share=FAULTS, delay_s=0.7)) as server:
        lived = Fortnight(server, database, folder, clock, seed, STEP_MIN, LIFE_S, SOLVER)
        await lived.go_through(kills)
        left = await aftermath(database, server, lived.people.pressed)
        assert server.problems == []
        met.update(server.faults.met)
    await database.close()
    return lived.kills, left


@pytest.mark.alone
async def test_a_fortnight_loses_nothing_and_doubles_nothing(tmp_path: Path) -> None:
    kills, seed, met, total = 0, SEED, Counter[Fault](), Counter[str]()
    spawned = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=spawned) as elsewhere:
        while kills < KILLS:
            asked = asyncio.get_running_loop().run_in_executor(
                elsewhere, undisturbed, tmp_path / f"calm {seed}", seed, STEP_MIN
            )
            died, left = await fortnight(tmp_path / f"fire {seed}", seed, KILLS - kills, met)
            left.check()
            firm, told = expected_of(await asked)
            called = {(row.hazard, row.window_on) for row in left.warnings.values() if row.called_at is not None}
            assert firm <= called <= told
            assert firm, "a fortnight without a warning proves nothing"
            kills, seed = kills + died, seed + 1
            total.update(_counted(left))
    assert min(total["warning messages"], total["asks"], total["presses"], total["uncertain"]) > 0
    logging.getLogger(__name__).warning(
        "%d kills, %d fortnights, %s, faults: %s", kills, seed - SEED, dict(total), dict(met)
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
