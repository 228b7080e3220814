"""How long a rota of 40 duties and 80 members takes: `python -m tests.benchmarks.bench_rota [runs]`.

Prints the seconds of the solver alone (in this process) and of the whole call through the worker process.
"""

from __future__ import annotations

import asyncio
import random
import resource
import statistics
import sys
import time
from datetime import UTC, datetime, timedelta
from datetime import time as clock

from bot.core.tasks.rota import Duty, Helper, Problem, Window
from bot.core.tasks.rota_solver import solve
from bot.services.tasks import solving

MONDAY = datetime(2026, 10, 5, tzinfo=UTC)


def garden_problem(seed: int, duties: int = 40, helpers: int = 80) -> Problem:
    """An invented week: dusk calls, watering and venting over seven days, members of every kind."""
    dice = random.Random(seed)
    return Problem(
        "Europe/London",
        tuple(_duty(dice, number) for number in range(duties)),
        tuple(_helper(dice, number) for number in range(helpers)),
    )


def _duty(dice: random.Random, number: int) -> Duty:
    hour = dice.choice((7, 8, 12, 16, 16, 17, 17, 17, 18))
    start = MONDAY + timedelta(days=dice.randrange(7), hours=hour, minutes=dice.choice((0, 15, 30)))
    minutes = dice.choice((15, 20, 30, 45, 60))
    return Duty(
        id=number,
        starts_at=start,
        ends_at=start + timedelta(minutes=minutes),
        place_id=dice.randrange(12),
        minutes=minutes,
        people=dice.choice((1, 1, 1, 2, 2, 3)),
        kg_each=dice.choice((0.0, 0.0, 6.0, 12.0, 18.0)),
        needs_key=dice.random() < 0.3,
        after_sunset=hour == 18,
        skill="glass" if dice.random() < 0.1 else None,
        asked=tuple(dice.sample(range(80), 2)),
        refused=tuple(dice.sample(range(80), dice.randrange(4))),
    )


def _helper(dice: random.Random, number: int) -> Helper:
    spans = [(clock(6), clock(12)), (clock(12), clock(20)), (clock(15), clock(21)), (clock(6), clock(21))]
    free = tuple(Window(day, *dice.choice(spans)) for day in range(7) if dice.random() < 0.7)
    return Helper(
        id=number,
        reachable=dice.random() < 0.95,
        lift_kg=dice.choice((None, None, 0.0, 10.0, 20.0, 25.0)),
        has_key=dice.random() < 0.15,
        skills=frozenset({"glass"} if dice.random() < 0.2 else ()),
        free=free,
        mornings_only=dice.random() < 0.1,
        per_week=dice.choice((None, 1, 2, 3)),
        burden=round(dice.expovariate(0.5), 3),
        own_places=frozenset({dice.randrange(12)}),
        travel_min={place: dice.choice((5, 10, 15, 25, 40)) for place in range(12)},
    )


def _seconds(problem: Problem) -> tuple[float, float, bool]:
    began = time.perf_counter()
    solution = solve(problem)
    alone = time.perf_counter() - began
    began = time.perf_counter()
    assert asyncio.run(solving.solve(problem)) == solution
    return alone, time.perf_counter() - began, solution.proven


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    rows = [_seconds(garden_problem(seed)) for seed in range(runs)]
    for name, column in (("solver alone", [row[0] for row in rows]), ("through the worker", [row[1] for row in rows])):
        typical_s, fast = statistics.median(column), sum(seconds < 0.5 for seconds in column)
        print(f"{name}: median {typical_s:.3f} s, slowest {max(column):.3f} s, {fast} of {runs} under 0.5 s")
    peak_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"proven optimal: {sum(row[2] for row in rows)} of {runs}; worker peak {peak_mb:.0f} MB")


if __name__ == "__main__":
    main()
