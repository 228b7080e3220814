"""How often phones ring: messages by kind in a frosty April week, and in weeks of an invented season.

By hand: `python -m tests.benchmarks.bench_messages`, with a seed and a number of weeks (1 and 8 by default). The garden
is the demo's; everybody says yes to what they are asked, does it in time and tells so. A look each half hour in the
week, each hour in the season; a new forecast each six hours.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from statistics import median

from tests.support.invented_weather import Weather
from tests.support.rings import FROM_AT, GROUP, TO_AT, Played, frosty, play

SEASON_ON = date(2026, 3, 2)
#: A member with one plot and no office.
MEMBER = "Tobias"
TAP = "answer to a tap"


def table(played: Played, weeks: int) -> str:
    """A line for each kind: in the group, to one member with a plot, to whoever had most; lines of 40 letters."""
    most = max(played.members(), key=lambda name: sum(1 for one in played.of(name) if one.kind != TAP))
    kinds = sorted({one.kind for one in played.heard})
    lines = [f"| Kind | Group | {MEMBER} | {most} (most) | Lines: median, most |", "|---|---|---|---|---|"]
    for kind in [*(kind for kind in kinds if kind != TAP), "all that ring", TAP]:
        mine = [one for one in played.heard if one.kind == kind or (kind == "all that ring" and one.kind != TAP)]
        counts = [sum(1 for one in mine if one.chat == chat) for chat in (GROUP, MEMBER, most)]
        rows = sorted(one.rows for one in mine)
        each = " | ".join(f"{count}" if weeks == 1 else f"{count / weeks:.1f}" for count in counts)
        lines.append(f"| {kind} | {each} | {median(rows):g}, {rows[-1]} |" if rows else f"| {kind} | {each} | |")
    return "\n".join(lines)


def main() -> None:
    seed, weeks = (int(value) for value in (*sys.argv[1:], *("1", "8")[len(sys.argv) - 1 :]))
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        week = asyncio.run(play(Path(folder), frosty, FROM_AT, TO_AT, timedelta(minutes=30)))
    print("A frosty week in April\n\n" + table(week, 1))
    print(f"\nPlaces to protect: {sum(map(len, week.wanted.values()))}, bare: {sum(map(len, week.bare.values()))}\n")
    if not weeks:
        return
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        weather = Weather.of_year(SEASON_ON, 7 * weeks, seed)
        at = datetime.combine(SEASON_ON, time(12), UTC)
        season = asyncio.run(play(Path(folder), weather.seen, at, at + timedelta(weeks=weeks), timedelta(hours=1)))
    print(f"{weeks} weeks of an invented season, a week\n\n" + table(season, weeks))
    print(f"\nPlaces to protect: {sum(map(len, season.wanted.values()))}, bare: {sum(map(len, season.bare.values()))}")


if __name__ == "__main__":
    main()
