"""A forecast that flips does not make the group's chat stutter, and what comes back is not kept quiet.

Played by the whole bot on a platform in memory, in the demo's garden, where nobody answers: one event, told of by
forecasts that change every six hours. The limits are this project's own promise. A year of invented forecasts:
`tests/benchmarks/bench_year.py`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from bot.demo.weather import Day
from tests.support.group_messages import Event, played
from tests.support.invented_weather import AHEAD_DAYS, EVERY, calm

START_AT = datetime(2026, 5, 3, 12, tzinfo=UTC)
#: The day before whose dawn it freezes, or on which it blows.
EVENT_ON = date(2026, 5, 7)
END_AT = datetime(2026, 5, 8, 10, tzinfo=UTC)
STEP = timedelta(hours=3)

COLD: Day = (-0.8, 12.0, 10.0, 1.0, 4.0, 0.0)
COLDER: Day = (-4.0, 9.0, 0.0, 1.0, 3.0, 0.0)
WIND: Day = (7.0, 14.0, 90.0, 10.0, 23.0, 3.0)

#: What the nth forecast says of the event's day.
Pattern = Callable[[int], Day]

PATTERNS: dict[str, Pattern] = {
    "a cold night told of all along": lambda n: COLD,
    "a cold night told of by every other forecast": lambda n: COLD if n % 2 else calm(),
    "a cold night told of by two forecasts of four": lambda n: COLD if n % 4 < 2 else calm(),
    "a night now cold, now colder": lambda n: COLDER if n % 2 else COLD,
    "a windy day told of by every other forecast": lambda n: WIND if n % 2 else calm(),
    "a windy day told of by two forecasts of four": lambda n: WIND if n % 4 < 2 else calm(),
    "a cold night that is only feared": lambda n: COLD if n < 8 else calm(),
}


async def heard(folder: Path, pattern: Pattern) -> Event:
    """The event as the group heard of it."""

    def seen(issued_at: datetime) -> list[Day]:
        days = [issued_at.date() + timedelta(days=n) for n in range(AHEAD_DAYS)]
        said = pattern((issued_at - START_AT) // EVERY)
        return [said if on == EVENT_ON else calm() for on in days]

    events = await played(folder, seen, START_AT, END_AT, None, STEP)
    assert len(events) == 1, events
    return events[0]


@pytest.mark.parametrize("name", PATTERNS)
async def test_an_event_makes_at_most_five_new_messages_in_the_group(tmp_path: Path, name: str) -> None:
    event = await heard(tmp_path, PATTERNS[name])
    assert 1 <= event.spoken <= 5, event.kinds
    if "every other" in name:
        for kind in ("heads-up", "call", "called off"):
            assert event.kinds.count(kind) <= 1, event.kinds
    if "feared" not in name:
        assert {"call", "too late"} & {*event.kinds}, event.kinds
        assert "called off" not in event.kinds or event.kinds.index("called off") < event.kinds.index("after")


async def test_what_was_called_off_and_comes_back_is_called_again(tmp_path: Path) -> None:
    """Ten hours before sunset the forecast has the frost again, after a day without it."""
    event = await heard(tmp_path, lambda n: COLD if n < 8 or n >= 12 else calm())
    assert event.kinds.count("called off") == 1, event.kinds
    assert "call" in event.kinds[event.kinds.index("called off") :], event.kinds
