"""Frost dates on years whose frosts are known, against scipy's quantiles at Weibull positions."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import date, timedelta
from pathlib import Path

import pytest
from scipy.stats.mstats import mquantiles

from bot.cli import frost_dates
from bot.core.weather.climate import ClimateError, Half, climate, safe_on, shifted

# Made-up days of the year of the last spring frost, ten years (none in leap years' February).
SPRING_DAYS = (112, 118, 121, 124, 126, 128, 129, 131, 134, 137)


def plain(day_of_year: int) -> tuple[int, int]:
    on = date(2001, 1, 1) + timedelta(days=day_of_year - 1)
    return on.month, on.day


def years(frosts: dict[int, list[tuple[int, int]]]) -> dict[date, float]:
    """Daily minima of 5 C, but -1 C on the named days of each year."""
    minima: dict[date, float] = {}
    for year, cold in frosts.items():
        on = date(year, 1, 1)
        while on.year == year:
            minima[on] = -1.0 if (on.month, on.day) in cold else 5.0
            on += timedelta(days=1)
    return minima


def ten_years() -> dict[date, float]:
    return years({2001 + index: [plain(day), (11, 1 + index)] for index, day in enumerate(SPRING_DAYS)})


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5, 0.75, 0.9])
def test_the_levels_are_scipys_weibull_quantiles(share: float) -> None:
    wanted = mquantiles(SPRING_DAYS, [share], alphap=0, betap=0)[0]
    assert climate(ten_years()).last_spring.by(share) == plain(round(float(wanted)))


def test_plotting_positions_end_at_one_in_eleven() -> None:
    spring = climate(ten_years()).last_spring
    assert spring.by(1 / 11) == plain(112)  # Weibull r/(n+1): first of ten at .0909, last at .9091
    assert spring.by(10 / 11) == plain(137)
    assert spring.by(0.05) is None
    assert spring.by(0.95) is None


def test_a_spring_without_frost_counts_as_already_past_and_an_autumn_as_never() -> None:
    frosts = {2001 + index: [plain(day), (11, 1 + index)] for index, day in enumerate(SPRING_DAYS)}
    frosts |= {2011 + index: [] for index in range(10)}
    found = climate(years(frosts))
    assert found.last_spring.share_without == 0.5
    assert found.last_spring.by(0.1) is None
    assert found.last_spring.by(20 / 21) == plain(137)
    assert found.first_autumn.by(1 / 21) == (11, 1)
    assert found.first_autumn.by(0.9) is None


def test_exactly_zero_is_no_frost() -> None:
    # An air frost is a minimum below 0.0 (weatherfaqs.org.uk node 26, read 2026-11-25).
    minima = {on: (max(low, 0.0)) for on, low in ten_years().items()}
    assert climate(minima).last_spring.share_without == 1.0
    assert climate(minima, threshold_c=0.1).last_spring.share_without == 0.0


def test_a_gappy_half_year_is_left_out_and_listed() -> None:
    minima = ten_years() | years({2011: [(4, 1)]})
    for day in range(1, 11):
        del minima[date(2011, 3, day)]  # 10 of 181 days: more than 5 %
    found = climate(minima)
    assert [(gap.year, gap.half, gap.missing) for gap in found.left_out] == [(2011, Half.SPRING, 10)]
    assert len(found.last_spring.years) == 10
    assert len(found.first_autumn.years) == 11


def test_nine_years_are_too_few() -> None:
    minima = {on: low for on, low in ten_years().items() if on.year < 2010}
    with pytest.raises(ClimateError, match="9 usable years"):
        climate(minima)


def test_south_of_the_equator_spring_is_the_second_half() -> None:
    minima = years({year: [(5, 20), (9, 10)] for year in range(2001, 2011)})
    found = climate(minima, southern=True)
    assert found.last_spring.by(0.5) == (9, 10)
    assert found.first_autumn.by(0.5) == (5, 20)


def test_a_leap_years_frost_is_the_same_date_as_any_others() -> None:
    minima = years({year: [(4, 20)] for year in range(2001, 2013)})
    assert climate(minima).last_spring.by(0.5) == (4, 20)


def test_a_warmer_site_has_its_last_frost_no_later() -> None:
    assert climate(shifted(ten_years(), 2.0)).last_spring.share_without == 1.0


def test_it_is_safe_the_day_after_the_level_unless_the_forecast_says_otherwise() -> None:
    found = climate(ten_years())
    after = found.last_spring.by(0.9)
    assert after is not None
    assert safe_on(found, 0.1, 2026) == date(2026, *after) + timedelta(days=1)
    late = date(2026, 5, 25)
    assert safe_on(found, 0.1, 2026, [(late, 0.4), (late + timedelta(days=1), 0.02)]) == late + timedelta(days=1)


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    parser = ArgumentParser()
    frost_dates.add_arguments(parser)
    code = frost_dates.run(parser.parse_args(argv))
    out, err = capsys.readouterr()
    return code, out, err


def write(path: Path, minima: dict[date, float]) -> Path:
    path.write_text("date,min_c\n" + "".join(f"{on},{low}\n" for on, low in minima.items()), encoding="utf-8")
    return path


def test_the_command_prints_levels_years_and_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "--daily", str(write(tmp_path / "days.csv", ten_years())), "--json")
    printed = json.loads(out)
    assert code == 0
    assert printed["last_spring"]["p50"] == "05-07"  # day 127, midway between the fifth and sixth of SPRING_DAYS
    assert printed["last_spring"]["years"] == 10
    assert any("One year in ten still has a frost after 05-17" in line for line in printed["words"])


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("day,low\n", "line 1: columns are"),
        ("date,min_c\n2001-01-01,2\n2001-02-30,2\n", "line 3: date is '2001-02-30'"),
        ("date,min_c\n2001-01-01,cold\n", "line 2: min_c is 'cold'"),
        ("date,min_c\n2001-01-01,271\n", "line 2: min_c is '271'"),
        ("date,min_c\n2001-01-01,2\n2001-01-01,3\n", "line 3: 2001-01-01 stands twice"),
    ],
)
def test_a_bad_line_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, complaint: str) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8")
    code, out, err = run(capsys, "--daily", str(path))
    assert (code, out) == (2, "")
    assert complaint in err


@pytest.mark.parametrize("threshold", ["nan", "inf", "271"])
def test_a_threshold_that_is_no_temperature_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], threshold: str
) -> None:
    daily = str(write(tmp_path / "days.csv", ten_years()))
    code, out, err = run(capsys, "--daily", daily, "--threshold", threshold)
    assert (code, out) == (2, "") and "--threshold is" in err


@pytest.mark.parametrize("latitude", ["200", "-91", "nan"])
def test_a_latitude_off_the_earth_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str], latitude: str) -> None:
    daily = str(write(tmp_path / "days.csv", ten_years()))
    code, out, err = run(capsys, "--daily", daily, "--lat", latitude)
    assert (code, out) == (2, "") and "--lat is" in err


def test_minima_with_their_summer_in_january_are_asked_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    turned = {on: -low_c for on, low_c in ten_years().items()} | {date(2001, 1, 5): 18.0, date(2001, 7, 5): 3.0}
    daily = str(write(tmp_path / "days.csv", turned))
    code, out, err = run(capsys, "--daily", daily)
    assert (code, out) == (2, "") and "south of the equator; say where" in err
    assert run(capsys, "--daily", daily, "--lat", "-37.8")[0] == 0
