"""Hours into local days: what is not known stays not known."""

from __future__ import annotations

import os
import random
import time
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.weather.days import day_bounds, days, rain_mm
from bot.core.weather.forecast import Hour, Span
from tests.growing.invented import LONDON, START, hourly, steady

HOUR = timedelta(hours=1)


def test_a_day_has_its_extremes_mean_and_sums() -> None:
    found = days(hourly(25, lambda n: Hour(START, air_c=float(n % 24), rain_mm=0.5, sun_w_m2=100.0)), LONDON)[0]
    assert (found.on, found.min_c, found.max_c, found.mean_c) == (date(2026, 7, 1), 0.0, 23.0, 11.5)
    assert found.rain_mm == pytest.approx(12.0)
    assert found.sun_mj_m2 == pytest.approx(8.64)  # 100 W/m2 for 86,400 s


@pytest.mark.parametrize(
    ("zone", "split"),
    [
        ("Australia/Adelaide", 0.5),
        ("Asia/Kolkata", 0.5),
        ("Asia/Kathmandu", 0.25),
        ("America/St_Johns", 0.5),
        ("Europe/London", 0.0),
    ],
)
def test_hours_of_utc_are_shared_between_the_days_of_zones_that_begin_between_them(zone: str, split: float) -> None:
    """UTC offsets by the IANA time zone database: 9:30, 5:30, 5:45 and -2:30 hours; a day is 24 hours in each."""
    where = ZoneInfo(zone)
    middle = date(2026, 7, 3)
    midnight_at = day_bounds(middle, where)[0]
    # 4 mm and 400 W/m2 in the one hour over that midnight, and a drizzle in all others.
    over_at = midnight_at.replace(minute=0) + HOUR
    wet = hourly(97, lambda n: Hour(START, rain_mm=4.0 if START + n * HOUR == over_at else 0.5,
                                    sun_w_m2=400.0 if START + n * HOUR == over_at else 100.0))  # fmt: skip
    before, day = (
        (one.rain_mm, one.sun_mj_m2) for one in days(wet, where) if one.on in (middle - timedelta(days=1), middle)
    )
    late = split  # the share of that hour that is still of the day before
    assert before == pytest.approx((12.0 + 3.5 * late, (24 * 100 + 300 * late) * 0.0036))
    assert day == pytest.approx((12.0 + 3.5 * (1 - late), (24 * 100 + 300 * (1 - late)) * 0.0036))


def test_rain_stamped_at_midnight_belongs_to_the_day_before() -> None:
    fallen = {0: 9.0, 24: 2.0}
    first, second = days(hourly(49, lambda n: Hour(START, rain_mm=fallen.get(n, 0.0))), LONDON)[:2]
    assert (first.rain_mm, second.rain_mm) == (2.0, 0.0)


def test_one_missing_hour_of_rain_leaves_the_sum_unknown_not_smaller() -> None:
    assert days(hourly(25, lambda n: Hour(START, rain_mm=None if n == 7 else 1.0)), LONDON)[0].rain_mm is None


def test_longer_spans_fill_in_where_hours_end() -> None:
    spans = [Span(START + 6 * k * HOUR, START + 6 * (k + 1) * HOUR, rain_mm=3.0) for k in range(4)]
    assert days(hourly(13, lambda n: Hour(START, rain_mm=1.0), spans), LONDON)[0].rain_mm == pytest.approx(12.0 + 6.0)


def test_a_span_over_the_edge_counts_by_its_share_of_time() -> None:
    forecast = hourly(1, lambda _: Hour(START), [Span(START - 6 * HOUR, START + 18 * HOUR, rain_mm=24.0)])
    assert rain_mm(forecast, START, START + 12 * HOUR) == pytest.approx(12.0)
    assert rain_mm(forecast, START, START + 24 * HOUR) is None


def test_minima_of_spans_are_used_beside_six_hour_steps() -> None:
    spans = [Span(START, START + 6 * HOUR, min_c=2.0, max_c=9.0)]
    forecast = hourly(25, lambda n: Hour(START, air_c=8.0 if n % 6 == 0 else None), spans)
    found = days(forecast, LONDON)[0]
    assert (found.min_c, found.max_c) == (2.0, 9.0)


def test_a_day_with_a_long_gap_has_no_extremes() -> None:
    forecast = hourly(25, lambda n: Hour(START, air_c=None if 8 <= n < 16 else 12.0))
    found = days(forecast, LONDON)[0]
    assert (found.min_c, found.max_c, found.mean_c) == (None, None, None)


def test_days_are_as_long_as_clocks_make_them() -> None:
    """Europe/London 2026: clocks go forward on 29 March and back on 25 October."""
    for on, hours in ((date(2026, 3, 29), 23), (date(2026, 10, 25), 25), (date(2026, 7, 1), 24)):
        start, end = day_bounds(on, LONDON)
        assert (end - start) / HOUR == hours


readings = st.lists(st.one_of(st.none(), st.floats(0.0, 30.0)), min_size=30, max_size=60)


@settings(max_examples=30)
@given(readings, st.integers(0, 1000))
def test_order_of_hours_does_not_matter_and_nulls_never_become_zeros(values: list[float | None], seed: int) -> None:
    forecast = hourly(len(values), lambda n: Hour(START, air_c=values[n], rain_mm=values[n]))
    shuffled = replace(forecast, hours=tuple(random.Random(seed).sample(forecast.hours, len(values))))
    found = days(forecast, LONDON)
    assert found == days(shuffled, LONDON)
    for day in found:
        assert day.min_c is None or day.min_c in values
        assert day.rain_mm is None or day.rain_mm >= 0.0
    if None in values[1:25]:
        assert found[0].rain_mm is None


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the machine's zone cannot be set here")
def test_the_zone_of_the_machine_does_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    forecast = hourly(48, steady(air_c=12.0, rain_mm=0.2))
    found = []
    for zone in ("UTC", "Pacific/Auckland", "America/New_York"):
        monkeypatch.setitem(os.environ, "TZ", zone)
        time.tzset()
        found.append(days(forecast, ZoneInfo("Europe/London")))
    monkeypatch.undo()
    time.tzset()
    assert found[0] == found[1] == found[2]
