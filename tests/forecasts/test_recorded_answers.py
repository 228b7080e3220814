"""Recorded answers in files: invented ones in every wrapping, and real ones where the open data is at hand."""

from __future__ import annotations

import copy
import json
import os
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.weather.forecast import Forecast, ForecastError, Gap
from bot.forecasts import file
from bot.forecasts.reader import Point
from tests.forecasts.invented import (
    MET_NORWAY,
    OPEN_METEO,
    met_norway_body,
    open_meteo_body,
    read_met_norway,
    read_open_meteo,
)
from tests.open_data import open_data

HEADERS = {"date": "Fri, 01 May 2026 18:02:03 GMT"}


def written(folder: Path, body: object, name: str = "answer.json") -> Path:
    path = folder / name
    path.write_text(json.dumps(body), encoding="utf-8")
    return path


def wrapped(body: object, status: int = 200) -> dict[str, object]:
    return {"status_code": status, "headers": HEADERS, "data": body}


def utc(year: int, month: int, day: int, hour: int) -> datetime:
    return datetime(year, month, day, hour, tzinfo=UTC)


def hour_at(forecast: Forecast, at: datetime) -> Any:
    (hour,) = forecast.between(at, at + timedelta(hours=1))
    return hour


def test_the_service_is_told_by_the_form() -> None:
    assert (file.load(OPEN_METEO).source, file.load(MET_NORWAY).source) == ("open-meteo", "met-norway")


def test_a_bare_file_does_not_tell_when_it_was_fetched() -> None:
    assert file.load(OPEN_METEO).fetched_at is None


@pytest.mark.parametrize("body", [open_meteo_body(), met_norway_body()])
@pytest.mark.parametrize("status", [200, 203])
def test_a_file_with_headers_was_fetched_at_their_date(tmp_path: Path, body: object, status: int) -> None:
    forecast = file.load(written(tmp_path, wrapped(body, status)))
    assert forecast.fetched_at == datetime(2026, 5, 1, 18, 2, 3, tzinfo=UTC)


