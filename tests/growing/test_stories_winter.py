"""Winter is no emergency: what stands through ordinary winters calls nobody; houses are shut, not carried.

Common practice, no source, unless a source is named.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.core.finding import TaskKind
from bot.core.garden.snapshot import Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop, Hardiness, Life
from bot.core.growing.seasons import in_window
from tests.support.stories import (
    CALLUMS_BED,
    FRAME,
    GREENHOUSE,
    LONG_BED,
    PLACES,
    POT,
    SILL,
    STANDING,
    TUNNEL,
    Story,
    Weather,
    batch,
    crops,
    tonight,
)

JANUARY = date(2026, 1, 14)


def winters(crop: Crop) -> bool:
    """Whether its rule has it in the open in January: harvested then, a perennial, or planted in autumn."""
    if crop.hardiness is not Hardiness.HARDY:
        return False
    autumn = ("broad-bean", "garlic", "onion-set", "onion-seed", "shallot", "pea", "spinach", "cabbage-spring")
    return crop.life is Life.PERENNIAL or in_window(JANUARY, crop.harvest.window) or crop.key in autumn


WINTERING = sorted(key for key, crop in crops().items() if winters(crop))


@pytest.mark.parametrize("key", WINTERING)
@pytest.mark.parametrize(("night_c", "day_c"), [(-5.0, 4.0), (-8.0, 1.0)])
def test_an_ordinary_winters_night_calls_nobody_out(key: str, night_c: float, day_c: float) -> None:
    in_season = in_window(JANUARY, crops()[key].harvest.window)
    stage = Stage.READY if in_season else Stage.GROWING
    plants = batch(key, LONG_BED, stage, 24, sown_on=date(2025, 6, 1), planted_on=date(2025, 9, 20))
    assert Story(JANUARY, (plants,), Weather((night_c,), (day_c,))).findings == ()


def test_there_are_winter_crops_to_speak_of() -> None:
    assert {"leek", "kale", "brussels-sprouts", "swede", "broad-bean", "onion-set"} <= set(WINTERING)


def test_broad_beans_that_came_up_in_autumn_are_left_alone_at_minus_five() -> None:
    seedlings = batch("broad-bean", LONG_BED, Stage.SEEDLING, 24, sown_on=date(2025, 11, 5))
    assert Story(JANUARY, (seedlings,), Weather((-5.0,), (3.0,))).findings == ()


def test_onions_planted_in_march_are_not_taken_for_wintered_ones() -> None:
    spring = batch("onion-set", LONG_BED, Stage.GROWING, 400, planted_on=date(2026, 2, 25))
    assert tonight(Story(date(2026, 3, 18), (spring,), Weather((-8.0,), (3.0,)))) == [("onion-set", "cover")]


def test_leeks_are_covered_in_the_frost_of_a_century() -> None:
    leeks = batch("leek", LONG_BED, Stage.READY, 200)
    assert [task for _, task in tonight(Story(JANUARY, (leeks,), Weather((-16.0,), (-5.0,))))] != []


# -- fruit: Longstroth, Michigan State University Extension: bloom 28 F, green fruit 30 F; strawberry buds: Johnson,
# University of Delaware Extension: tight 22 F, popcorn 26 F. The plant is colder than the air on a clear night.

OLD = date(2022, 11, 1)


@pytest.mark.parametrize("crop", ["blackcurrant", "redcurrant", "gooseberry"])
def test_set_currants_and_gooseberries_are_covered_before_a_late_may_frost(crop: str) -> None:
    bushes = batch(crop, LONG_BED, Stage.GROWING, 4, planted_on=OLD)
    assert tonight(Story(date(2026, 5, 22), (bushes,), Weather((-1.5,), (12.0,)))) == [(crop, "cover")]


def test_set_fruit_is_left_alone_on_a_mild_night() -> None:
    bushes = batch("blackcurrant", LONG_BED, Stage.GROWING, 4, planted_on=OLD)
    assert Story(date(2026, 5, 22), (bushes,), Weather((6.0,), (16.0,))).findings == ()


@pytest.mark.parametrize(("on", "called"), [(date(2026, 3, 10), False), (date(2026, 4, 18), True)])
def test_strawberry_buds_are_covered_and_plants_at_rest_are_not(on: date, called: bool) -> None:
    plants = batch("strawberry", LONG_BED, Stage.GROWING, 30, planted_on=date(2024, 8, 20))
    assert bool(Story(on, (plants,), Weather((-6.0,), (6.0,))).findings) is called


def test_why_names_the_source_of_the_bud_temperature() -> None:
    plants = batch("strawberry", LONG_BED, Stage.GROWING, 30, planted_on=date(2024, 8, 20))
    (found,) = Story(date(2026, 4, 18), (plants,), Weather((-6.0,), (6.0,))).findings
    threshold = next(step for step in found.chain if step.code.value == "threshold")
    assert (threshold.value, threshold.source) == (-5.6, "johnson-strawberry")


# -- houses


def opened(*ids: int, places: tuple[Place, ...] = PLACES) -> tuple[Place, ...]:
    return tuple(replace(one, stands_open=one.id in ids) for one in places)


TOMATOES = batch("tomato", TUNNEL, Stage.FLOWERING, 12, planted_on=date(2026, 5, 10))
APRIL = date(2026, 5, 12)


def test_an_open_tunnel_is_closed_by_sunset_before_a_night_of_zero() -> None:
    story = Story(APRIL, (TOMATOES,), Weather((0.0,), (14.0,)), places=opened(TUNNEL))
    (found,) = (one for one in story.findings if one.task is TaskKind.CLOSE)
    assert (found.place_id, found.due_at, found.people) == (TUNNEL, story.nights[0].sunset_at, 1)


def test_a_shut_tunnel_is_not_closed_again() -> None:
    assert TaskKind.CLOSE not in {one.task for one in Story(APRIL, (TOMATOES,), Weather((0.0,), (14.0,))).findings}


def test_an_empty_tunnel_may_stand_open() -> None:
    assert Story(APRIL, (), Weather((-5.0,), (8.0,)), places=opened(TUNNEL)).findings == ()


def test_an_open_house_with_hardy_salad_is_no_emergency_at_zero() -> None:
    salad = batch("lettuce-winter", TUNNEL, Stage.GROWING, 40, planted_on=date(2025, 10, 1))
    assert Story(date(2026, 2, 12), (salad,), Weather((0.0,), (9.0,)), places=opened(TUNNEL)).findings == ()


def test_pots_are_carried_into_an_open_house_that_is_then_shut() -> None:
    pot = batch("potato-first-early", POT, Stage.GROWING, 3, height_cm=30.0)
    story = Story(date(2026, 5, 5), (pot,), Weather((-1.0,), (14.0,)), places=opened(TUNNEL))
    target = next(one.target_place_id for one in story.findings if one.task is TaskKind.BRING_IN)
    assert [one.place_id for one in story.findings if one.task is TaskKind.CLOSE] == (
        [TUNNEL] if target == TUNNEL else []
    )
    assert target == TUNNEL


TRAYS = batch("tomato", TUNNEL, Stage.POTTED_ON, 24)


@pytest.mark.parametrize("house", [TUNNEL, GREENHOUSE, FRAME])
@pytest.mark.parametrize("plants", [TRAYS, TOMATOES])
def test_nothing_is_carried_from_one_cold_house_into_another(house: int, plants: Planting) -> None:
    story = Story(date(2026, 4, 22), (replace(plants, place_id=house),), Weather((-4.0,), (10.0,)))
    targets = {one.target_place_id for one in story.findings if one.task is TaskKind.BRING_IN}
    assert targets <= {SILL} and story.findings


def test_plants_in_a_houses_own_beds_are_covered_where_they_grow() -> None:
    story = Story(date(2026, 5, 12), (TOMATOES,), Weather((-4.0,), (10.0,)))
    assert {one.task for one in story.findings} == {TaskKind.COVER}


def test_a_full_house_takes_no_more() -> None:
    trays = tuple(batch("tomato", STANDING, Stage.HARDENED, 60, height_cm=20.0) for _ in range(4))
    small = tuple(
        replace(one, length_m=1.5, width_m=0.8) if one.id in (TUNNEL, GREENHOUSE) else one
        for one in PLACES
        if one.id != SILL
    )
    story = Story(date(2026, 5, 24), trays, Weather((1.0,), (16.0,)), places=small)
    taken = [one.target_place_id for one in story.findings if one.task is TaskKind.BRING_IN]
    assert 0 < len(taken) < 4 and len(set(taken)) == len(taken)


def test_a_pot_that_is_too_heavy_is_covered_where_it_stands() -> None:
    heavy = tuple(replace(one, wet_kg=80.0) if one.id == POT else one for one in PLACES)  # no trolley for two either
    pot = batch("potato-first-early", POT, Stage.GROWING, 3, height_cm=30.0)
    story = Story(date(2026, 5, 5), (pot,), Weather((-1.0,), (14.0,)), places=heavy)
    assert [(one.task, one.unliftable) for one in story.findings] == [(TaskKind.COVER, False)]


def test_a_house_of_another_plot_is_nobodys_shelter() -> None:
    theirs = (
        *(one for one in PLACES if one.kind not in (PlaceKind.TUNNEL, PlaceKind.GREENHOUSE, PlaceKind.FRAME)),
        Place(90, "Callum's tunnel", PlaceKind.TUNNEL, plot_id=2),
    )
    trays = batch("tomato", STANDING, Stage.HARDENED, 12)
    story = Story(date(2026, 5, 24), (trays,), Weather((1.0,), (16.0,)), places=theirs)
    assert {one.target_place_id for one in story.findings} <= {None, SILL}


def test_a_bed_is_covered_as_before() -> None:
    beans = batch("french-bean", CALLUMS_BED, Stage.GROWING, 30, height_cm=12.0)
    assert tonight(Story(date(2026, 5, 24), (beans,), Weather((1.0,), (17.0,)))) == [("french-bean", "cover")]


@pytest.mark.parametrize("crop", ["broad-bean", "pea", "sweet-pea", "lettuce-winter", "spinach", "onion-seed"])
@pytest.mark.parametrize("house", [FRAME, TUNNEL, GREENHOUSE])
def test_autumn_sowings_in_pots_under_cold_glass_call_nobody_in_an_ordinary_winters_night(
    crop: str, house: int
) -> None:
    """They are sown there to stand the winter; the glass keeps off wet and wind more than cold."""
    pots = batch(crop, house, Stage.SEEDLING, 40, sown_on=date(2025, 10, 25))
    assert Story(JANUARY, (pots,), Weather((-6.0,), (3.0,))).findings == ()
