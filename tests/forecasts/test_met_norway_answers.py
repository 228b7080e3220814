"""MET Norway's answers become a Forecast: what lies ahead of a step moves to the hour in which it falls."""

from __future__ import annotations

import random
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.core.weather.forecast import AirSpread, ForecastError, Gap, Span
from bot.forecasts import met_norway
from bot.forecasts.reader import Point
from tests.forecasts.invented import met_norway_body, read_met_norway


def at(day: int, hour: int) -> datetime:
    return datetime(2026, 5, day, hour, tzinfo=UTC)


def steps(body: dict[str, Any]) -> list[dict[str, Any]]:
    return list(body["properties"]["timeseries"])


def test_what_holds_at_the_step_stays_there() -> None:
    forecast = read_met_norway(met_norway_body())
    first = forecast.hours[0]
    assert (first.at, first.air_c, first.dew_point_c, first.humidity_pct) == (at(1, 18), 8.0, 3.0, 71.0)
    assert (first.cloud_pct, first.wind_ms, first.gust_ms) == (80.0, 4.0, 9.0)
    assert first.spread == AirSpread(p10_c=7.1, p90_c=8.8)
    assert (forecast.source, forecast.latitude, forecast.longitude) == ("met-norway", 52.02, -1.01)
    assert (forecast.altitude_m, forecast.issued_at) == (96.0, datetime(2026, 5, 1, 17, 31, 4, tzinfo=UTC))


def test_rain_of_the_next_hour_is_stamped_at_that_hours_end() -> None:
    # "for the next hour starting with `time`": docs.api.met.no, ForecastJSON, read 2026-11-25 via its source.
    rain = {hour.at: hour.rain_mm for hour in read_met_norway(met_norway_body()).hours}
    assert rain[at(1, 18)] is None
    assert (rain[at(1, 19)], rain[at(1, 20)]) == (2.5, 0.5)


def test_thunder_is_stamped_at_the_end_of_its_stretch() -> None:
    thunder = {hour.at: hour.thunder for hour in read_met_norway(met_norway_body()).hours}
    assert thunder == {at(1, 18): None, at(1, 19): True, at(1, 20): False, at(2, 2): False, at(2, 8): True}


def test_an_hours_own_symbol_says_more_than_that_of_six() -> None:
    body = met_norway_body()
    dry = {"summary": {"symbol_code": "fair_day"}, "details": {"precipitation_amount": 0.0}}
    step = {"time": "2026-05-02T07:00:00Z", "data": {"instant": {"details": {}}, "next_1_hours": dry}}
    body["properties"]["timeseries"].append(step)
    assert read_met_norway(body).hours[-1].thunder is False


def test_spans_keep_the_services_minimum_and_count_no_rain_twice() -> None:
    forecast = read_met_norway(met_norway_body())
    assert forecast.spans == (
        Span(at(1, 18), at(2, 0), 1.5, 7.0, None),
        Span(at(1, 20), at(2, 2), -1.2, 4.0, 0.0),
        Span(at(2, 2), at(2, 8), -1.4, 9.0, 4.0),
    )
    fell_mm = sum(hour.rain_mm or 0 for hour in forecast.hours) + sum(span.rain_mm or 0 for span in forecast.spans)
    assert fell_mm == 2.5 + 0.5 + 4.0  # by hand from the file; the first 3.5 mm hold the two hours' 3.0


def test_overlapping_spans_without_hourly_rain_count_it_once() -> None:
    body = met_norway_body()
    for step in steps(body):
        step["data"].pop("next_1_hours", None)
    assert [span.rain_mm for span in read_met_norway(body).spans] == [3.5, None, 4.0]


def test_a_step_whose_hour_ahead_ends_in_nothing_is_stated_as_lost() -> None:
    body = met_norway_body()
    del body["properties"]["timeseries"][1]  # 19:00 is announced by the hour ahead of 18:00
    assert Gap("at", 1, 5) in read_met_norway(body).gaps


