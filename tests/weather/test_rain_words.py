"""Heavy rain and dry spells by published words."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.core.weather.days import Day
from bot.core.weather.forecast import Hour
from bot.core.weather.rain import Drought, RainClass, drought, dry_days, heavy_rain, rain_class
from tests.growing.invented import START, hourly


@pytest.mark.parametrize(
    ("mm", "expected"),
    [
        (0.0, RainClass.NONE),
        (0.5, RainClass.SLIGHT),
        (0.6, RainClass.MODERATE),
        (4.0, RainClass.MODERATE),
        (4.1, RainClass.HEAVY),
    ],
)
def test_rain_is_named_by_what_falls_in_an_hour(mm: float, expected: RainClass) -> None:
    """Not more than 0.5 slight, 0.5-4 moderate, more than 4 heavy: Met Office, via The Independent, 5 January 1998."""
    assert rain_class(mm) is expected


def test_heavy_hours_running_are_one_stretch() -> None:
    fallen = {3: 5.0, 4: 9.0, 8: 6.0}
    first, second = heavy_rain(hourly(12, lambda n: Hour(START, rain_mm=fallen.get(n, 0.0))))
    assert (first.start_at - START, first.end_at - START) == (timedelta(hours=2), timedelta(hours=4))
    assert (first.total_mm, first.greatest_mm) == (14.0, 9.0)
    assert second.total_mm == 6.0


def test_an_hour_of_unknown_rain_breaks_the_stretch() -> None:
    found = heavy_rain(hourly(5, lambda n: Hour(START, rain_mm=None if n == 2 else 5.0)))
    assert len(found) == 2


def run(*rain_mm: float | None) -> list[Day]:
    return [Day(date(2026, 7, 1) + timedelta(days=n), rain_mm=mm) for n, mm in enumerate(rain_mm)]


@pytest.mark.parametrize(
    ("rain_mm", "expected"),
    [
        ([0.1] * 15, Drought.ABSOLUTE),
        ([0.9] * 15, Drought.DRY_SPELL),
        ([0.2] * 15, Drought.DRY_SPELL),
        ([0.9] * 14, Drought.NONE),
        ([0.1] * 14 + [1.0], Drought.NONE),
        ([5.0] + [0.0] * 15, Drought.ABSOLUTE),
    ],
)
def test_dry_spells_follow_the_glossary(rain_mm: list[float], expected: Drought) -> None:
    """15 days running, none with 1.0 mm or more (dry spell) or 0.2 mm or more (absolute drought): Meteorological
    Glossary 1963, read via xmetman.com, 2026-11-25.
    """
    assert drought(run(*rain_mm)) is expected
    assert drought(reversed(run(*rain_mm))) is expected


def test_a_day_that_is_missing_or_unknown_ends_the_count() -> None:
    assert dry_days(run(0.0, 0.0, None, 0.0, 0.0)) == 2
    whole = run(0.0, 0.0, 0.0, 0.0)
    assert dry_days([whole[0], whole[2], whole[3]]) == 2
    assert dry_days([]) == 0
