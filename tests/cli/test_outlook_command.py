"""`gatepost outlook` reads days and nights from a recorded answer; what it prints is what was put into the answer."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.cli.conftest import MONDAY_AT, Run


def test_days_and_nights_are_those_of_the_recorded_answer(run: Run, forecast: Path) -> None:
    status, out, _ = run("outlook", "--forecast", forecast, "--zone", "UTC", "--json")
    found = json.loads(out)
    assert status == 0
    raw = json.loads(forecast.read_text(encoding="utf-8"))["data"]["hourly"]
    for day in found["days"]:
        hours = [n for n, at in enumerate(raw["time"]) if at.startswith(day["date"])]
        assert day["air_min_c"] == pytest.approx(min(raw["temperature_2m"][n] for n in hours))
        assert day["air_max_c"] == pytest.approx(max(raw["temperature_2m"][n] for n in hours))
        assert day["hours_covered"] == 24
        # A gust is the greatest of the hour before its stamp, so 00:00 belongs to the day before.
        after = [n + 1 for n in hours if n + 1 < len(raw["time"])]
        assert day["gust_max_ms"] == pytest.approx(max(raw["wind_gusts_10m"][n] for n in after))
    assert [day["date"] for day in found["days"]][:2] == ["2026-05-04", "2026-05-05"]
    assert "2026-05-04" in [night["evening_on"] for night in found["nights"]]


def test_source_issue_and_fetching_are_told_and_age_counts_from_the_fetching(run: Run, forecast: Path) -> None:
    _, out, _ = run("outlook", "--forecast", forecast, "--now", "2026-05-04T15:00+00:00", "--json")
    found = json.loads(out)
    assert found["source"] == "open-meteo"
    assert found["issued_at"] is None, "this service does not say"
    assert found["fetched_at"] == MONDAY_AT.isoformat()
    assert found["age_h"] == 6.0


def test_a_bare_answer_has_no_fetching_and_no_age(run: Run, forecast: Path, tmp_path: Path) -> None:
    bare = tmp_path / "bare.json"
    bare.write_text(json.dumps(json.loads(forecast.read_text(encoding="utf-8"))["data"]), encoding="utf-8")
    _, out, _ = run("outlook", "--forecast", bare, "--json")
    found = json.loads(out)
    assert (found["fetched_at"], found["issued_at"], found["age_h"]) == (None, None, None)


def test_days_are_those_of_the_zone_that_is_asked_for(run: Run, forecast: Path) -> None:
    _, utc, _ = run("outlook", "--forecast", forecast, "--zone", "UTC", "--json")
    _, east, _ = run("outlook", "--forecast", forecast, "--zone", "Asia/Tokyo", "--json")
    first = date.fromisoformat(json.loads(utc)["days"][0]["date"])
    days = json.loads(east)["days"]
    assert days[0]["date"] == first.isoformat() and days[0]["hours_covered"] == 15, "it begins at 09:00 there"
    assert days[-1]["date"] == (first + timedelta(days=10)).isoformat() and days[-1]["hours_covered"] == 9


def test_the_lines_for_people_name_units_and_odds(run: Run, forecast: Path) -> None:
    status, out, _ = run("outlook", "--forecast", forecast)
    assert status == 0
    assert " mph (" in out and " m/s)" in out and "at the plants" in out and "below 0:" in out


@pytest.mark.parametrize("body", ["", "{", "[]", "null", '{"hourly": {"time": []}}', "<html>", '{"error": true}'])
def test_what_is_no_forecast_is_refused_by_name(run: Run, tmp_path: Path, body: str) -> None:
    path = tmp_path / "broken.json"
    path.write_text(body, encoding="utf-8")
    status, out, complaint = run("outlook", "--forecast", path, "--json")
    assert (status, out) == (2, "")
    assert "broken.json" in complaint and len(complaint) < 400


def test_half_a_place_is_refused(run: Run, forecast: Path) -> None:
    status, _, complaint = run("outlook", "--forecast", forecast, "--lat", "52.2")
    assert status == 2 and "both --lat and --lon" in complaint


def test_a_place_far_from_the_forecasts_is_refused(run: Run, forecast: Path) -> None:
    status, _, complaint = run("outlook", "--forecast", forecast, "--lat", "-1.52", "--lon", "52.21")
    assert status == 2 and complaint