def test_longer_steps_far_ahead_are_no_lost_steps() -> None:
    assert not [gap for gap in read_met_norway(met_norway_body()).gaps if gap.field == "at"]


def test_the_compact_form_has_neither_dew_point_nor_gust_and_says_so() -> None:
    body = met_norway_body()
    for step in steps(body):
        for name in ("dew_point_temperature", "wind_speed_of_gust"):
            step["data"]["instant"]["details"].pop(name, None)
    stated = read_met_norway(body).gaps
    assert {Gap("dew_point_c", 5, 5), Gap("gust_ms", 5, 5)} <= set(stated)


def test_an_altitude_that_is_not_given_is_unknown() -> None:
    body = met_norway_body()
    body["geometry"]["coordinates"] = [-1.01, 52.02]
    assert read_met_norway(body).altitude_m is None


def test_an_answer_for_somewhere_else_names_both_places() -> None:
    with pytest.raises(ForecastError, match="swapped"):
        met_norway.parse(met_norway_body(), fetched_at=None, near=Point(-1.01, 52.02))


def test_a_unit_that_is_not_known_is_refused() -> None:
    body = met_norway_body()
    body["properties"]["meta"]["units"]["air_temperature"] = "K"
    with pytest.raises(ForecastError, match="'K', expected one of"):
        read_met_norway(body)


@pytest.mark.parametrize(
    ("name", "field"),
    [("wind_speed", "wind_ms"), ("cloud_area_fraction", "cloud_pct"), ("relative_humidity", "humidity_pct")],
)
def test_any_other_field_in_an_unknown_unit_is_left_out_and_the_rest_holds(name: str, field: str) -> None:
    whole, body = met_norway_body(), met_norway_body()
    body["properties"]["meta"]["units"][name] = "furlong"
    found, known = read_met_norway(body), read_met_norway(whole)
    assert any(getattr(hour, field) is not None for hour in known.hours)
    for hour, other in zip(found.hours, known.hours, strict=True):
        assert asdict(hour) == asdict(other) | {field: None}


@pytest.mark.parametrize(
    ("keys", "value", "words"),
    [
        (("geometry",), None, "geometry"),
        (("geometry", "coordinates"), [52.02], "coordinates"),
        (("geometry", "coordinates"), [52.02, -101.0, 9], "latitude is -101"),
        (("properties", "meta"), {}, "units"),
        (("properties", "meta", "updated_at"), "noon", "'noon'"),
        (("properties", "timeseries"), None, "timeseries"),
        (("properties", "timeseries"), [], "no air temperature"),
        (("properties", "timeseries"), [None], "no object"),
    ],
)
def test_a_broken_frame_is_named(keys: tuple[str, ...], value: object, words: str) -> None:
    body: Any = met_norway_body()
    parent = body
    for key in keys[:-1]:
        parent = parent[key]
    parent[keys[-1]] = value
    with pytest.raises(ForecastError, match=words):
        read_met_norway(body)


def test_two_steps_of_one_instant_are_refused() -> None:
    body = met_norway_body()
    body["properties"]["timeseries"].append(steps(body)[0])
    with pytest.raises(ForecastError, match="two values for 2026-05-01T18:00"):
        read_met_norway(body)


@given(st.randoms(use_true_random=False))
def test_the_order_of_the_steps_does_not_matter(rng: random.Random) -> None:
    body = met_norway_body()
    rng.shuffle(body["properties"]["timeseries"])
    assert read_met_norway(body) == read_met_norway(met_norway_body())


@given(st.lists(st.booleans(), min_size=5, max_size=5))
def test_nulls_never_become_zeros(dropped: list[bool]) -> None:
    body = met_norway_body()
    for step, drop in zip(steps(body), dropped, strict=True):
        if drop:
            step["data"]["instant"]["details"]["wind_speed"] = None
    assert [hour.wind_ms is None for hour in read_met_norway(body).hours] == dropped
