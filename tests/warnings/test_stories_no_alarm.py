"""Stories in which an experienced grower does nothing, and nobody may be called out (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.core.garden.snapshot import Cover, Planting, Stage, Support, SupportKind
from tests.support.stories import (
    CALLUMS_BED,
    FARAH,
    FARAHS_BED,
    GREENHOUSE,
    LONG_BED,
    PLACES,
    SILL,
    STANDING,
    TUNNEL,
    Story,
    Weather,
    batch,
)


def clear(night_c: float, day_c: float = 15.0) -> Weather:
    return Weather((night_c,), (day_c,), cloud_pct=5.0, wind_ms=1.0)


def dull(night_c: float, day_c: float = 15.0) -> Weather:
    return Weather((night_c,), (day_c,), cloud_pct=95.0, wind_ms=5.0)


def quiet(on: date, weather: Weather, *batches: Planting, supports: tuple[Support, ...] = ()) -> bool:
    return Story(on, batches, weather, supports).findings == ()


def test_hardened_onions_at_one_degree_need_nothing() -> None:
    out, waiting = batch("onion-set", FARAHS_BED, Stage.GROWING, 80), batch("onion-seed", STANDING, Stage.HARDENED, 40)
    assert quiet(date(2026, 4, 10), clear(1.0), out, waiting)


@pytest.mark.parametrize("crop", ["cabbage-spring", "cabbage-winter", "cabbage-summer"])
def test_cabbages_at_minus_three_need_nothing(crop: str) -> None:
    assert quiet(date(2026, 2, 20), clear(-3.0, 6.0), batch(crop, FARAHS_BED, Stage.GROWING))


@pytest.mark.parametrize("weather", [clear(-1.0, 11.0), dull(-1.0, 11.0)])
def test_peas_at_minus_one_need_nothing(weather: Weather) -> None:
    peas = batch("pea", FARAHS_BED, Stage.GROWING, 80, height_cm=12.0)
    assert quiet(date(2026, 4, 6), weather, peas)


def test_broad_beans_sown_in_autumn_shrug_off_minus_two() -> None:
    assert quiet(date(2026, 3, 3), Weather((-2.0,), (8.0,)), batch("broad-bean", LONG_BED, Stage.GROWING, 40))


def test_garlic_stands_minus_six_in_january() -> None:
    assert quiet(date(2026, 1, 12), Weather((-6.0,), (2.0,)), batch("garlic", LONG_BED, Stage.GROWING, 60))


def test_leeks_kale_and_sprouts_stand_minus_four() -> None:
    winter = (batch(crop, LONG_BED, Stage.READY, 20) for crop in ("leek", "kale", "brussels-sprouts"))
    assert quiet(date(2026, 12, 20), Weather((-4.0,), (4.0,)), *winter)


def test_raspberry_canes_stand_minus_nine() -> None:
    assert quiet(date(2026, 1, 20), Weather((-9.0,), (0.0,)), batch("raspberry-summer", LONG_BED, Stage.GROWING, 20))


def test_beans_that_are_out_need_nothing_on_a_night_of_eight_degrees() -> None:
    assert quiet(date(2026, 6, 1), clear(8.0, 18.0), batch("french-bean", CALLUMS_BED, Stage.GROWING, 30))


def test_beans_need_nothing_at_four_degrees_under_cloud_and_wind() -> None:
    assert quiet(date(2026, 5, 26), dull(4.0, 11.0), batch("french-bean", CALLUMS_BED, Stage.GROWING, 30))


def test_potatoes_not_yet_through_the_soil_need_nothing_at_minus_three() -> None:
    assert quiet(date(2026, 4, 12), clear(-3.0), batch("potato-maincrop", LONG_BED, Stage.SOWN, 30))


def test_tomatoes_on_the_windowsill_need_nothing_whatever_the_night() -> None:
    assert quiet(date(2026, 3, 20), Weather((-8.0,), (3.0,)), batch("tomato", SILL, Stage.SEEDLING, 40))


def test_chilling_alone_calls_nobody_out_at_night() -> None:
    # Peppers are checked below 12.5 C (FAO frost ch. 4: chilling injury below about +12.5 C) and damaged at 0.
    peppers = batch("pepper", GREENHOUSE, Stage.POTTED_ON, 20)
    assert quiet(date(2026, 5, 10), Weather((6.0,), (14.0,), cloud_pct=80.0), peppers)


def test_beans_already_under_double_fleece_are_left_alone_at_five_degrees() -> None:
    places = tuple(replace(one, cover=Cover.DOUBLE_FLEECE) if one.id == CALLUMS_BED else one for one in PLACES)
    story = Story(
        date(2026, 5, 24), (batch("french-bean", CALLUMS_BED, Stage.GROWING, 30),), Weather((5.0,)), places=places
    )
    assert [one for one in story.findings if one.hazard.value == "cold"] == []


def test_a_breeze_moves_tied_beans_and_nobody() -> None:
    canes = Support(1, CALLUMS_BED, SupportKind.CANES, 2.0, 3.0, 0.1, ties=4)
    beans = batch("runner-bean", CALLUMS_BED, Stage.FLOWERING, 24, height_cm=180.0)
    assert quiet(date(2026, 8, 3), Weather((12.0,), (20.0,), gusts_ms=(8.0, 9.0)), beans, supports=(canes,))


def test_the_greenhouse_stays_shut_on_a_dull_day_of_thirteen_degrees() -> None:
    weather = Weather((8.0,), (13.0,), cloud_pct=100.0, sun_w_m2=120.0)
    assert quiet(date(2026, 4, 20), weather, batch("tomato", GREENHOUSE, Stage.POTTED_ON, 6))


def test_seedlings_may_stand_in_drizzle() -> None:
    trays = batch("lettuce", STANDING, Stage.HARDENING, 40)
    assert quiet(date(2026, 4, 25), Weather((8.0, 8.0), (14.0,), rain_mm=(0.4, 1.0)), trays)


def test_salads_in_the_tunnel_are_left_alone_at_minus_one() -> None:
    assert quiet(date(2026, 11, 25), Weather((-1.0,), (7.0,)), batch("lettuce-winter", TUNNEL, Stage.GROWING, 60))


def test_a_week_with_nothing_pressing_says_so() -> None:
    story = Story(date(2026, 12, 1), (batch("garlic", FARAHS_BED, Stage.GROWING, 40),), Weather((3.0,), (8.0,)))
    assert story.week(FARAH).nothing_urgent
    assert story.week(FARAH).jobs == ()


# Each in plain words: the day, the night to come and its day, what grows where. Nobody may be called out for any of them.
QUIET = {
    "seed potatoes chitting on the sill in a frosty February": (
        date(2026, 2, 14), clear(-5.0, 3.0), batch("potato-first-early", SILL, Stage.CHITTING, 20)),
    "carrots not yet through the soil on a night of minus two": (
        date(2026, 4, 10), clear(-2.0), batch("carrot", LONG_BED, Stage.SOWN, 200, sown_on=date(2026, 4, 2))),
    "maincrop planted a week ago and still below on a night of minus four": (
        date(2026, 4, 18), clear(-4.0), batch("potato-maincrop", LONG_BED, Stage.SOWN, 30, planted_on=date(2026, 4, 11))),
    "parsnips in the ground at minus eight, sweeter for it": (
        date(2026, 1, 10), Weather((-3.0,), (2.0,)), batch("parsnip", LONG_BED, Stage.READY, 40)),
    "strawberry plants at rest in March": (
        date(2026, 3, 5), clear(-5.0, 6.0), batch("strawberry", LONG_BED, Stage.GROWING, 30, planted_on=date(2024, 8, 20))),
    "last year's raspberries, recorded as ready, in January": (
        date(2026, 1, 15), Weather((-6.0,), (1.0,)),
        batch("raspberry-summer", LONG_BED, Stage.READY, 20, planted_on=date(2023, 11, 1), stage_on=date(2025, 7, 10))),
    "currants before they flower, minus three in March": (
        date(2026, 3, 12), clear(-3.0, 8.0), batch("blackcurrant", LONG_BED, Stage.GROWING, 3, planted_on=date(2022, 11, 1))),
    "rhubarb pushing up at minus two": (
        date(2026, 3, 20), clear(-1.0, 9.0), batch("rhubarb", LONG_BED, Stage.GROWING, 3, planted_on=date(2022, 3, 1))),
    "shallots and garlic in their rows at minus three": (
        date(2026, 3, 1), clear(-3.0, 8.0), batch("shallot", LONG_BED, Stage.GROWING, 40)),
    "spinach sown in autumn at minus five": (
        date(2026, 2, 1), Weather((-4.0,), (4.0,)), batch("spinach", LONG_BED, Stage.GROWING, 60)),
    "winter squash in the open on a June night of nine degrees": (
        date(2026, 6, 10), clear(9.0, 18.0), batch("winter-squash", LONG_BED, Stage.GROWING, 4)),
    "sweetcorn out in June at seven degrees": (
        date(2026, 6, 6), dull(7.0, 16.0), batch("sweetcorn", LONG_BED, Stage.GROWING, 24)),
    "tomatoes in the greenhouse on a May night of six degrees": (
        date(2026, 5, 16), dull(6.0, 14.0), batch("tomato", GREENHOUSE, Stage.GROWING, 12)),
    "chives, mint and thyme come back by themselves": (
        date(2026, 2, 20), clear(-4.0, 6.0), batch("chives", LONG_BED, Stage.GROWING, 6)),
    "kale picked all winter at minus six": (
        date(2026, 1, 8), Weather((-4.0,), (3.0,)), batch("kale", LONG_BED, Stage.READY, 10)),
    "hardened lettuces at two degrees under cloud": (
        date(2026, 4, 14), dull(2.0, 11.0), batch("lettuce", FARAHS_BED, Stage.GROWING, 30)),
}  # fmt: skip


@pytest.mark.parametrize("story", QUIET)
def test_nobody_is_called_out_for(story: str) -> None:
    on, weather, plants = QUIET[story]
    found = Story(on, (plants,), weather).findings
    assert [one for one in found if one.hazard.value == "cold"] == []


def test_frost_dates_are_not_feared_in_a_garden_where_nothing_tender_is_out() -> None:
    # Must: onions and peas stay. Must not: anything about the tomatoes, which are on the sill.
    story = Story(
        date(2026, 5, 2),
        (
            batch("onion-set", FARAHS_BED, Stage.GROWING, 80),
            batch("pea", FARAHS_BED, Stage.GROWING, 60),
            batch("tomato", SILL, Stage.POTTED_ON, 12),
        ),
        clear(0.0, 14.0),
    )
    assert story.findings == ()
    assert not [job for job in story.week(FARAH).jobs if job.due_at is not None]


def test_nobody_goes_out_in_november_for_what_is_left_of_the_runner_beans() -> None:
    beans = batch("runner-bean", LONG_BED, Stage.GROWING, 24, sown_on=date(2026, 5, 10), planted_on=date(2026, 6, 1))
    assert Story(date(2026, 11, 12), (beans,), clear(-2.0, 7.0)).findings == ()
    assert Story(date(2026, 9, 24), (beans,), clear(-2.0, 9.0)).findings != ()
