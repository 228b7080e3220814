"""Processor time of the week in core, by plantings: `python -m tests.benchmarks.bench_week`, by hand."""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from datetime import date, timedelta

from bot.core.garden.snapshot import Stage
from bot.core.growing.stages import Warmth, reckoned
from bot.core.growing.week import WeekRecords
from tests.support.stories import (
    FRAME,
    GREENHOUSE,
    INES,
    LONG_BED,
    TOM,
    TUNNEL,
    Story,
    Weather,
    batch,
    crops,
)

STAGES = (Stage.SOWN, Stage.SEEDLING, Stage.GROWING, Stage.FLOWERING, Stage.READY)
PLACES = (LONG_BED, TUNNEL, GREENHOUSE, FRAME)  # all shared, so that a member without a plot sees every planting
ON = date(2026, 5, 24)


def story(count: int) -> Story:
    keys = sorted(crops())
    batches = tuple(
        batch(
            keys[n % len(keys)],
            PLACES[n % len(PLACES)],
            STAGES[n % len(STAGES)],
            20,
            height_cm=float(n % 60),
            sown_on=date(2026, 3, 1 + n % 28),
        )
        for n in range(count)
    )
    return Story(ON, batches, Weather((1.0, 3.0, 6.0, 8.0, 9.0, 9.0, 10.0), days_c=(17.0,)))


def fastest_ms(count: int, member_id: int) -> float:
    shown = story(count)
    known = WeekRecords(wanted=frozenset(crops()), litres={LONG_BED: 60.0})
    shown.week(member_id, known)  # findings and advice are reckoned once, before
    times = []
    for _ in range(30):
        start = time.process_time()
        shown.week(member_id, known)
        times.append(time.process_time() - start)
    return 1000 * min(times)


def stages_ms(count: int) -> float:
    """Every batch brought to the stage that it has reached, with the warmth of 120 past days known."""
    fresh = story(count)
    recorded = replace(fresh.garden, plantings=fresh.batches, place_by_id={})
    warmth = Warmth.of({ON - timedelta(days=n): 10.0 for n in range(120)})
    times = []
    for _ in range(10):
        start = time.process_time()
        reckoned(recorded, crops(), ON, warmth)
        times.append(time.process_time() - start)
    return 1000 * min(times)


def findings_ms(count: int) -> float:
    times = []
    for _ in range(5):
        fresh = story(count)
        _ = fresh.nights, fresh.garden
        start = time.process_time()
        _ = fresh.findings, fresh.advice
        times.append(time.process_time() - start)
    return 1000 * min(times)


def main() -> None:
    sys.stdout.write(
        "plantings  week, a member (ms)  an organiser (ms)  findings and advice, 7 nights (ms)  stages (ms)\n"
    )
    for count in (100, 200, 400, 800):
        member, organiser = fastest_ms(count, TOM), fastest_ms(count, INES)
        sys.stdout.write(
            f"{count:9d}  {member:19.2f}  {organiser:17.2f}  {findings_ms(count):34.1f}  {stages_ms(count):11.2f}\n"
        )


if __name__ == "__main__":
    main()
