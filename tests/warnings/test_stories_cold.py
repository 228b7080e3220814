"""Stories of cold nights that need something done: an experienced grower's judgement (common practice, no source).

Damage thresholds are those of the crop rules; nights are clear and still unless the story says otherwise.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.core.finding import Finding, Severity, TaskKind
from bot.core.garden.snapshot import Cover, Stage
from bot.core.warnings.hazard_cold import open_ground_c
from bot.core.warnings.hazards import may_stay
from tests.support.stories import (
    CALLUMS_BED,
    FARAHS_BED,
    GREENHOUSE,
    LONG_BED,
    PLACES,
    POT,
    POT_2,
    SILL,
    STANDING,
    TUNNEL,
    Story,
    Weather,
    batch,
    crops,
    tonight,
)

LATE_MAY = date(2026, 5, 24)
FROST = Weather((1.0,), days_c=(17.0,))
BEANS = batch("french-bean", CALLUMS_BED, Stage.GROWING, 30, height_cm=12.0)


def first(story: Story) -> Finding:
    return next(one for one in story.findings if one.hazard.value == "cold")


def test_french_beans_that_are_out_are_fleeced_before_a_late_may_frost() -> None:
    story = Story(LATE_MAY, (BEANS,), FROST)
    assert tonight(story) == [("french-bean", "cover")]
    assert first(story).cover in (Cover.FLEECE, Cover.DOUBLE_FLEECE)


def test_covering_is_due_by_sunset_of_the_same_day() -> None:
    story = Story(LATE_MAY, (BEANS,), FROST)
    assert first(story).due_at == story.nights[0].sunset_at
    assert first(story).due_at < story.nights[0].coldest_at


def test_courgettes_are_fleeced_too() -> None:
    story = Story(LATE_MAY, (batch("courgette", CALLUMS_BED, Stage.GROWING, 4),), FROST)
    assert tonight(story) == [("courgette", "cover")]


def test_short_potato_shoots_are_earthed_over_and_not_fleeced() -> None:
    story = Story(date(2026, 5, 5), (batch("potato-maincrop", LONG_BED, Stage.GROWING, 30, height_cm=10.0),), FROST)
    assert tonight(story) == [("potato-maincrop", "earth up")]
    assert first(story).enough


def test_tall_potato_tops_are_too_tall_to_bury_and_are_fleeced() -> None:
    story = Story(LATE_MAY, (batch("potato-maincrop", LONG_BED, Stage.GROWING, 30, height_cm=40.0),), FROST)
    assert tonight(story) == [("potato-maincrop", "cover")]


def test_pots_of_potatoes_go_into_the_tunnel_and_a_heavy_pot_takes_two() -> None:
    pots = tuple(batch("potato-first-early", place, Stage.GROWING, 3, height_cm=30.0) for place in (POT, POT_2))
    story = Story(date(2026, 5, 5), pots, Weather((-1.0,), days_c=(14.0,)))
    assert tonight(story) == [("potato-first-early", "bring in")] * 2
    assert first(story).target_place_id in (TUNNEL, GREENHOUSE)
    assert first(story).people == 2


def test_trays_of_tomatoes_standing_out_are_carried_in_rather_than_fleeced() -> None:
    story = Story(LATE_MAY, (batch("tomato", STANDING, Stage.HARDENING, 24, hardening_on=date(2026, 5, 18)),), FROST)
    assert tonight(story) == [("tomato", "bring in")]


def test_when_no_cold_house_is_warm_enough_trays_go_to_the_windowsill() -> None:
    story = Story(
        date(2026, 5, 18), (batch("tomato", STANDING, Stage.HARDENING, 24),), Weather((-4.0,), days_c=(12.0,))
    )
    assert first(story).task is TaskKind.BRING_IN
    assert first(story).target_place_id == SILL


def test_tomatoes_under_cold_glass_need_help_on_a_night_of_minus_four() -> None:
    story = Story(date(2026, 4, 22), (batch("tomato", GREENHOUSE, Stage.POTTED_ON, 24),), Weather((-4.0,)))
    assert [crop for crop, _ in tonight(story)] == ["tomato"]


def test_strawberries_in_flower_are_fleeced_when_their_leaves_would_not_need_it() -> None:
    flowering = Story(date(2026, 5, 4), (batch("strawberry", FARAHS_BED, Stage.FLOWERING, 30),), Weather((-4.0,)))
    in_leaf = Story(date(2026, 4, 4), (batch("strawberry", FARAHS_BED, Stage.GROWING, 30),), Weather((-4.0,)))
    assert tonight(flowering) == [("strawberry", "cover")]
    assert tonight(in_leaf) == []


def test_even_spring_cabbages_are_covered_in_the_hardest_frost_and_nobody_is_promised_that_it_is_enough() -> None:
    story = Story(
        date(2026, 2, 10), (batch("cabbage-spring", FARAHS_BED, Stage.GROWING, 24),), Weather((-14.0,), (-3.0,))
    )
    assert tonight(story) == [("cabbage-spring", "cover")]
    assert first(story).cover is Cover.DOUBLE_FLEECE
    assert not first(story).enough


def test_basil_in_the_open_is_the_first_to_need_cover_in_autumn() -> None:
    others = (batch("kale", FARAHS_BED, Stage.READY), batch("carrot", FARAHS_BED, Stage.READY, 100))
    story = Story(date(2026, 9, 20), (batch("basil", LONG_BED, Stage.READY, 20), *others), Weather((3.0,), (16.0,)))
    assert tonight(story) == [("basil", "cover")]


def test_the_colder_the_night_the_graver_the_warning() -> None:
    def severity(night_c: float) -> Severity:
        return first(Story(LATE_MAY, (BEANS,), Weather((night_c,), days_c=(17.0,)))).severity

    order = list(Severity)
    assert order.index(severity(3.0)) < order.index(severity(1.0)) <= order.index(severity(-3.0))


def test_a_slight_risk_to_one_row_is_not_worth_a_trip_but_a_trip_that_serves_many_is() -> None:
    doubtful = Weather((4.0,), days_c=(17.0,))
    alone = Story(LATE_MAY, (BEANS,), doubtful)
    many = Story(LATE_MAY, (BEANS,) * 6, doubtful)
    assert tonight(alone) == []
    assert len(tonight(many)) == 6


def test_on_a_mixed_bed_only_the_tender_are_named_and_the_hardy_may_stay() -> None:
    hardy = (batch("onion-set", FARAHS_BED, Stage.GROWING, 80), batch("pea", LONG_BED, Stage.GROWING, 60))
    story = Story(LATE_MAY, (BEANS, *hardy, batch("cabbage-summer", LONG_BED, Stage.GROWING, 12)), FROST)
    assert tonight(story) == [("french-bean", "cover")]
    stay = may_stay(story.garden, crops(), story.findings)
    assert {one.crop for one in stay} == {"onion-set", "pea", "cabbage-summer"}


def test_why_names_the_forecast_the_place_the_threshold_the_odds_and_the_cost() -> None:
    codes = [step.code.value for step in first(Story(LATE_MAY, (BEANS,), FROST)).chain]
    assert codes[0] == "forecast"
    assert codes[-4:] == ["place", "threshold", "odds", "cost loss"]


@pytest.mark.parametrize(
    ("kg", "task", "people"), [(40.0, TaskKind.BRING_IN, 2), (60.0, TaskKind.BRING_IN, 2), (90.0, TaskKind.COVER, 1)]
)
def test_a_tub_goes_in_on_a_trolley_and_what_is_too_heavy_for_that_is_covered(
    kg: float, task: TaskKind, people: int
) -> None:
    """Limits for two at a trolley: tests/people/test_lifting.py."""
    places = tuple(replace(one, wet_kg=kg) if one.id == POT else one for one in PLACES)
    tub = batch("strawberry", POT, Stage.FLOWERING, 4, height_cm=15.0)
    found = first(Story(date(2026, 5, 5), (tub,), Weather((-4.0,), days_c=(14.0,)), places=places))
    assert (found.task, found.people) == (task, people)


def _pictured_c(story: Story) -> list[float | None]:
    garden = story.garden
    return [open_ground_c(one, garden.place_of(one), crops()[one.crop], story.nights) for one in garden.plantings]


def test_the_picture_of_the_nights_leaves_out_peppers_on_the_sill_and_beans_under_their_cover() -> None:
    """The ground of the open plot says nothing of what stands indoors, in a house or under fleece."""
    sown = batch("pepper", SILL, Stage.SEEDLING, 12), batch("tomato", TUNNEL, Stage.GROWING, 6), BEANS
    assert _pictured_c(Story(LATE_MAY, sown, FROST)) == [None, None, crops()["french-bean"].cold.hardened_c]
    fleeced = tuple(replace(one, cover=Cover.FLEECE) if one.id == CALLUMS_BED else one for one in PLACES)
    assert _pictured_c(Story(LATE_MAY, (BEANS,), FROST, places=fleeced)) == [None]


def test_the_picture_of_the_nights_has_leeks_in_january_at_what_they_winter_at() -> None:
    """They stand through ordinary winters: a line at the degree of their summer would be crossed every night."""
    leeks = batch("leek", LONG_BED, Stage.READY, 40, sown_on=date(2026, 4, 1))
    (pictured_c,) = _pictured_c(Story(date(2027, 1, 12), (leeks,), Weather((-6.0,), days_c=(1.0,))))
    assert pictured_c is not None and pictured_c < -10.0
