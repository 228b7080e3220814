"""A day and a night of many gardens under faults: `python -m tests.benchmarks.bench_soak [GARDENS [HOURS]]` (200, 24).

Each garden is a copy of the demo's with 9 members, on a platform in memory that fails at one call in twelve: 429, the API's
own 500, or no answer though the call was carried out. A cold night lies in the middle; a new forecast comes every three
hours; people write, ask and press at random, four times a day each. Printed each hour: the process's resident memory,
the platform's messages of the last six hours included, what waits, and how much was handled and sent. In the
end: by how much memory grew an hour in the second half, by least squares. The weather, people and faults are invented, from
a seed; time is simulated; the names are found by the first who may, since the solver has a process of its own.
"""

from __future__ import annotations

import asyncio
import gc
import os
import random
import sys
import tempfile
import time
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import linear_regression
from typing import Any, ClassVar
from unittest.mock import patch

import httpx
from sqlalchemy import func, select
from telegram.error import TimedOut
from telegram.request import RequestData

from bot import stage as stages
from bot.chat.wire import outbox
from bot.chat.wire.platform import ApiError, MemoryRequest, error_body
from bot.demo.weather import Day
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from bot.storage.models import Inbox
from bot.storage.session import Database
from tests.support.group_messages import furnished
from tests.support.invented_weather import calm
from tests.support.same_minutes import issued
from tests.support.talk import first_who_can

SEED = 5
START_AT = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
STEP, KEPT_FOR = timedelta(minutes=10), timedelta(hours=6)
FROST: Day = (-1.0, 12.0, 5.0, 1.0, 4.0, 0.0)
FAULTS_SHARE, DEEDS_A_DAY = 1 / 12, 4
SAID = (
    "what should I do this week?", "watered bed 1", "planted 12 lettuces in Bed 1", "/help", "/weather", "/nights",
    "-1 on the shed thermometer", "3 kg of potatoes from pot 2", "thanks", "is it going to freeze?", "/out", "/me",
    "sowed 2 rows of carrots in bed 2", "I can't on Friday", "/calendar", "xyzzy",
)  # fmt: skip
_PAGE = os.sysconf("SC_PAGE_SIZE")


class Faulty(MemoryRequest):
    """The platform in memory, at its worst. met: how often each fault was."""

    chance = random.Random(SEED)
    met: ClassVar[Counter[str]] = Counter()

    async def do_request(
        self, url: str, method: str, request_data: RequestData | None = None, *timeouts: Any, **more: Any
    ) -> tuple[int, bytes]:
        fault = self.chance.choice(["429", "500", "lost"]) if self.chance.random() < FAULTS_SHARE else ""
        if fault and not url.endswith("getMe"):
            self.met[fault] += 1
            if fault == "429":
                return 429, error_body(ApiError(429, "Too Many Requests: retry after 1", retry_after=1))
            if fault == "500":
                return 500, error_body(ApiError(500, "Internal Server Error"))
            await super().do_request(url, method, request_data, *timeouts, **more)
            raise TimedOut from httpx.ReadTimeout("no answer")
        return await super().do_request(url, method, request_data, *timeouts, **more)


def resident_mb() -> float:
    gc.collect()
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * _PAGE / 1e6


def deeds(stage: Stage, people: list[int], chance: random.Random) -> None:
    """What people do in one step."""
    for person in people:
        if chance.random() >= DEEDS_A_DAY * STEP / timedelta(days=1):
            continue
        shown = [one for one in stage.api.said(person)[-3:] if one.keyboard]
        if shown and chance.random() < 0.6:
            message = chance.choice(shown)
            keys = [key for row in message.keyboard for key in row if "callback_data" in key]
            if keys:
                stage.api.press(person, message, chance.choice(keys)["text"])
        else:
            stage.api.write(person, person, chance.choice(SAID))


def forget(stage: Stage) -> None:
    """What the platform in memory holds of messages that nobody changes any more."""
    before = stage.clock.at - KEPT_FOR
    kept = {key: one for key, one in stage.api.messages.items() if one.at >= before}
    stage.api.messages.clear()
    stage.api.messages.update(kept)
    stage.api.files.update(dict.fromkeys(stage.api.files, b""))


async def soak(n: int, hours: int) -> None:
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        database = Database(f"sqlite+aiosqlite:///{Path(folder) / 'many.sqlite3'}")
        await furnished(database, START_AT, [f"Garden {number}" for number in range(n)])
        await issued(database, [calm(), FROST, calm()], START_AT)
        chance, measured, began_s = random.Random(SEED), list[tuple[float, float]](), time.process_time()
        async with on_stage(database, Source("open-meteo"), START_AT, first_who_can) as stage:
            people = [user.id for user in stage.people()]
            for step in range(1, hours * 6 + 1):
                stage.clock.at += STEP
                if stage.clock.at.hour % 3 == 0 and not stage.clock.at.minute:
                    await issued(database, [calm(), FROST, calm()], stage.clock.at - timedelta(minutes=5))
                deeds(stage, people, chance)
                await stage.tick()
                if step % 6 == 0:
                    forget(stage)
                    async with database.begin() as session:
                        waiting = await session.scalar(select(func.count()).where(Inbox.done_at.is_(None)))
                        handled = await session.scalar(select(func.count()).select_from(Inbox))
                        states = await outbox.counts(session)
                    measured.append((step / 6, resident_mb()))
                    sent = {str(state): count for state, count in states.items() if count}
                    print(
                        f"{step // 6:3} h: {measured[-1][1]:.0f} MB, {handled} updates, {waiting} waiting, {sent}",
                        flush=True,
                    )
        await database.close()
    late = measured[len(measured) // 2 :]
    slope, _ = linear_regression([x for x, _ in late], [y for _, y in late])
    print(
        f"{n} gardens, {hours} h: memory grew by {slope:+.2f} MB an hour in the second half; {dict(Faulty.met)} faults; "
        f"{time.process_time() - began_s:.0f} s of processor time"
    )


def main() -> None:
    given = [int(value) for value in sys.argv[1:]]
    n, hours = given[0] if given else 200, given[1] if len(given) > 1 else 24
    with patch.object(stages, "MemoryRequest", Faulty):
        asyncio.run(soak(n, hours))


if __name__ == "__main__":
    main()
