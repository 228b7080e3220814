"""A year of invented forecasts: what the group hears of each event. By hand: `python -m tests.benchmarks.bench_year`.

Arguments: a seed, a number of days (a year by default). The garden is the demo's, its tender crops gone from November
to March; its people are invented and answer as `tests.support.neighbours` says. A look each hour, a new forecast each
six hours.
"""

from __future__ import annotations

import asyncio
import random
import sys
import tempfile
from collections import Counter
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from statistics import median

from tests.support.group_messages import Event, played
from tests.support.invented_weather import Weather

START_ON = date(2026, 5, 3)


KINDS = ("heads-up", "call", "too late", "worse", "open call", "called off", "after")


def table(events: list[Event]) -> str:
    """A line for each hazard, and one for all; under each kind, how many such messages."""
    lines = [
        f"| Hazard | Events | {' | '.join(KINDS)} | False starts | New messages an event: median, most | Edits |",
        "|---" * (len(KINDS) + 5) + "|",
    ]
    for hazard in [*sorted({event.hazard for event in events}), "all"]:
        mine = [event for event in events if hazard in (event.hazard, "all")]
        kinds = Counter(kind for event in mine for kind in event.kinds)
        counts = " | ".join(str(kinds[kind]) for kind in KINDS)
        false = sum(event.is_false_start for event in mine)
        spoken = [event.spoken for event in mine]
        most = f"{median(spoken):g}, {max(spoken)}"
        lines.append(f"| {hazard} | {len(mine)} | {counts} | {false} | {most} | {sum(e.edits for e in mine)} |")
    return "\n".join(lines)


def main() -> None:
    seed, days = (int(value) for value in (*sys.argv[1:], *("1", "365")[len(sys.argv) - 1 :]))
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        weather = Weather.of_year(START_ON, days, seed)
        at = datetime.combine(START_ON, time(12), UTC)
        events = asyncio.run(
            played(Path(folder), weather.seen, at, at + timedelta(days=days), random.Random(seed), timedelta(hours=1))
        )
    print(table(events))
    called = [event for event in events if {"call", "too late"} & {*event.kinds}]
    print(
        f"of {len(called)} events with a call, {sum(event.is_called_for_nothing for event in called)} were called off after it"
    )
    print(Counter(event.spoken for event in events))
    for event in sorted(events, key=lambda event: -event.spoken)[:8]:
        print(event.hazard, event.window_on, event.kinds, event.edits)


if __name__ == "__main__":
    main()
