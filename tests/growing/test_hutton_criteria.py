"""Late blight: the publisher asks for two days running, each with a minimum temperature of 10 degrees C and at least
six hours with a relative humidity of 90 % or more (archive.ahdb.org.uk, project 11120018, read 2026-11-25).
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.growing.blight import Met, hutton_days, hutton_periods
from bot.core.weather.forecast import Hour
from tests.growing.invented import LONDON, START, hourly


def verdicts(days: int, least_c: float | None, humid_h: int, humid_pct: float = 90.0) -> list[Met]:
    """Days whose coldest hour is `least_c`, with so many hours at `humid_pct` and the rest at 70 %."""

    def hour(n: int) -> Hour:
        cold = least_c if n % 24 == 4 else 15.0
        return Hour(START, air_c=cold, humidity_pct=humid_pct if n % 24 < humid_h else 70.0)

    return [met for _, met in hutton_periods(hutton_days(hourly(24 * days, hour), LONDON))]


def test_two_days_just_at_both_limits_meet_the_criteria() -> None:
    assert verdicts(2, least_c=10.0, humid_h=6) == [Met.YES]


@pytest.mark.parametrize(("least_c", "humid_h", "humid_pct"), [(9.9, 24, 95.0), (12.0, 5, 95.0), (12.0, 24, 89.9)])
def test_just_below_any_limit_does_not(least_c: float, humid_h: int, humid_pct: float) -> None:
    assert verdicts(2, least_c, humid_h, humid_pct) == [Met.NO]


def test_one_day_alone_is_no_period() -> None:
    assert verdicts(1, 12.0, 8) == []


def test_each_pair_of_neighbouring_days_is_judged() -> None:
    assert verdicts(4, 12.0, 8) == [Met.YES, Met.YES, Met.YES]
    forecast = hourly(72, lambda n: Hour(START, air_c=12.0, humidity_pct=95.0 if n < 48 else 70.0))
    assert hutton_periods(hutton_days(forecast, LONDON)) == (
        (date(2026, 7, 2), Met.YES),
        (date(2026, 7, 3), Met.NO),
    )


def test_missing_humidity_is_unknown_not_safe() -> None:
    forecast = hourly(48, lambda _: Hour(START, air_c=12.0))
    assert [met for _, met in hutton_periods(hutton_days(forecast, LONDON))] == [Met.UNKNOWN]


def test_missing_humidity_does_not_matter_on_a_day_that_was_too_cold() -> None:
    forecast = hourly(48, lambda _: Hour(START, air_c=8.0))
    assert [met for _, met in hutton_periods(hutton_days(forecast, LONDON))] == [Met.NO]


def test_hours_known_to_be_humid_decide_though_others_are_missing() -> None:
    forecast = hourly(48, lambda n: Hour(START, air_c=12.0, humidity_pct=93.0 if n % 24 < 6 else None))
    assert [met for _, met in hutton_periods(hutton_days(forecast, LONDON))] == [Met.YES]


def test_a_few_missing_hours_that_cannot_make_six_do_not_matter() -> None:
    forecast = hourly(48, lambda n: Hour(START, air_c=12.0, humidity_pct=None if n % 24 < 5 else 70.0))
    assert [met for _, met in hutton_periods(hutton_days(forecast, LONDON))] == [Met.NO]


def test_half_a_day_leaves_the_minimum_unknown() -> None:
    forecast = hourly(36, lambda _: Hour(START, air_c=12.0, humidity_pct=95.0))
    assert [met for _, met in hutton_periods(hutton_days(forecast, LONDON))] == [Met.UNKNOWN]


values = st.tuples(st.one_of(st.none(), st.floats(5.0, 20.0)), st.one_of(st.none(), st.floats(60.0, 100.0)))


@settings(max_examples=40)
@given(st.lists(values, min_size=48, max_size=48), st.integers(0, 1000))
def test_the_order_of_hours_does_not_matter_and_more_knowledge_never_turns_no_to_yes(
    pairs: list[tuple[float | None, float | None]], seed: int
) -> None:
    forecast = hourly(48, lambda n: Hour(START, air_c=pairs[n][0], humidity_pct=pairs[n][1]))
    shuffled = replace(forecast, hours=tuple(random.Random(seed).sample(forecast.hours, 48)))
    found = hutton_periods(hutton_days(forecast, LONDON))
    assert found == hutton_periods(hutton_days(shuffled, LONDON))
    filled = hourly(48, lambda n: Hour(START, air_c=_or(pairs[n][0], 12.0), humidity_pct=_or(pairs[n][1], 95.0)))
    (_, before), (_, after) = found[0], hutton_periods(hutton_days(filled, LONDON))[0]
    assert after in (before, Met.YES, Met.NO)
    assert before is Met.UNKNOWN or after is before


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
