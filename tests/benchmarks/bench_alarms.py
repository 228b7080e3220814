"""Calls, call-offs, frosts caught and members' hours of one tender batch, by the rule that releases people.

By hand: `python -m tests.benchmarks.bench_alarms FILE.csv...`, each with daily minima: date and min_c,
air_min_c or temp_min; or night minima with valid_utc and temp. The nights are real; of each, forecasts are played every
six hours from five days before it, PLAYS times over. They err as published (`core.weather.lead_error`): what a forecast
learns from one run to the next is independent of what it knew (a martingale), so it moves by no more than its error shrinks;
what is left a day ahead shrinks no further. People are called as `services.tasks.answer_times` has it: from 32 hours before
dusk, or later where nine in ten have answered within twelve or six hours; a call is off once the odds have been below the
mark for seven hours. Every rule plays the same forecasts.
"""

from __future__ import annotations

import csv
import math
import random
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import product
from pathlib import Path

from bot.core.warnings.alerts import CLEAR_FOR
from bot.core.weather.night_minima import lead_error_c
from bot.core.weather.odds import RELEASE, Estimate
from bot.services.tasks.answers import called_from_h

#: Cover or carry and undo for one bed, hours of one person.
WORK_H = 1.0
MONTHS = (4, 5, 9, 10)
RATIOS = (0.05, 0.1, 0.25)
#: Damage of a tender crop at the plant, and how much colder than the air a clear night has it: figures of a story.
THRESHOLD_C = 1.0
EVERY_H, FIRST_H, DUSK_H = 6, 120, 10
#: From when people are called, hours before dusk, by how soon nine in ten of a group answer, hours; None: not known.
CALLS_H = {answered_h: called_from_h(answered_h) for answered_h in (None, 12.0, 6.0)}
RELEASES = (1.0, 0.5, RELEASE)
PLAYS = 20


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
    print(
        "| Nights | Answers within | Called from | Released below | Calls a year | Called off | Frosts caught | Hours a year |"
    )
    print("|---|---|---|---|---|---|---|---|")
    for name in sys.argv[1:]:
        known: Mapping[date, float] = minima(Path(name))
        chance = random.Random(1)
        scores = {rule: Score() for rule in product(CALLS_H, RATIOS, RELEASES)}
        for low_c in list(known.values()) * PLAYS:
            seen = forecasts(low_c, chance)
            for (answered_h, ratio, release), score in scores.items():
                play(low_c, ratio, release, seen, score, CALLS_H[answered_h])
        years = len({on.year for on in known}) * PLAYS
        for (answered_h, ratio, release), score in scores.items():
            caught = f"{1.0 - score.bare / score.frosts:.1%}" if score.frosts else "none came"
            print(
                f"| {Path(name).stem} | {f'{answered_h:g} h' if answered_h else 'not known'} | {ratio:g} "
                f"| {release * ratio:.3g} | {score.calls / years:.1f} | {score.off / max(score.calls, 1):.1%} "
                f"| {caught} | {score.hours / years:.2f} |"
            )


if __name__ == "__main__":
    main()
