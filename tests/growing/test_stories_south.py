"""Stories from south of the equator, where January is summer: the same work, half a year later.

A grower's judgement there (common practice, no source), unless a source is named. The garden and its clock are those of
the other stories; only the rules are turned.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.core.calendar.proposal import propose
from bot.core.finding import Finding
from bot.core.garden.snapshot import Garden, Planting, Stage
from bot.core.growing.seasons import growing_days, growing_name, growing_year, in_window, turned
from bot.core.growing.stages import reckoned
from bot.core.growing.succession import Where, fill_gap, sowing_places
from bot.core.warnings.hazards import findings
from tests.support.stories import LONG_BED, TEASEL_LANE, Story, Weather, batch, crops

SOUTH = {key: turned(crop) for key, crop in crops().items()}


def garden(plants: Planting, on: date) -> Garden:
    recorded = replace(TEASEL_LANE, plantings=(replace(plants, id=1),), place_by_id={})
    return reckoned(recorded, SOUTH, on)[0]


def called(on: date, plants: Planting, weather: Weather) -> tuple[Finding, ...]:
    story = Story(on, (plants,), weather)
    return findings(garden(plants, on), SOUTH, story.nights, story.forecast, story.now)


@pytest.mark.parametrize("key", sorted(SOUTH))
def test_turned_round_twice_a_rule_is_the_northern_one(key: str) -> None:
    """But for the last days of long months: 31 August becomes 28 February, and comes back as 28 August."""
    there_and_back, here = turned(SOUTH[key]), crops()[key]
    assert not there_and_back.south and SOUTH[key].south
    (month, day), _ = there_and_back.harvest.window
    assert (month, day) == here.harvest.window[0] or here.harvest.window[0][1] > 28
    assert SOUTH[key].cold.hardened_c == here.cold.hardened_c and SOUTH[key].harvest.days == here.harvest.days


def test_broad_beans_are_sown_in_april_and_may_to_stand_the_winter() -> None:
    """In New Zealand they are planted in autumn for the end of winter (Newcombe, New Zealand Herald, read 2026-11-27)."""
    beans = SOUTH["broad-bean"]
    assert Where.OUTDOORS in {one.where for one in sowing_places(beans, date(2026, 4, 25))}
    assert Where.OUTDOORS not in {one.where for one in sowing_places(beans, date(2026, 1, 15))}


def test_tomatoes_are_raised_from_september_and_out_from_late_november() -> None:
    tomato = SOUTH["tomato"]
    assert {one.where for one in sowing_places(tomato, date(2026, 9, 15))} == {Where.INDOORS}
    assert sowing_places(tomato, date(2026, 4, 15)) == ()
    assert tomato.planting.out is not None and in_window(date(2026, 12, 5), tomato.planting.out)


@pytest.mark.parametrize("crop", ["leek", "kale", "brussels-sprouts", "swede", "garlic", "cabbage-winter"])
def test_what_stands_a_july_frost_calls_nobody(crop: str) -> None:
    """July is their January: leeks and kale have stood out since autumn."""
    plants = batch(crop, LONG_BED, Stage.GROWING, 40, sown_on=date(2026, 1, 10), planted_on=date(2026, 3, 10))
    assert called(date(2026, 7, 10), plants, Weather((-5.0,), (7.0,))) == ()


def test_spring_planted_onions_of_september_are_not_taken_for_wintered_ones() -> None:
    onions = batch("onion-set", LONG_BED, Stage.GROWING, 300, planted_on=date(2026, 8, 25))
    assert called(date(2026, 9, 18), onions, Weather((-8.0,), (3.0,))) != ()


def test_courgettes_of_april_are_picked_before_the_first_frost() -> None:
    plants = batch(
        "courgette", LONG_BED, Stage.READY, 4,
        sown_on=date(2025, 11, 1), planted_on=date(2025, 12, 1), stage_on=date(2026, 2, 10),
    )  # fmt: skip
    assert {one.task.value for one in called(date(2026, 4, 10), plants, Weather((-2.0,), (12.0,)))} == {"pick or lift"}


def test_apples_in_october_bloom_are_covered_and_in_april_they_are_not() -> None:
    apples = batch("apple", LONG_BED, Stage.GROWING, 2, planted_on=date(2021, 6, 1), height_cm=160.0)
    frost = Weather((-2.0,), (11.0,))
    assert [one.task.value for one in called(date(2026, 10, 28), apples, frost)] == ["cover"]
    assert {one.task.value for one in called(date(2026, 4, 20), apples, frost)} <= {"pick or lift"}, (
        "ripe, not in bloom"
    )


def test_set_currants_are_covered_in_a_late_november_frost() -> None:
    bushes = batch("blackcurrant", LONG_BED, Stage.GROWING, 4, planted_on=date(2022, 5, 1))
    assert [one.task.value for one in called(date(2026, 11, 22), bushes, Weather((-1.5,), (12.0,)))] == ["cover"]


def test_strawberries_ripen_at_the_end_of_the_year() -> None:
    plants = batch("strawberry", LONG_BED, Stage.GROWING, 30, planted_on=date(2025, 2, 20))
    assert garden(plants, date(2026, 12, 5)).plantings[0].stage is Stage.READY
    assert garden(plants, date(2026, 6, 5)).plantings[0].stage is Stage.GROWING


def test_pumpkins_ripen_in_march_and_are_cut_before_frost() -> None:
    plants = batch("pumpkin", LONG_BED, Stage.GROWING, 4, sown_on=date(2025, 11, 1), planted_on=date(2025, 12, 1))
    assert garden(plants, date(2026, 4, 3)).plantings[0].stage is Stage.READY
    assert {one.task.value for one in called(date(2026, 4, 3), plants, Weather((-1.0,), (12.0,)))} == {"pick or lift"}


def test_a_gap_in_january_is_filled_with_what_is_quick() -> None:
    found = {one.crop for one in fill_gap(SOUTH, date(2026, 1, 15), date(2026, 4, 10))}
    assert {"radish", "lettuce"} <= found and "broad-bean" not in found


def test_garlic_goes_in_at_the_shortest_days_of_june() -> None:
    assert Where.OUTDOORS in {one.where for one in sowing_places(SOUTH["garlic"], date(2026, 5, 10))}


def test_daffodils_are_planted_in_march() -> None:
    assert [one.where for one in sowing_places(SOUTH["daffodil"], date(2026, 4, 1))] == [Where.OUTDOORS]


def test_pests_are_watched_for_in_the_southern_season() -> None:
    blight = next(one for one in SOUTH["potato-maincrop"].watch if one.what.value == "blight")
    assert in_window(date(2026, 1, 20), blight.season) and not in_window(date(2026, 7, 20), blight.season)


def test_a_calendar_proposed_from_turned_rules_sows_carrots_in_the_southern_spring() -> None:
    entries = propose([SOUTH["carrot"]], None, date(2026, 7, 1)).entries
    sown = next(one for one in entries if one.kind.value == "sow")
    assert date(2026, 8, 1) <= sown.first_on <= date(2026, 11, 30)


def test_one_summer_of_the_south_is_one_season_and_every_day_belongs_to_one() -> None:
    """Potatoes set in November and cabbages after them in January stand in one season: no rest between them is asked for."""
    assert growing_year(date(2025, 11, 20), south=True) == growing_year(date(2026, 1, 20), south=True) == 2025
    assert growing_name(2025, south=True) == "2025/26" and growing_name(2099, south=True) == "2099/00"
    for south in (False, True):
        for n in range(800):
            on = date(2025, 1, 1) + timedelta(days=n)
            first_on, last_on = growing_days(growing_year(on, south=south), south=south)
            assert first_on <= on <= last_on
