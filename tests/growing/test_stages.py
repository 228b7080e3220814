"""A batch moves on by what is done or seen, else by days and warmth, and it is known which."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.stages import Basis, Reached, Warmth, coming, reckoned, stage_now
from bot.core.growing.week import JobKind
from tests.support.stories import (
    CALLUM,
    CALLUMS_BED,
    GREENHOUSE,
    LONG_BED,
    POT,
    SILL,
    STANDING,
    TEASEL_LANE,
    Story,
    Weather,
    batch,
    crops,
    tonight,
)

SOWN_ON = date(2026, 4, 1)
FROST = Weather((1.0,), days_c=(17.0,))


def now(one: Planting, today: date, warmth: Warmth | None = None) -> Reached:
    return stage_now(one, crops()[one.crop], TEASEL_LANE.place_of(one), today, warmth)


def soil(soil_c: float, days_n: int = 60) -> Warmth:
    return Warmth(soil_c={SOWN_ON + timedelta(days=n): soil_c for n in range(days_n)})


def test_carrots_in_soil_of_ten_degrees_are_taken_to_be_up_after_the_published_seventeen_days() -> None:
    # Harrington & Minges 1954; Knott's 1997, read via a copy: carrot, 13 mm deep, 17 days at 10 C.
    sown = batch("carrot", LONG_BED, Stage.SOWN, 100, sown_on=SOWN_ON)
    assert now(sown, date(2026, 4, 17), soil(10.0)).stage is Stage.SOWN
    assert now(sown, date(2026, 4, 18), soil(10.0)) == Reached(Stage.SEEDLING, Basis.WARMTH, date(2026, 4, 18))


def test_the_warmth_of_every_day_counts_and_not_only_todays() -> None:
    # Ten days at 10 C are 10/17 of the way, five at 15 C another 5/10 (the same table): up on the fifteenth day.
    cold_then_warm = {SOWN_ON + timedelta(days=n): 10.0 if n < 10 else 15.0 for n in range(30)}
    sown = batch("carrot", LONG_BED, Stage.SOWN, 100, sown_on=SOWN_ON)
    found = now(sown, date(2026, 4, 30), Warmth(soil_c=cold_then_warm))
    assert found == Reached(Stage.SEEDLING, Basis.WARMTH, SOWN_ON + timedelta(days=15))


def test_a_cold_spell_after_they_are_up_does_not_send_them_back_under() -> None:
    warm_then_cold = {SOWN_ON + timedelta(days=n): 15.0 if n < 10 else 5.0 for n in range(40)}
    sown = batch("carrot", LONG_BED, Stage.SOWN, 100, sown_on=SOWN_ON)
    for days in (10, 12, 30):
        assert now(sown, SOWN_ON + timedelta(days=days), Warmth(soil_c=warm_then_cold)).stage is not Stage.SOWN


def test_without_warmth_the_slowest_published_days_are_counted() -> None:
    # Carrot: 51 days at 5 C, the slowest of the table (Harrington & Minges 1954).
    sown = batch("carrot", LONG_BED, Stage.SOWN, 100, sown_on=SOWN_ON)
    assert now(sown, SOWN_ON + timedelta(days=50)).stage is Stage.SOWN
    assert now(sown, SOWN_ON + timedelta(days=51)) == Reached(Stage.SEEDLING, Basis.DAYS, SOWN_ON + timedelta(days=51))


def test_a_day_that_nobody_knows_leaves_it_to_the_days() -> None:
    patchy = {on: c for on, c in soil(10.0).soil_c.items() if on.day not in (5, 6, 7, 8, 9)}
    sown = batch("carrot", LONG_BED, Stage.SOWN, 100, sown_on=SOWN_ON)
    assert now(sown, date(2026, 4, 20), Warmth(soil_c=patchy)).stage is Stage.SOWN


def test_one_lost_day_of_weather_is_bridged() -> None:
    air = {SOWN_ON + timedelta(days=n): 10.0 for n in range(20) if n != 7}
    assert SOWN_ON + timedelta(days=7) in Warmth.of(air).soil_c


def test_seed_on_a_windowsill_comes_up_by_room_warmth_whatever_the_spring() -> None:
    # Tomato: 8 days at 20 C (Harrington & Minges 1954).
    sown = batch("tomato", SILL, Stage.SOWN, 24, sown_on=date(2026, 2, 20))
    assert now(sown, date(2026, 2, 27)).stage is Stage.SOWN
    assert now(sown, date(2026, 2, 28)) == Reached(Stage.SEEDLING, Basis.DAYS, date(2026, 2, 28))


def test_seedlings_in_trays_wait_for_hands_and_never_pot_themselves_on() -> None:
    trays = batch("tomato", GREENHOUSE, Stage.SEEDLING, 24, sown_on=date(2026, 2, 20))
    assert now(trays, date(2026, 6, 20)).basis is Basis.DONE


def test_potatoes_are_through_the_soil_three_weeks_after_planting() -> None:
    # Planting to emergence usually ends at 3 weeks: University of Nebraska-Lincoln, CropWatch (read 2026-11-25).
    tubers = batch("potato-maincrop", LONG_BED, Stage.SOWN, 30, planted_on=SOWN_ON)
    assert now(tubers, date(2026, 4, 21)).stage is Stage.SOWN
    assert now(tubers, date(2026, 4, 22)).stage is Stage.GROWING


def test_frost_calls_for_potatoes_that_have_come_through_and_not_for_those_below() -> None:
    tubers = batch("potato-maincrop", LONG_BED, Stage.SOWN, 30, planted_on=SOWN_ON)
    assert tonight(Story(date(2026, 4, 20), (tubers,), FROST)) == []
    assert tonight(Story(date(2026, 5, 6), (tubers,), FROST)) == [("potato-maincrop", "earth up")]


def test_direct_sown_rows_fill_out_flower_and_ripen_without_a_word_from_anybody() -> None:
    beans = batch("french-bean", CALLUMS_BED, Stage.SOWN, 60, sown_on=date(2026, 5, 20))
    stages = [now(beans, date(2026, 5, 20) + timedelta(days=n)).stage for n in range(120)]
    assert list(dict.fromkeys(stages)) == [
        Stage.SOWN, Stage.SEEDLING, Stage.GROWING, Stage.FLOWERING, Stage.READY,
    ]  # fmt: skip


def test_leaves_never_count_as_flowering() -> None:
    kale = batch("kale", CALLUMS_BED, Stage.GROWING, 8, sown_on=date(2026, 5, 1), planted_on=date(2026, 6, 10))
    assert Stage.FLOWERING not in {now(kale, date(2026, 6, 10) + timedelta(days=n)).stage for n in range(200)}


def test_first_earlies_count_as_ready_ten_weeks_after_planting() -> None:
    # Lift first earlies after 10-12 weeks (RHS); the season opens in late May or June: common practice, no source.
    pots = batch("potato-first-early", POT, Stage.GROWING, 3, planted_on=date(2026, 4, 10))
    assert now(pots, date(2026, 6, 18)).stage is Stage.GROWING
    assert now(pots, date(2026, 6, 19)) == Reached(Stage.READY, Basis.DAYS, date(2026, 6, 19))


def test_heat_decides_where_it_is_known_for_every_day() -> None:
    # Simple degree days (mean less base, floor 0: Peet, NCSU): at 15 C over a base of 5 C, 300 take 30 days.
    pea = crops()["pea"]
    pea = replace(pea, harvest=replace(pea.harvest, base_c=5.0, degree_days=300.0, window=((1, 1), (12, 31))))
    sown = batch("pea", LONG_BED, Stage.GROWING, 80, sown_on=SOWN_ON)
    air = Warmth(air_c={SOWN_ON + timedelta(days=n): 15.0 for n in range(90)})
    place = TEASEL_LANE.place_of(sown)
    assert stage_now(sown, pea, place, date(2026, 5, 1), air) == Reached(Stage.READY, Basis.WARMTH, date(2026, 5, 1))
    assert stage_now(sown, pea, place, date(2026, 4, 30), air).stage is not Stage.READY
    assert stage_now(sown, pea, place, date(2026, 5, 1), Warmth()).stage is not Stage.READY


def test_trays_are_not_hardened_by_the_mere_passing_of_days() -> None:
    trays = batch("tomato", STANDING, Stage.HARDENING, 24, hardening_on=date(2026, 5, 10))
    assert now(trays, date(2026, 6, 20)) == Reached(Stage.HARDENING, Basis.DONE)


def test_what_was_recorded_stands() -> None:
    assert now(batch("kale", LONG_BED, Stage.READY, 8), date(2026, 5, 1)) == Reached(Stage.READY, Basis.DONE)


def test_what_somebody_saw_is_not_so_far_is_left_alone_for_a_week() -> None:
    sown = batch("carrot", LONG_BED, Stage.SOWN, 100, sown_on=SOWN_ON, stage_on=date(2026, 4, 18))
    assert now(sown, date(2026, 4, 24), soil(10.0)).stage is Stage.SOWN
    assert now(sown, date(2026, 4, 25), soil(10.0)).stage is Stage.SEEDLING


def test_strawberries_flower_and_fruit_with_the_season_and_last_years_fruit_is_over() -> None:
    picked = batch("strawberry", LONG_BED, Stage.READY, 30, planted_on=date(2024, 8, 20), stage_on=date(2025, 6, 20))
    assert now(picked, date(2026, 1, 20)) == Reached(Stage.GROWING, Basis.SEASON)
    assert now(picked, date(2026, 5, 10)).stage is Stage.FLOWERING
    assert now(picked, date(2026, 6, 10)).stage is Stage.READY
    assert now(picked, date(2026, 9, 10)).stage is Stage.GROWING


def test_strawberries_that_somebody_saw_ripe_before_their_season_are_ripe() -> None:
    seen = batch("strawberry", LONG_BED, Stage.READY, 30, planted_on=date(2024, 8, 20), stage_on=date(2026, 5, 20))
    assert now(seen, date(2026, 5, 21)) == Reached(Stage.READY, Basis.DONE)


def test_strawberry_blossom_is_fleeced_in_may_and_the_same_plants_are_left_alone_in_march() -> None:
    plants = batch("strawberry", CALLUMS_BED, Stage.GROWING, 30, planted_on=date(2024, 8, 20))
    hard = Weather((-4.0,), days_c=(12.0,))
    assert tonight(Story(date(2026, 5, 10), (plants,), hard)) == [("strawberry", "cover")]
    assert tonight(Story(date(2026, 3, 10), (plants,), hard)) == []


def test_bought_plants_are_taken_to_be_as_old_as_plants_that_are_set_out() -> None:
    courgettes = batch("courgette", CALLUMS_BED, Stage.GROWING, 4, planted_on=date(2026, 6, 1))
    assert now(courgettes, date(2026, 6, 2)).stage is Stage.GROWING
    assert now(courgettes, date(2026, 8, 1)).stage is Stage.READY


def test_the_week_cold_and_the_wall_of_leaves_see_the_same_stage() -> None:
    beans = batch("runner-bean", CALLUMS_BED, Stage.GROWING, 24, sown_on=date(2026, 5, 1), planted_on=date(2026, 5, 30))
    story = Story(date(2026, 8, 10), (beans,), Weather((14.0,), days_c=(22.0,)))
    (seen,) = story.garden.plantings
    assert seen.stage is Stage.READY
    assert JobKind.HARVEST in [job.kind for job in story.week(CALLUM).jobs]


def test_what_comes_next_is_known_with_its_day() -> None:
    sown = batch("carrot", LONG_BED, Stage.SOWN, 100, sown_on=SOWN_ON)
    carrot, bed = crops()["carrot"], TEASEL_LANE.place_of(sown)
    found = coming(sown, carrot, bed, date(2026, 4, 5), soil(10.0))
    assert found == Reached(Stage.SEEDLING, Basis.WARMTH, date(2026, 4, 18))
    trays = batch("tomato", GREENHOUSE, Stage.POTTED_ON, 6)
    assert coming(trays, crops()["tomato"], TEASEL_LANE.place_of(trays), SOWN_ON) is None


@pytest.mark.parametrize("key", sorted(crops()))
def test_every_crop_moves_on_and_never_back_within_a_year(key: str) -> None:
    crop, order = crops()[key], list(Stage)
    one = batch(key, CALLUMS_BED, Stage.SOWN, 10, sown_on=SOWN_ON)
    reached = [now(one, SOWN_ON + timedelta(days=n)).stage for n in range(0, 250, 5)]
    if crop.life.value != "perennial":
        assert reached == sorted(reached, key=order.index)
    assert reached[-1] is not Stage.SOWN


def test_a_garden_without_news_is_the_same_garden() -> None:
    assert reckoned(TEASEL_LANE, crops(), SOWN_ON) == (TEASEL_LANE, {})
