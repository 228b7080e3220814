"""The night's course against the published worked example."""

from __future__ import annotations

import pytest

from bot.core.weather.cold import course_c, hours_below_course


@pytest.mark.parametrize(
    ("hours", "wanted"), [(3, -0.8250406), (4, -1.5602865), (5, -2.1244606), (10, -4.0705731), (15, -5.45)]
)
def test_the_course_of_the_published_example(hours: int, wanted: float) -> None:
    # Snyder & de Melo-Abreu 2005, FAO ENRS 10, via the docs of getTrend in the CRAN package `frost` (read 2026-11-25):
    # T2 = 0.95, Tn = -5.45, n = 15.
    assert course_c(0.95, -5.45, hours, 15.0) == pytest.approx(wanted, abs=1e-6)


def test_hours_below_are_counted_on_that_course() -> None:
    # In the same example the temperature of hour 5, -2.1244606, has ten hours of the night still to come.
    assert hours_below_course(0.95, -5.45, 15.0, -2.1244606) == pytest.approx(10.0, abs=1e-5)


def test_a_night_that_stays_above_has_no_hours_below() -> None:
    assert hours_below_course(6.0, 1.0, 12.0, 0.0) == 0.0


def test_a_night_already_below_at_dusk_is_below_throughout() -> None:
    assert hours_below_course(-1.0, -4.0, 12.0, 0.0) == 12.0
