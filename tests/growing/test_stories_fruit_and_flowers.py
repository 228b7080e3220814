"""Stories of fruit trees, vines, flowers for the vase, green manures and warm-country vegetables through the year.

What a grower would do and why stands in each; an experienced grower's judgement (common practice, no source), unless a
source is named. The ground lies some degrees below the air on a clear night.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.core.finding import Hazard, Severity, TaskKind
from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.seasons import in_window
from bot.core.growing.succession import Where, fill_gap, sowing_places
from bot.core.growing.week import JobKind
from bot.core.warnings.hazard_cold import killed
from tests.support.stories import (
    CALLUM,
    CALLUMS_BED,
    FRAME,
    GREENHOUSE,
    LONG_BED,
    POT,
    SILL,
    TUNNEL,
    Story,
    Weather,
    batch,
    crops,
    tonight,
)

PLANTED = date(2021, 11, 20)
TREES = ("apple", "pear", "plum", "cherry", "apricot", "peach")


def tree(crop: str, **known: object) -> Planting:
    return batch(crop, LONG_BED, Stage.GROWING, 2, planted_on=PLANTED, **known)  # type: ignore[arg-type]


def in_bloom(crop: str) -> date:
    flowering = crops()[crop].harvest.flowering
    assert flowering is not None
    (month, day), _ = flowering
    return date(2026, month, day + 2)


# -- fruit trees: 10 % and 90 % kill by stage (Pennsylvania State University Extension; Michigan State University)


@pytest.mark.parametrize("crop", [*TREES, "hazel", "grape", "blackberry"])
def test_a_tree_at_rest_is_left_alone_in_an_ordinary_winter(crop: str) -> None:
    """Its wood stands far colder nights than these: nobody walks out."""
    assert Story(date(2026, 1, 12), (tree(crop),), Weather((-8.0,), (1.0,))).findings == ()


@pytest.mark.parametrize("crop", TREES)
def test_small_trees_in_bloom_are_fleeced_before_a_frost(crop: str) -> None:
    """One open flower in ten is lost at about -2 C: a fan or a bush tree is fleeced by dark, and the fleece off by day."""
    story = Story(in_bloom(crop), (tree(crop, height_cm=180.0),), Weather((-2.0,), (11.0,)))
    assert tonight(story) == [(crop, "cover")]


@pytest.mark.parametrize("crop", TREES)
def test_bloom_in_a_mild_night_is_left_to_the_bees(crop: str) -> None:
    assert Story(in_bloom(crop), (tree(crop),), Weather((5.0,), (14.0,))).findings == ()


def test_nobody_is_sent_up_a_ladder_to_cover_a_tall_apple_tree() -> None:
    story = Story(in_bloom("apple"), (tree("apple", height_cm=420.0),), Weather((-3.0,), (11.0,)))
    assert story.findings == ()


@pytest.mark.parametrize(("night_c", "severity"), [(-1.0, Severity.SLIGHT), (-7.0, Severity.SEVERE)])
def test_a_night_that_takes_nine_flowers_in_ten_is_told_apart_from_one_that_takes_one(
    night_c: float, severity: Severity
) -> None:
    (found,) = Story(in_bloom("pear"), (tree("pear", height_cm=150.0),), Weather((night_c,), (10.0,))).findings
    assert found.severity in (
        (Severity.SEVERE,) if severity is Severity.SEVERE else (Severity.SLIGHT, Severity.MODERATE)
    )


def test_apple_buds_in_green_stand_what_open_flowers_do_not() -> None:
    """Three weeks before bloom they are at half-inch green and stand 23 F; open flowers stand 28 F."""
    night = Weather((-1.0,), (11.0,))
    assert Story(date(2026, 4, 1), (tree("apple"),), night).findings == ()
    assert Story(in_bloom("apple"), (tree("apple", height_cm=150.0),), night).findings != ()


def test_set_plums_are_covered_in_a_may_frost() -> None:
    """Fruitlets are lost at 28 F, as flowers are, though the blossom is over."""
    plums = tree("plum", height_cm=160.0)
    assert tonight(Story(date(2026, 5, 9), (plums,), Weather((-2.0,), (11.0,)))) == [("plum", "cover")]


def test_apricots_in_march_are_the_first_to_be_called_for() -> None:
    """They flower in early spring, when apples are still at rest."""
    both = (tree("apricot", height_cm=170.0), tree("apple", height_cm=170.0))
    assert {crop for crop, _ in tonight(Story(date(2026, 3, 14), both, Weather((-4.0,), (8.0,))))} == {"apricot"}


def test_apples_that_are_ripe_are_no_frost_emergency_in_september() -> None:
    story = Story(date(2026, 9, 20), (replace(tree("apple"), stage=Stage.READY),), Weather((3.0,), (15.0,)))
    assert story.findings == ()


@pytest.mark.parametrize("crop", ["apple", "pear", "grape"])
def test_ripe_fruit_left_on_the_tree_is_picked_before_a_frost_and_not_wrapped(crop: str) -> None:
    ripe = replace(tree(crop), stage=Stage.READY)
    assert tonight(Story(date(2026, 10, 20), (ripe,), Weather((-4.0,), (8.0,)))) == [(crop, "pick or lift")]


@pytest.mark.parametrize(("on", "called"), [(date(2026, 2, 10), False), (date(2026, 5, 5), True)])
def test_a_vines_young_shoots_are_covered_and_its_wood_is_not(on: date, called: bool) -> None:
    """FAO ENRS 10, Table 4.8: woody vines -20.6 C, second to fourth leaf -2.2 C."""
    assert bool(Story(on, (tree("grape", height_cm=150.0),), Weather((-3.0,), (9.0,))).findings) is called


def test_a_fig_shoot_of_may_is_covered() -> None:
    assert tonight(Story(date(2026, 5, 6), (tree("fig", height_cm=140.0),), Weather((-1.0,), (12.0,)))) == [
        ("fig", "cover")
    ]


def test_hazel_catkins_in_february_call_nobody() -> None:
    """Open flowers stood 16 F of air unharmed (Slate 1930, via the Northern Nut Growers Association, 1948)."""
    assert Story(date(2026, 2, 12), (tree("hazel"),), Weather((-6.0,), (3.0,))).findings == ()


def test_cherries_are_netted_against_birds_before_they_are_ripe() -> None:
    cherries = replace(tree("cherry"), place_id=CALLUMS_BED)
    jobs = Story(date(2026, 6, 3), (cherries,), Weather((9.0,), (18.0,))).week(CALLUM).jobs
    assert ("birds", JobKind.NET) in [(one.detail, one.kind) for one in jobs]


# -- flowers for the vase


def flowers(crop: str, place_id: int = CALLUMS_BED) -> Planting:
    return batch(
        crop,
        place_id,
        Stage.READY,
        12,
        sown_on=date(2026, 4, 5),
        planted_on=date(2026, 5, 25),
        stage_on=date(2026, 8, 1),
    )


def test_dahlias_are_cut_before_the_frost_that_ends_them() -> None:
    """The flowers go at freezing; the tubers in the soil do not, so they are not lifted in the dark."""
    story = Story(date(2026, 10, 27), (flowers("dahlia"),), Weather((-5.0,), (8.0,)))
    assert tonight(story) == [("dahlia", "pick or lift")]
    assert crops()["dahlia"].harvest.before_frost == "cut-flowers"


def test_dahlias_that_frost_blackened_are_not_said_to_be_dead() -> None:
    story = Story(date(2026, 11, 2), (flowers("dahlia"),), Weather((2.0,), (9.0,)))
    assert killed(story.garden, crops(), {date(2026, 10, 28): -4.0}) == {}


def test_sunflowers_and_dahlias_are_staked_against_a_gale() -> None:
    gale = Weather((10.0, 10.0), (18.0,), wind_ms=5.0, gusts_ms=(10.0, 24.0))
    plants = (replace(flowers("dahlia"), height_cm=110.0), replace(flowers("sunflower", LONG_BED), height_cm=180.0))
    found = Story(date(2026, 8, 20), plants, gale).findings
    assert {one.place_id for one in found if one.hazard is Hazard.WIND and one.task is TaskKind.TIE} == {
        CALLUMS_BED,
        LONG_BED,
    }


def test_sweet_peas_of_october_winter_in_the_cold_frame_without_a_call() -> None:
    seedlings = batch("sweet-pea", FRAME, Stage.SEEDLING, 40, sown_on=date(2025, 10, 18))
    assert Story(date(2026, 1, 12), (seedlings,), Weather((-4.0,), (3.0,))).findings == ()


def test_sweet_peas_are_sown_in_october_and_again_in_spring() -> None:
    places = {
        on: {one.where for one in sowing_places(crops()["sweet-pea"], on)}
        for on in (date(2026, 10, 20), date(2026, 4, 1))
    }
    assert all(Where.UNDER_COVER in found for found in places.values())


def test_daffodils_and_tulips_come_through_a_winter_and_a_spring_frost() -> None:
    bulbs = tuple(
        batch(crop, LONG_BED, Stage.GROWING, 50, planted_on=date(2025, 10, 25)) for crop in ("daffodil", "tulip")
    )
    assert Story(date(2026, 3, 20), bulbs, Weather((-5.0,), (7.0,))).findings == ()


def test_flowers_and_green_manures_are_offered_to_nobody_who_wants_to_eat_from_a_gap() -> None:
    kinds = {crops()[one.crop].kind for one in fill_gap(crops(), date(2026, 6, 1), date(2026, 10, 15))}
    assert kinds and not {kind.value for kind in kinds} & {"flower", "green manure"}


# -- green manures: frost may have them


@pytest.mark.parametrize(
    "crop", ["phacelia", "mustard-manure", "winter-tares", "grazing-rye", "field-bean", "crimson-clover"]
)
def test_nobody_goes_out_at_night_for_a_green_manure(crop: str) -> None:
    sown = batch(crop, LONG_BED, Stage.GROWING, 400, sown_on=date(2026, 8, 28))
    assert Story(date(2026, 11, 20), (sown,), Weather((-9.0,), (2.0,))).findings == ()


def test_rye_may_be_sown_when_the_potatoes_are_out() -> None:
    assert [one.where for one in sowing_places(crops()["grazing-rye"], date(2026, 10, 10))] == [Where.OUTDOORS]


# -- vegetables of warmer countries


@pytest.mark.parametrize(
    "crop", ["okra", "bitter-gourd", "bottle-gourd", "yardlong-bean", "sweet-potato", "lemongrass"]
)
def test_warm_country_crops_under_plastic_are_covered_in_a_cold_night_of_may(crop: str) -> None:
    """A tunnel keeps off little: at freezing outside they are lost (Dawling 2012: okra, cowpeas, sweet potatoes at 32 F)."""
    plants = batch(crop, TUNNEL, Stage.GROWING, 12, planted_on=date(2026, 5, 20))
    assert tonight(Story(date(2026, 5, 24), (plants,), Weather((-3.0,), (13.0,)))) == [(crop, "cover")]


def test_okra_seedlings_stay_on_the_sill_in_april() -> None:
    seedlings = batch("okra", SILL, Stage.SEEDLING, 12, sown_on=date(2026, 4, 5))
    story = Story(date(2026, 4, 22), (seedlings,), Weather((2.0, 2.0, 2.0, 3.0, 3.0), (11.0,)))
    assert story.advice[0].verdict.value in ("hold", "pot on")


def test_sweet_potatoes_are_lifted_before_the_frost_blackens_their_vines() -> None:
    """They are harvested no later than the first freeze, and cured warm (Byers, University of Missouri, 2013)."""
    roots = batch("sweet-potato", LONG_BED, Stage.READY, 20, planted_on=date(2026, 6, 5), stage_on=date(2026, 10, 5))
    assert tonight(Story(date(2026, 10, 12), (roots,), Weather((-1.0,), (11.0,)))) == [("sweet-potato", "pick or lift")]
    assert crops()["sweet-potato"].harvest.before_frost == "lift-cure-warm"


def test_callaloo_at_the_end_of_its_season_is_picked_before_frost() -> None:
    leaves = batch("amaranth", LONG_BED, Stage.READY, 30, sown_on=date(2026, 6, 10), stage_on=date(2026, 9, 20))
    assert tonight(Story(date(2026, 10, 3), (leaves,), Weather((-2.0,), (11.0,)))) == [("amaranth", "pick or lift")]


def test_chinese_cabbages_stand_a_light_frost_and_are_cut_before_a_hard_one() -> None:
    """They die at about 25 F (Dawling 2012)."""
    heads = batch("chinese-cabbage", LONG_BED, Stage.READY, 20, sown_on=date(2026, 7, 25), stage_on=date(2026, 10, 10))
    assert Story(date(2026, 10, 27), (heads,), Weather((2.0,), (11.0,))).findings == ()
    assert tonight(Story(date(2026, 10, 27), (heads,), Weather((-5.0,), (6.0,)))) == [
        ("chinese-cabbage", "pick or lift")
    ]


def test_mooli_stays_in_the_soil_through_a_frost_that_takes_its_leaves() -> None:
    """Daikon was sound after 14 F (Dawling 2014): it may wait, and is lifted before a night like that."""
    roots = batch("mooli", LONG_BED, Stage.READY, 40, sown_on=date(2026, 7, 25), stage_on=date(2026, 10, 5))
    assert Story(date(2026, 10, 27), (roots,), Weather((-3.0,), (8.0,))).findings == ()
    assert tonight(Story(date(2026, 11, 27), (roots,), Weather((-12.0,), (-1.0,)))) == [("mooli", "pick or lift")]


def test_a_potted_lemongrass_comes_in_before_the_first_cold_night() -> None:
    pot = batch("lemongrass", POT, Stage.GROWING, 1, planted_on=date(2026, 6, 20))
    found = Story(date(2026, 9, 28), (pot,), Weather((-1.0,), (13.0,))).findings
    assert {one.task for one in found if one.planting_id} <= {
        TaskKind.BRING_IN,
        TaskKind.CLOSE,
        TaskKind.PICK,
        TaskKind.COVER,
    } and found


def test_oca_is_not_given_up_when_frost_takes_its_leaves() -> None:
    """Its tubers swell after the frost: they are left two weeks (growers' experience)."""
    plants = batch("oca", LONG_BED, Stage.GROWING, 12, planted_on=date(2026, 5, 20))
    story = Story(date(2026, 11, 20), (plants,), Weather((1.0,), (8.0,)))
    assert killed(story.garden, crops(), {date(2026, 11, 10): -4.0}) == {}
    assert not in_window(date(2026, 11, 10), crops()["oca"].harvest.window)


def test_peppers_in_a_cold_greenhouse_and_dahlias_outside_are_one_evening_each_with_its_own_task() -> None:
    story = Story(
        date(2026, 10, 20),
        (flowers("dahlia"), replace(flowers("pepper"), place_id=GREENHOUSE)),
        Weather((-6.0,), (7.0,)),
    )
    assert tonight(story) == [("dahlia", "pick or lift"), ("pepper", "pick or lift")]