def test_a_recorded_failure_is_told_with_its_reason(tmp_path: Path) -> None:
    path = written(tmp_path, wrapped({"error": True, "reason": "Daily limit exceeded"}, 429))
    with pytest.raises(ForecastError, match=r"answer\.json: .*429 was recorded: Daily limit exceeded"):
        file.load(path)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("  \n", "empty"),
        ("<!DOCTYPE html><p>Sign in to the network", "HTML"),
        ("{}", "neither"),
        ("17", "neither"),
        ("[]", "0 places"),
        ("[[[1]]]", "no object"),
        ("[" * 100_000, "no whole JSON"),
        ('{"hourly": ' + "9" * 5000 + "}", "no whole JSON"),
    ],
)
def test_what_is_no_forecast_is_named(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "answer.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ForecastError, match=rf"answer\.json: .*{words}"):
        file.load(path)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(ForecastError, match=r"none\.json: the file cannot be read"):
        file.load(tmp_path / "none.json")


@pytest.mark.parametrize("source", [OPEN_METEO, MET_NORWAY])
def test_an_answer_cut_short_anywhere_is_a_forecast_error(tmp_path: Path, source: Path) -> None:
    whole = source.read_bytes().strip()
    path = tmp_path / "cut.json"
    for length in range(len(whole)):
        path.write_bytes(whole[:length])
        with pytest.raises(ForecastError):
            file.load(path)


def nodes(value: object, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The path of each part of a JSON value."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in items:
        yield (*path, key)
        yield from nodes(part, (*path, key))


ANSWERS = ((open_meteo_body(), read_open_meteo), (met_norway_body(), read_met_norway))
JSON: st.SearchStrategy[object] = st.sampled_from(
    [None, True, -1, 0.5, 1e300, 10**400, float("nan"), "", "°F", "2026-05-01T20:00", [], [1], {}]
)


@settings(max_examples=300)
@given(st.sampled_from(ANSWERS), st.data(), JSON)
def test_any_part_replaced_by_anything_is_a_forecast_or_a_forecast_error(
    answer: tuple[dict[str, Any], Any], data: st.DataObject, replacement: object
) -> None:
    whole, read = answer
    body: Any = copy.deepcopy(whole)
    path = data.draw(st.sampled_from(list(nodes(body))))
    parent = body
    for key in path[:-1]:
        parent = parent[key]
    parent[path[-1]] = replacement
    try:
        assert read(body).hours
    except ForecastError as error:
        assert len(str(error)) < 400


def test_a_folder_is_a_series_ascending_by_issue(tmp_path: Path) -> None:
    for name, updated_at in (("a", "2026-05-02T06:00:00Z"), ("b", "2026-05-01T06:00:00Z")):
        body = met_norway_body()
        body["properties"]["meta"]["updated_at"] = updated_at
        written(tmp_path, body, f"{name}.json")
    written(tmp_path, wrapped(open_meteo_body()), "c.json")
    series = file.load_series(tmp_path)
    assert [(f.issued_at or f.fetched_at or utc(1, 1, 1, 0)).day for f in series] == [1, 1, 2]
    assert [f.source for f in series] == ["met-norway", "open-meteo", "met-norway"]


def test_a_series_needs_to_know_when_each_was_issued(tmp_path: Path) -> None:
    written(tmp_path, open_meteo_body(), "bare.json")
    with pytest.raises(ForecastError, match=r"bare\.json: it is unknown when"):
        file.load_series(tmp_path)


def test_an_empty_folder_is_no_series(tmp_path: Path) -> None:
    with pytest.raises(ForecastError, match=r"no \*\.json"):
        file.load_series(tmp_path)


def test_the_newest_of_a_folder_is_not_from_the_future(tmp_path: Path) -> None:
    written(tmp_path, wrapped(open_meteo_body()), "evening.json")
    assert file.latest(tmp_path, utc(2026, 5, 1, 19)).source == "open-meteo"
    with pytest.raises(ForecastError, match="no forecast issued by"):
        file.latest(tmp_path, utc(2026, 5, 1, 17))


def test_a_file_for_another_place_is_refused() -> None:
    with pytest.raises(ForecastError, match="was asked for"):
        file.load(OPEN_METEO, Point(10.0, 10.0))


@pytest.fixture
def machine_zone() -> Iterator[Any]:
    """Sets the machine's own zone for one test."""
    before = os.environ.get("TZ")

    def set_zone(name: str | None) -> None:
        os.environ.pop("TZ", None)
        os.environ |= {"TZ": name} if name else {}
        time.tzset()

    yield set_zone
    set_zone(before)


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of this system cannot be set from within")
@pytest.mark.parametrize("zone", ["UTC", "America/St_Johns", "Asia/Kathmandu", "Pacific/Auckland"])
def test_the_machines_own_zone_does_not_matter(machine_zone: Any, tmp_path: Path, zone: str) -> None:
    path = written(tmp_path, wrapped(open_meteo_body()))
    machine_zone("Europe/Lisbon")
    expected = file.load(path), file.load(MET_NORWAY)
    machine_zone(zone)
    assert (file.load(path), file.load(MET_NORWAY)) == expected


def test_the_berlin_recording_has_its_frost_at_the_right_hour() -> None:
    # Open-Meteo, CC BY 4.0: 2021-11-29T07:00 local (+1 h), -0.5 °C; the first hour 10.4 km/h, gust 22.1 km/h.
    forecast = file.load(open_data("weather/forecasts/open-meteo-berlin-2021-11-24.json"))
    assert hour_at(forecast, utc(2021, 11, 29, 6)).air_c == -0.5
    assert min(hour.air_c for hour in forecast.hours if hour.air_c is not None) == -0.5
    assert sum(hour.air_c < 0 for hour in forecast.hours if hour.air_c is not None) == 13
    assert forecast.hours[0].at == utc(2021, 11, 23, 23)
    assert forecast.hours[0].wind_ms == pytest.approx(2.8889, abs=1e-4)
    assert forecast.hours[0].gust_ms == pytest.approx(6.1389, abs=1e-4)
    assert (forecast.altitude_m, str(forecast.zone)) == (44.8125, "Europe/Berlin")


def test_the_toronto_recording_is_turned_from_fahrenheit_and_miles() -> None:
    # Open-Meteo, CC BY 4.0: 2026-03-04T01:00 local (-5 h), 31.2 °F = -0.8 * 5/9 = -0.444 °C, 4.6 mph = 2.056 m/s;
    # 2026-03-05T17:00 local, 0.067 inch = 1.7018 mm.
    forecast = file.load(open_data("weather/forecasts/open-meteo-toronto-2026-03-04-fahrenheit.json"))
    hour = hour_at(forecast, utc(2026, 3, 4, 6))
    assert hour.air_c == pytest.approx(-0.4444, abs=1e-4)
    assert hour.wind_ms == pytest.approx(2.0564, abs=1e-4)
    assert hour_at(forecast, utc(2026, 3, 5, 22)).rain_mm == pytest.approx(1.7018, abs=1e-4)
    assert Gap("dew_point_c", 192, 192) in forecast.gaps


def test_the_toronto_recording_lists_the_hour_that_its_clocks_skipped() -> None:
    # Clocks went from 02:00 to 03:00 on 2026-03-08, yet the file has 02:00 (41.6 °F = 9.6 * 5/9 = 5.333 °C) as well:
    # its times are at one fixed offset.
    forecast = file.load(open_data("weather/forecasts/open-meteo-toronto-2026-03-04-fahrenheit.json"))
    assert hour_at(forecast, utc(2026, 3, 8, 7)).air_c == pytest.approx(5.3333, abs=1e-4)
    assert forecast.hours[-1].at - forecast.hours[0].at == timedelta(hours=191)


def test_the_ensemble_recording_has_thirty_members_and_the_control() -> None:
    forecast = file.load(open_data("weather/forecasts/open-meteo-ensemble-amsterdam-one-step.json"))
    spread = forecast.hours[0].spread
    assert spread is not None
    assert (len(spread.members_c), min(spread.members_c), max(spread.members_c)) == (31, 18.5, 19.3)
    assert forecast.hours[0].at == utc(2026, 7, 10, 22)


def test_the_london_recording_is_read_whole() -> None:
    # Data from MET Norway: the first step 18.8 °C, dew point 7.2 °C; the only rain is in stretches of six hours,
    # 0.2 + 0.9 + 0.2 + 0.5 + 0.1 + 0.1 + 0.2 + 0.3 = 2.5 mm.
    forecast = file.load(open_data("weather/forecasts/met-norway-london-complete-2020-07-20.json"))
    first, last = forecast.hours[0], forecast.hours[-1]
    assert (first.at, first.air_c, first.dew_point_c) == (utc(2020, 7, 20, 11), 18.8, 7.2)
    assert (last.at, last.air_c, len(forecast.hours)) == (utc(2020, 7, 29, 6), 17.4, 82)
    assert forecast.issued_at == datetime(2020, 7, 20, 1, 30, 57, tzinfo=UTC)
    assert forecast.fetched_at == datetime(2020, 7, 20, 11, 44, 31, tzinfo=UTC)
    assert sum(span.rain_mm or 0 for span in forecast.spans) == pytest.approx(2.5)
    assert not sum(hour.rain_mm or 0 for hour in forecast.hours)
    assert Gap("gust_ms", 82, 82) in forecast.gaps
    assert not [gap for gap in forecast.gaps if gap.field in ("at", "air_c", "dew_point_c")]
