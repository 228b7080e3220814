"""Some days looked at when due and at every tick: whether all is said at the same minutes, and at how many looks.

`python -m tests.benchmarks.bench_due idle`: what a garden costs on a day on which nothing happens.
`python -m tests.benchmarks.bench_due [DAYS [TICK_S [SEED]]]`: 3 days, a tick each 30 s, seed 1 if not given. The weather
(`tests.support.invented_weather`, colder and windier than May is) and the people are invented; a new forecast each
six hours.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path

from bot.demo.weather import Day
from tests.support.invented_weather import Weather, calm
from tests.support.same_minutes import Heard, heard

START_ON = date(2026, 5, 3)


def _harsh(weather: Weather, issued_at: datetime) -> list[Day]:
    """Cold nights and gales enough for every kind of message."""
    return [
        (low_c - 8, high_c - 4, cloud, 1.5 * wind_ms, 1.8 * gust_ms, rain_mm)
        for low_c, high_c, cloud, wind_ms, gust_ms, rain_mm in weather.seen(issued_at)
    ]


def idle() -> None:
    """A calm day in which nobody writes, with a new forecast each hour."""
    start_at = datetime(2026, 5, 4, 0, 3, tzinfo=UTC)
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        said, looks_n, took_s = asyncio.run(
            heard(
                Path(folder), lambda _: [calm()] * 10, start_at, start_at + timedelta(days=1), seed=1,
                tick=timedelta(minutes=1), issued_every=timedelta(hours=1), every_look=False,
            )
        )  # fmt: skip
    print(f"an idle day: {len(said)} said, {looks_n} looks, {took_s:.1f} s of processor time")


def main() -> None:
    if sys.argv[1:] == ["idle"]:
        idle()
        return
    days, tick_s, seed = (int(value) for value in (*sys.argv[1:], *("3", "30", "1")[len(sys.argv) - 1 :]))
    start_at = datetime.combine(START_ON, datetime.min.time(), UTC) + timedelta(hours=5, minutes=7)
    found: dict[bool, list[Heard]] = {}
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        for every_look in (False, True):
            weather = Weather.of_year(START_ON, days + 1, seed)
            found[every_look], looks_n, took_s = asyncio.run(
                heard(
                    Path(folder), partial(_harsh, weather), start_at, start_at + timedelta(days=days), seed=seed,
                    tick=timedelta(seconds=tick_s), issued_every=timedelta(hours=6), every_look=every_look,
                )
            )  # fmt: skip
            kind = "every tick" if every_look else "when due"
            print(f"{kind}: {len(found[every_look])} said, {looks_n} looks, {took_s:.1f} s of processor time")
    if found[True] == found[False]:
        print("the same at the same moments")
        return
    for one, other in zip(found[False], found[True], strict=False):
        if one != other:
            print(f"first difference:\n  when due   {one}\n  every tick {other}")
            break
    raise SystemExit(1)


if __name__ == "__main__":
    main()
