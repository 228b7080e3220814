"""Open-Meteo's answers become a Forecast in our units, at the right instants, or a clear error."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.core.weather.forecast import Forecast, ForecastError, Gap
from bot.forecasts import open_meteo
from bot.forecasts.reader import Point
from tests.forecasts.invented import open_meteo_body, read_open_meteo

LISTS = tuple(open_meteo_body()["hourly"])


def at(day: int, hour: int) -> datetime:
    return datetime(2026, 5, day, hour, tzinfo=UTC)


def cut_to(body: dict[str, Any], length: int) -> dict[str, Any]:
    body["hourly"] = {name: values[:length] for name, values in body["hourly"].items()}
    return body


def test_each_field_is_read_from_its_own_list() -> None:
    forecast = read_open_meteo(open_meteo_body())
    first = forecast.hours[0]
    assert (first.at, first.air_c, first.dew_point_c, first.humidity_pct) == (at(1, 20), 6.1, 1.0, 70.0)
    assert (first.cloud_pct, first.wind_ms, first.gust_ms) == (90.0, 3.0, 9.5)
    assert (first.rain_mm, first.sun_w_m2, first.thunder, first.spread) == (1.2, 4.0, True, None)
    assert (forecast.source, forecast.latitude, forecast.longitude) == ("open-meteo", 52.02, -1.01)
    assert (forecast.altitude_m, forecast.zone, forecast.issued_at) == (96.0, None, None)


@pytest.mark.parametrize(("code", "thunder"), [(0, False), (82, False), (95, True), (96, True), (99, True)])
def test_thunder_is_wmo_code_95_96_or_99(code: int, thunder: bool) -> None:
    # WMO weather interpretation codes, table in open-meteo.com/en/docs, read via a copy 2026-11-25.
    body = open_meteo_body()
    body["hourly"]["weather_code"][2] = code
    assert read_open_meteo(body).hours[2].thunder is thunder


def test_the_soil_is_read_where_it_is_sent_and_no_gap_where_it_is_not() -> None:
    # soil_temperature_6cm: open-meteo.com/en/docs, via a copy.
    body = open_meteo_body()
    assert all(hour.soil_c is None for hour in read_open_meteo(body).hours)
    body["hourly"]["soil_temperature_6cm"] = [11.5, *[None] * (len(body["hourly"]["time"]) - 1)]
    body["hourly_units"]["soil_temperature_6cm"] = "°C"
    forecast = read_open_meteo(body)
    assert (forecast.hours[0].soil_c, forecast.hours[1].soil_c) == (11.5, None)
    assert all(gap.field != "soil_c" for gap in forecast.gaps)


def test_a_null_stays_missing_and_is_stated() -> None:
    forecast = read_open_meteo(open_meteo_body())
    last = forecast.hours[-1]
    assert (last.dew_point_c, last.gust_ms, last.rain_mm) == (None, None, None)
    assert forecast.gaps == (Gap("dew_point_c", 1, 6), Gap("gust_ms", 1, 6), Gap("rain_mm", 1, 6))


def test_a_field_that_was_not_sent_is_missing_in_every_hour() -> None:
    body = open_meteo_body()
    del body["hourly"]["wind_gusts_10m"], body["hourly_units"]["wind_gusts_10m"]
    assert Gap("gust_ms", 6, 6) in read_open_meteo(body).gaps


def test_a_field_of_nothing_but_nulls_needs_no_unit() -> None:
    body = open_meteo_body()
    body["hourly"]["shortwave_radiation"] = [None] * 6
    body["hourly_units"]["shortwave_radiation"] = "undefined"
    assert Gap("sun_w_m2", 6, 6) in read_open_meteo(body).gaps


def test_a_lost_hour_is_stated_not_filled() -> None:
    body = open_meteo_body()
    for values in body["hourly"].values():
        del values[2]
    forecast = read_open_meteo(body)
    assert Gap("at", 1, 6) in forecast.gaps
    assert len(forecast.hours) == 5


def test_local_times_are_the_answers_own_offset_ahead_of_utc() -> None:
    body = open_meteo_body() | {"utc_offset_seconds": 3600, "timezone": "Europe/London"}
    forecast = read_open_meteo(body)
    assert forecast.hours[0].at == at(1, 19)
    assert forecast.zone == ZoneInfo("Europe/London")


@pytest.mark.parametrize(
    ("offset_s", "first"),
    [(0, "2026-03-28T22:00"), (3600, "2026-03-28T23:00"), (3600, "2026-10-24T23:00"), (0, "2026-10-24T22:00")],
)
def test_the_offset_stays_fixed_when_summer_time_begins_or_ends(offset_s: int, first: str) -> None:
    # "no DST adjustments applied throughout the time series": Open-Meteo's maintainer, open-meteo/open-meteo issue
    # 1255 (2025-02-28), read 2026-11-25. London changes on 2026-03-29 and 2026-10-25 at 01:00 UTC.
    start = datetime.fromisoformat(first)
    body = open_meteo_body() | {"utc_offset_seconds": offset_s, "timezone": "Europe/London"}
    body["hourly"]["time"] = [(start + timedelta(hours=i)).isoformat(timespec="minutes") for i in range(6)]
    forecast = read_open_meteo(body)
    assert [hour.at.hour for hour in forecast.hours] == [22, 23, 0, 1, 2, 3]
    assert forecast.hours[-1].at - forecast.hours[0].at == timedelta(hours=5)
    assert not [gap for gap in forecast.gaps if gap.field == "at"]


def test_a_time_with_its_own_zone_keeps_it() -> None:
    body = cut_to(open_meteo_body(), 1) | {"utc_offset_seconds": 3600}
    body["hourly"]["time"] = ["2026-05-01T20:00+02:00"]
    assert read_open_meteo(body).hours[0].at == at(1, 18)


def test_unix_times_are_utc_whatever_the_offset() -> None:
    body = cut_to(open_meteo_body(), 1) | {"utc_offset_seconds": 7200}
    body["hourly_units"]["time"] = "unixtime"
    body["hourly"]["time"] = [1_000_000_000]  # 2001-09-09T01:46:40Z, a date well known from memory
    assert read_open_meteo(body).hours[0].at == datetime(2001, 9, 9, 1, 46, 40, tzinfo=UTC)


def test_ensemble_members_stand_beside_the_control() -> None:
    body = open_meteo_body()
    for number, shift in (("01", 1.0), ("02", -2.0)):
        body["hourly"][f"temperature_2m_member{number}"] = [air_c + shift for air_c in body["hourly"]["temperature_2m"]]
        body["hourly_units"][f"temperature_2m_member{number}"] = "°C"
    body["hourly"]["temperature_2m_member02"][1] = None
    first, second = (hour.spread for hour in read_open_meteo(body).hours[:2])
    assert first is not None
    assert first.members_c == pytest.approx((6.1, 7.1, 4.1))
    assert second is not None
    assert second.members_c == pytest.approx((4.0, 5.0))


def test_of_several_places_the_nearest_is_taken() -> None:
    far = open_meteo_body() | {"latitude": 52.3}
    body = [far, open_meteo_body()]
    forecast = open_meteo.parse(body, fetched_at=None, near=Point(52.0, -1.0))
    assert forecast.latitude == 52.02


@pytest.mark.parametrize("near", [None, Point(52.0, -1.0)])
def test_of_several_places_equally_near_none_is_guessed(near: Point | None) -> None:
    with pytest.raises(ForecastError, match="places"):
        open_meteo.parse([open_meteo_body(), open_meteo_body()], fetched_at=None, near=near)


def test_the_services_own_reason_is_told_but_bounded() -> None:
    with pytest.raises(ForecastError, match="Parameter latitude is out of range") as caught:
        read_open_meteo({"error": True, "reason": "Parameter latitude is out of range\n" + "x" * 5000})
    assert len(str(caught.value)) < 250


def test_an_answer_for_somewhere_else_names_both_places() -> None:
    with pytest.raises(ForecastError, match=r"52\.0, -1\.0 but -1\.0, 52\.0 .*swapped"):
        open_meteo.parse(open_meteo_body(), fetched_at=None, near=Point(-1.01, 52.02))


def test_a_grid_cell_across_the_date_line_is_near() -> None:
    body = open_meteo_body() | {"latitude": -17.0, "longitude": -179.95}
    assert open_meteo.parse(body, fetched_at=None, near=Point(-17.0, 179.95)).longitude == -179.95


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"latitude": 151.2}, "latitude is 151.2"),
        ({"latitude": None}, "latitude is 'None'"),
        ({"longitude": -200}, "longitude is -200"),
        ({"hourly": None}, "no hourly"),
        ({"hourly_units": None}, "no hourly_units"),
        ({"utc_offset_seconds": None}, "utc_offset_seconds"),
        ({"utc_offset_seconds": 90_000}, "utc_offset_seconds is 90000"),
        ({"elevation": "high"}, "elevation"),
    ],
)
def test_a_broken_frame_is_named(change: dict[str, Any], words: str) -> None:
    with pytest.raises(ForecastError, match=words):
        read_open_meteo(open_meteo_body() | change)


@pytest.mark.parametrize("name", LISTS[1:])
def test_a_list_of_another_length_is_refused(name: str) -> None:
    body = open_meteo_body()
    body["hourly"][name].append(1.0)
    with pytest.raises(ForecastError, match=f"{name} has 7 values, expected 6"):
        read_open_meteo(body)


@pytest.mark.parametrize(
    ("times", "words"),
    [
        (["2026-05-01T20:00"] * 6, "two values for 2026-05-01T20:00"),
        (["yesterday"] * 6, "'yesterday' is no ISO 8601"),
        ([None] * 6, "ISO 8601"),
        (["9999-12-31T23:00"] * 6, "9999"),
    ],
)
def test_times_that_do_not_tell_an_instant_are_refused(times: list[str], words: str) -> None:
    body = open_meteo_body()
    body["hourly"]["time"] = times
    with pytest.raises(ForecastError, match=words):
        read_open_meteo(body)


@pytest.mark.parametrize("values", [[None] * 6, []])
def test_an_answer_without_any_temperature_is_refused(values: list[None]) -> None:
    body = cut_to(open_meteo_body(), len(values))
    body["hourly"]["temperature_2m"] = values
    with pytest.raises(ForecastError, match="no air temperature"):
        read_open_meteo(body)


@given(st.randoms(use_true_random=False))
def test_the_order_of_the_hours_does_not_matter(rng: random.Random) -> None:
    body = open_meteo_body()
    rows = list(zip(*body["hourly"].values(), strict=True))
    rng.shuffle(rows)
    body["hourly"] = dict(zip(LISTS, map(list, zip(*rows, strict=True)), strict=True))
    assert read_open_meteo(body) == read_open_meteo(open_meteo_body())


@given(st.lists(st.lists(st.booleans(), min_size=6, max_size=6), min_size=9, max_size=9))
def test_nulls_never_become_zeros(dropped: list[list[bool]]) -> None:
    body = open_meteo_body()
    body["hourly"]["temperature_2m"] = [1.0] * 6
    dropped[0][0] = False  # one temperature has to stay
    for name, drops in zip(LISTS[1:], dropped, strict=True):
        body["hourly"][name] = [None if drop else 1.0 for drop in drops]
    forecast: Forecast = read_open_meteo(body)
    fields = (
        "air_c",
        "dew_point_c",
        "humidity_pct",
        "cloud_pct",
        "wind_ms",
        "gust_ms",
        "rain_mm",
        "sun_w_m2",
        "thunder",
    )
    stated = {gap.field: gap.missing for gap in forecast.gaps}
    for field, drops in zip(fields, dropped, strict=True):
        assert [getattr(hour, field) is None for hour in forecast.hours] == drops
        assert stated.get(field, 0) == sum(drops)
