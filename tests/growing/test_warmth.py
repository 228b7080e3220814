"""Degree-days, soil warmth, days until seed is up, heat under glass."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.growing.warmth import (
    degree_days,
    degree_days_sum,
    emergence_days,
    glass_heat,
    soil_c,
    soil_given_c,
    soil_step_c,
    surface_c,
)
from bot.core.weather.forecast import Hour
from tests.growing.invented import START, hourly, steady


@pytest.mark.parametrize(
    ("low_f", "high_f", "expected"), [(65, 90, 25.5), (46, 72, 11.0), (42, 63, 6.5), (63, 87, 24.5), (90, 99, 36.0)]
)
def test_degree_days_held_between_base_and_cap(low_f: float, high_f: float, expected: float) -> None:
    """The 86/50 method, degrees F: Waushara Argus 25 April 2018; Ohio State Extension (Karhoff 2023); at most 36 a day
    (Iowa State). Read 2026-11-25.
    """
    assert degree_days(low_f, high_f, 50.0, 86.0) == expected


def test_the_published_three_days_sum_to_forty_three() -> None:
    assert degree_days_sum([(65, 90), (46, 72), (42, 63)], 50.0, 86.0) == 43.0


def test_simple_degree_days() -> None:
    """70/50 F gives 10 (Iowa State Agronomy 541); (max + min)/2 - base, not below 0 (Peet, NCSU, appendix 2)."""
    assert degree_days(50.0, 70.0, 50.0) == 10.0
    assert degree_days(-2.0, 6.0, 4.4) == 0.0


# Days from 13 mm deep at 5, 10, 15 and 20 degrees C: Harrington & Minges 1954, read via Knott's 1997 copy.
CARROT = ((5.0, 51.0), (10.0, 17.0), (15.0, 10.0), (20.0, 7.0))
PEA = ((5.0, 36.0), (10.0, 14.0), (15.0, 9.0), (20.0, 8.0))


@pytest.mark.parametrize("table", [CARROT, PEA])
def test_at_a_tabled_warmth_the_tabled_days_are_given(table: tuple[tuple[float, float], ...]) -> None:
    assert [emergence_days(table, warmth) for warmth, _ in table] == pytest.approx([days for _, days in table])


@pytest.mark.parametrize("outside_c", [4.9, 20.1])
def test_days_are_never_extrapolated(outside_c: float) -> None:
    assert emergence_days(CARROT, outside_c) is None
    assert emergence_days(((20.0, 8.0),), outside_c) is None
    assert emergence_days((), outside_c) is None


def test_a_table_of_one_warmth_answers_for_it_alone() -> None:
    assert emergence_days(((20.0, 8.0),), 20.0) == 8.0


@settings(max_examples=40)
@given(st.floats(5.0, 20.0), st.floats(5.0, 20.0))
def test_warmer_soil_never_takes_longer_within_the_table(one_c: float, two_c: float) -> None:
    cool, warm = (emergence_days(CARROT, soil) for soil in sorted((one_c, two_c)))
    assert cool is not None and warm is not None
    assert 7.0 - 1e-9 <= warm <= cool + 1e-9 <= 51.0 + 1e-6


def test_soil_follows_the_air_as_published() -> None:
    """Kaetterer & Andren 2009: surface 0.20 T below 0, T (0.95 + 0.05 exp(-0.4 (LAI - 3))) above; soil moves a day by
    0.24 exp(-0.017 z) exp(-0.15 GAI), LAI = 0.8 GAI (read via the R package reclim). Figures by hand.
    """
    assert surface_c(-5.0) == pytest.approx(-1.0)
    assert surface_c(10.0, leaf_area=3.0) == pytest.approx(10.0)
    assert surface_c(10.0) == pytest.approx(11.16, abs=0.005)
    assert soil_step_c(8.0, 10.0, depth_cm=10.0) == pytest.approx(8.0 + 3.16 * 0.24 * 0.84366, abs=0.003)
    assert soil_step_c(8.0, 10.0, leaf_area=0.8, depth_cm=0.0) == pytest.approx(
        8.0 + (10.0 * (0.95 + 0.05 * math.exp(0.88)) - 8.0) * 0.24 * math.exp(-0.15)
    )


def test_the_soil_lags_the_air_by_about_as_long_as_the_eleven_day_mean_does() -> None:
    """Zheng, Hunt & Running 1993 use an 11-day running mean, which lags by 5 days; here a step in the air has moved the
    soil by half within 2 to 5 days.
    """
    soil = surface_c(5.0)
    course = []
    for _ in range(10):
        soil = soil_step_c(soil, 15.0)
        course.append(soil)
    half = (surface_c(5.0) + surface_c(15.0)) / 2
    assert 2 <= sum(value < half for value in course) <= 5


def test_steady_air_gives_steady_soil_with_an_error_at_least_the_published_one() -> None:
    """Standard errors 1.5-2.9 degrees (Zheng et al. 1993, abstract)."""
    found = soil_c(hourly(241, steady(air_c=10.0)), START + timedelta(days=10))
    assert found is not None
    assert found.mean_c == pytest.approx(surface_c(10.0))
    assert found.days_n == 10
    assert 2.9 <= found.error_c < 3.0


def test_fewer_days_make_a_wider_error_and_too_few_no_estimate() -> None:
    forecast = hourly(241, steady(air_c=10.0))
    few, many = (soil_c(forecast, START + timedelta(days=n)) for n in (3, 10))
    assert few is not None and many is not None
    assert few.error_c > many.error_c
    assert soil_c(forecast, START + timedelta(days=2)) is None


def test_a_gap_in_the_air_ends_what_the_estimate_rests_on() -> None:
    forecast = hourly(241, lambda n: Hour(START, air_c=None if 100 <= n < 110 else 10.0))
    found = soil_c(forecast, START + timedelta(days=10))
    assert found is not None
    assert found.days_n == 5


@settings(max_examples=20)
@given(st.lists(st.floats(-10.0, 25.0), min_size=5, max_size=8), st.floats(0.0, 10.0))
def test_warmer_air_never_makes_cooler_soil_and_order_does_not_matter(daily_c: list[float], more_c: float) -> None:
    at = START + timedelta(days=len(daily_c))
    cool = hourly(24 * len(daily_c), lambda n: Hour(START, air_c=daily_c[n // 24]))
    warm = hourly(24 * len(daily_c), lambda n: Hour(START, air_c=daily_c[n // 24] + more_c))
    first, second = soil_c(cool, at), soil_c(warm, at)
    assert first is not None and second is not None
    assert second.mean_c >= first.mean_c - 1e-9
    backwards = soil_c(replace(cool, hours=cool.hours[::-1]), at)
    assert backwards == first


def test_glass_in_full_sun_gets_hotter_than_the_air_by_the_stated_range() -> None:
    """4.2 degrees on average (Savage 1980, abstract) to 15 shut in full sun (a general page)."""
    found = glass_heat(20.0, 800.0)
    assert [found.low_c, found.high_c] == pytest.approx([24.2, 35.0])
    assert glass_heat(20.0, 0.0).high_c == 20.0


def test_sun_that_is_not_known_widens_the_range_and_is_not_taken_for_none() -> None:
    found = glass_heat(20.0, None)
    assert (found.low_c, found.high_c) == (20.0, 35.0)


def test_the_service_s_own_soil_is_taken_over_the_coming_day_where_it_gives_any() -> None:
    warm = hourly(48, lambda n: Hour(START, air_c=10.0, soil_c=12.0 if n < 24 else 20.0))
    assert soil_given_c(warm, START) == pytest.approx(12.0)
    assert soil_given_c(hourly(48, steady(air_c=10.0)), START) is None
    few = hourly(48, lambda n: Hour(START, air_c=10.0, soil_c=12.0 if n < 5 else None))
    assert soil_given_c(few, START) is None, "an evening is no day"
