"""Calls, call-offs, frosts caught and members' hours of one tender batch, by the rule that releases people.

By hand: `python -m tests.benchmarks.bench_alarms [--call-h HOURS] FILE.csv...`, each with daily minima: date and min_c,
air_min_c or temp_min; or night minima with valid_utc and temp. The nights are real; of each, forecasts are played every
six hours from five days before it. They err as published (`core.weather.lead_error`): what a forecast learns from one run
to the next is independent of what it knew (a martingale), so it moves by no more than its error shrinks; what is left a day ahead
shrinks no further. People are called from 32 hours before dusk, as `core.warnings.alerts` has it, or as many as are said; a call
is off once the odds have been below the mark for seven hours. Each rule plays the same forecasts.
"""

from __future__ import annotations

import csv
import math
import random
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from bot.core.warnings.alerts import CLEAR_FOR, TIMELINE, Moment
from bot.core.weather.lead_error import lead_error_c
from bot.core.weather.odds import Estimate

#: Cover or carry and undo for one bed, hours of one person.
WORK_H = 1.0
MONTHS = (4, 5, 9, 10)
RATIOS = (0.05, 0.1, 0.25)
#: Damage of a tender crop at the plant, and how much colder than the air a clear night has it: figures of a story.
THRESHOLD_C = 1.0
EVERY_H, FIRST_H, DUSK_H = 6, 120, 10
CALL_H = dict(TIMELINE)[Moment.CALL].total_seconds() / 3600


@dataclass(slots=True)
class Score:
    calls: int = 0
    off: int = 0
    bare: int = 0
    frosts: int = 0
    hours: float = 0.0


def minima(path: Path) -> dict[date, float]:
    """Minima of MONTHS by day, degrees C."""
    found = {}
    with path.open(newline="", encoding="utf-8-sig") as stream:
        for row in csv.DictReader(stream):
            on = date.fromisoformat((row.get("date") or row.get("valid_utc") or "")[:10].replace("/", "-"))
            low = next((row[name] for name in ("min_c", "air_min_c", "temp_min", "temp") if row.get(name)), None)
            if low is not None and on.month in MONTHS:
                found[on] = float(low)
    return found


def forecasts(truth_c: float, chance: random.Random) -> list[tuple[int, float]]:
    """(hours before dawn, what is forecast), from far to near."""
    leads = list(range(FIRST_H, 0, -EVERY_H))
    error, found = chance.gauss(0.0, lead_error_c(24.0)), []
    for before, lead in zip([24, *reversed(leads)], reversed(leads), strict=False):
        grown = lead_error_c(lead) ** 2 - lead_error_c(before) ** 2
        error += chance.gauss(0.0, math.sqrt(max(grown, 0.0)))
        found.append((lead, truth_c + error))
    return found[::-1]


def play(
    truth_c: float, ratio: float, release: float, seen: Sequence[tuple[int, float]], score: Score, call_h: float
) -> None:
    """One night: called, held, released, called again."""
    called, clear_h = False, 0
    for lead, forecast_c in seen:
        if lead < DUSK_H:
            break
        odds = Estimate(forecast_c, lead_error_c(lead)).below(THRESHOLD_C)
        if not called and odds > ratio and lead - DUSK_H <= call_h:
            called, clear_h = True, 0
            score.calls += 1
        elif called:
            clear_h = clear_h + EVERY_H if odds <= ratio * release else 0
            if clear_h * 3600 >= CLEAR_FOR.total_seconds():
                called = False
                score.off += 1
    score.hours += WORK_H if called else 0.0
    if truth_c < THRESHOLD_C:
        score.frosts += 1
        score.bare += not called


def main() -> None:
    print("| Nights | Called from | Released below | Calls a year | Called off | Frosts caught | Hours a year |")
    print("|---|---|---|---|---|---|---|")
    files = sys.argv[1:]
    call_h = CALL_H
    if files[:1] == ["--call-h"]:
        call_h, files = float(files[1]), files[2:]
    for name in files:
        known: Mapping[date, float] = minima(Path(name))
        years = len({on.year for on in known})
        for ratio in RATIOS:
            for release in (1.0, 0.75, 0.5, 0.25):
                chance, score = random.Random(1), Score()
                for low_c in known.values():
                    play(low_c, ratio, release, forecasts(low_c, chance), score, call_h)
                caught = 1.0 - score.bare / score.frosts if score.frosts else 1.0
                print(
                    f"| {Path(name).stem} | {ratio:g} | {release * ratio:.3g} | {score.calls / years:.1f} "
                    f"| {score.off / years:.1f} ({score.off / max(score.calls, 1):.0%}) | {caught:.1%} of {score.frosts} "
                    f"| {score.hours / years:.1f} |"
                )


if __name__ == "__main__":
    main()
