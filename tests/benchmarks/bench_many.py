"""A morning of many gardens before a cold night, in one process: `python -m tests.benchmarks.bench_many [N...]`.

For each number of gardens (10, 40 and 160 if none is given), each a copy of the demo's with 9 members: the processor time
of the first look at all of them, which calls their people by name; of sending that; of a look a minute later, when nothing
is due; and by which exponent the first two grow with the number. The weather is invented, the database SQLite, the names
are found by the first who may (not by the solver, which has a process of its own).
"""

from __future__ import annotations

import asyncio
import math
import resource
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

from bot.demo.weather import Day
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.session import Database
from tests.support.group_messages import furnished
from tests.support.invented_weather import calm
from tests.support.same_minutes import issued
from tests.support.talk import first_who_can

NOW = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)
FROST: Day = (-1.0, 12.0, 5.0, 1.0, 4.0, 0.0)


async def morning(n: int) -> tuple[float, float, float, int]:
    """Processor time of the look, of sending, of the look a minute later, s; and how many messages were sent."""
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        database = Database(f"sqlite+aiosqlite:///{Path(folder) / 'many.sqlite3'}")
        await furnished(database, NOW, [f"Garden {number}" for number in range(n)])
        await issued(database, [calm(), FROST, calm()], NOW - timedelta(minutes=20))
        async with on_stage(database, Source("open-meteo"), NOW, first_who_can) as stage:
            began_s = time.process_time()
            await stage.app.watch()
            looked_s = time.process_time() - began_s
            sent_n = await stage.app.send_due()
            sent_s = time.process_time() - began_s - looked_s
            await stage.app.watch()  # what the first look changed is looked at once more
            stage.clock.at += timedelta(minutes=1)
            began_s = time.process_time()
            await stage.app.watch()
            idle_s = time.process_time() - began_s
        await database.close()
    return looked_s, sent_s, idle_s, sent_n


def main() -> None:
    numbers = [int(value) for value in sys.argv[1:]] or [10, 40, 160]
    found = []
    for n in numbers:
        looked_s, sent_s, idle_s, sent_n = asyncio.run(morning(n))
        peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        found.append((n, looked_s + sent_s))
        print(
            f"{n} gardens: looked at in {looked_s:.1f} s, {sent_n} messages sent in {sent_s:.1f} s, "
            f"a minute later {1000 * idle_s:.0f} ms; peak memory so far {peak_mb:.0f} MB"
        )
    for (few, before_s), (many, after_s) in pairwise(found):
        print(f"from {few} to {many}: exponent {math.log(after_s / before_s) / math.log(many / few):.2f}")


if __name__ == "__main__":
    main()
