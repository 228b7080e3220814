"""The ground's minimum: the constants in core come from the measured nights, and keep their score on years left out."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cli import main
from bot.cli.calibrate import CalibrationError, MeasuredNight, fit, in_season, read_nights, scores
from bot.core.weather.ground import (
    GROUND,
    NightKind,
    Weather,
    depression_c,
    fall_from_c,
    ground_estimate,
    night_kind,
)
from bot.core.weather.odds import Estimate
from tests.open_data import open_data


@cache
def de_bilt() -> tuple[MeasuredNight, ...]:
    """De Bilt 1980-2004, credit KNMI (open data)."""
    return tuple(read_nights(open_data("weather/nights/de-bilt-daily-1980-2004.csv")))


def test_the_constants_in_core_are_those_that_the_nights_give() -> None:
    assert fit(de_bilt()) == GROUND


def test_years_left_out_are_told_better_than_by_a_constant_gap() -> None:
    result = scores(de_bilt())
    assert result.gain >= 0.30
    assert result.error_c <= 0.805  # 0.825 from wind, cloud and the plain mean of both falls alone
    assert result.brier <= 0.0304  # 0.0306 from the nights of these months alone
    assert 0.86 <= result.inside <= 0.94


def test_a_clear_still_night_is_colder_at_the_ground_than_a_windy_or_cloudy_one() -> None:
    still = depression_c(Weather(1.0, 0.0, 14.0))
    windy = depression_c(Weather(10.0, 0.0, 14.0))
    cloudy = depression_c(Weather(1.0, 100.0, 3.0))
    assert still is not None
    assert windy is not None
    assert cloudy is not None
    assert still > 2.5 > 1.0 > max(windy, cloudy)
    # De Bilt 1980-2004, 72 nights of at most 2 m/s, two octas and a fall of 12 to 16 C: 3.5 C in the mean.
    assert depression_c(Weather(1.7, 15.0, 14.0)) == pytest.approx(3.5, abs=0.5)


def test_only_a_closed_sky_keeps_the_ground_warm() -> None:
    # De Bilt 1980-2004: 2.8 C in the mean at one octa or less, 2.7 at three to five, 0.6 under a closed sky, where the air
    # falls less, too.
    few, half, closed = (depression_c(Weather(3.0, cloud_pct, 8.0)) or 0.0 for cloud_pct in (10.0, 50.0, 100.0))
    assert abs(few - half) < 1.0
    assert closed < half - 0.7


@given(st.floats(0.0, 20.0), st.floats(0.0, 100.0), st.floats(0.0, 25.0))
def test_grass_is_nearly_always_the_colder(wind_ms: float, cloud_pct: float, swing_c: float) -> None:
    # R. Brugge, Weather, wea.760: the grass minimum is nearly always the lower, by up to about 10 C.
    gap_c = depression_c(Weather(wind_ms, cloud_pct, swing_c))
    assert gap_c is not None
    assert 0.0 <= gap_c <= 10.0


@pytest.mark.parametrize("unknown", ["wind_before_ms", "vapour_kpa", "clearness"])
def test_what_a_service_does_not_give_is_taken_as_usual(unknown: str) -> None:
    """MET Norway gives no radiation, and late on a day no service tells of that day's wind: the rest still counts."""
    nights = in_season(de_bilt())
    blind = [replace(night, weather=replace(night.weather, **{unknown: None})) for night in nights]
    told = [depression_c(night.weather) or 0.0 for night in blind]
    error_c = sum(abs(night.gap_c - gap_c) for night, gap_c in zip(blind, told, strict=True)) / len(blind)
    assert error_c <= 0.812, "still better than by wind, cloud and swing in the old way: 0.825 on years left out"


def test_dry_air_and_a_falling_wind_make_the_ground_colder() -> None:
    """Brunt's outgoing radiation (FAO-56 Eq. 39) is the greater the less vapour there is."""
    usual = Weather(2.5, 30.0, 10.0)
    usual_c = depression_c(usual) or 0.0
    assert (
        (depression_c(replace(usual, vapour_kpa=0.5)) or 0.0)
        > usual_c
        > (depression_c(replace(usual, vapour_kpa=1.8)) or 0.0)
    )
    assert (depression_c(replace(usual, wind_before_ms=6.0)) or 0.0) > usual_c
    assert (depression_c(replace(usual, clearness=0.9)) or 0.0) < usual_c


def test_the_smaller_fall_counts_for_more() -> None:
    assert fall_from_c(2.0, (16.0, 12.0)) == fall_from_c(2.0, (12.0, 16.0)) == pytest.approx(0.75 * 10.0 + 0.25 * 14.0)
    assert fall_from_c(2.0, (12.0,)) == 10.0
    assert fall_from_c(2.0, (1.0,)) == 0.0
    assert fall_from_c(2.0, ()) is None


def test_unknown_weather_gives_the_plain_gap_with_its_wider_band() -> None:
    blind = ground_estimate(Estimate(3.0, 1.0), Weather())
    seen = ground_estimate(Estimate(3.0, 1.0), Weather(2.0, 20.0, 10.0))
    assert blind.sd_c > seen.sd_c
    assert blind.mean_c == pytest.approx(3.0 - GROUND.constant_c)


@pytest.mark.parametrize(
    ("wind_ms", "cloud_pct", "wanted"),
    [
        (1.0, 10.0, NightKind.RADIATION),  # FAO ENRS 10: no cloud, wind below 2 m/s at 2 m
        (1.0, 90.0, NightKind.MIXED),
        (3.5, 0.0, NightKind.MIXED),
        (6.0, 0.0, NightKind.ADVECTION),  # UGA Extension B1479: moderate to strong wind
        (None, 0.0, NightKind.MIXED),
        (1.0, None, NightKind.MIXED),
    ],
)
def test_kinds_of_night(wind_ms: float | None, cloud_pct: float | None, wanted: NightKind) -> None:
    assert night_kind(wind_ms, cloud_pct) is wanted


def test_a_bad_file_names_its_line(tmp_path: Path) -> None:
    path = tmp_path / "bad.csv"
    path.write_text("date,air_min_c,ground_min_10cm_c,air_max_c,wind_mean_ms,cloud_octas\n2001-01-01,a,1,2,3,4\n")
    with pytest.raises(CalibrationError, match="line 2"):
        read_nights(path)


def test_the_constants_in_use_are_scored_on_other_nights(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Invented: ten nights of two years whose ground is colder by just the gap that is reckoned, so that nothing is off."""
    lines = ["date,air_min_c,ground_min_10cm_c,air_max_c,wind_mean_ms,cloud_octas"]
    for year in (2031, 2032):
        for day in range(1, 7):
            gap_c = depression_c(Weather(2.0, 25.0, 10.0))
            assert gap_c is not None
            lines.append(f"{year}-04-{day:02},3.0,{3.0 - gap_c:.3f},13.0,2.0,2")
    path = tmp_path / "nights.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    assert main(["calibrate", "--score", str(path)]) == 0
    told = capsys.readouterr().out
    assert "10 nights of 2031 to 2032" in told and "mean absolute error 0.000 C" in told and "100.0%" in told
