"""Stories from a grower's year in which the week once said what nobody would do (common practice, no source, unless named)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.week import Job, JobKind, WeekRecords
from tests.support.stories import (
    CALLUM,
    CALLUMS_BED,
    CALLUMS_POT,
    PLACES,
    TUNNEL,
    Story,
    Weather,
    batch,
    tonight,
)

COOL = Weather((6.0,) * 7, (12.0,))
MILD = Weather((10.0,) * 7, (18.0,))
#: Callum's own tunnel, so that it is on his list.
TUNNELS = tuple(replace(one, shared=False, plot_id=2) if one.id == TUNNEL else one for one in PLACES)


def jobs(on: date, planting: Planting, weather: Weather = MILD) -> list[Job]:
    return list(Story(on, (planting,), weather, places=TUNNELS).week(CALLUM).jobs)


def kinds(on: date, planting: Planting, weather: Weather = MILD) -> set[JobKind]:
    return {job.kind for job in jobs(on, planting, weather)}


# -- feeding


def bush(crop: str) -> Planting:
    return batch(crop, CALLUMS_BED, Stage.GROWING, 2, planted_on=date(2021, 11, 10))


@pytest.mark.parametrize("crop", ["blueberry", "globe-artichoke"])
@pytest.mark.parametrize("on", [date(2026, 1, 15), date(2026, 2, 20), date(2026, 11, 15), date(2026, 12, 20)])
def test_nothing_that_rests_is_fed_in_winter(crop: str, on: date) -> None:
    assert JobKind.FEED not in kinds(on, bush(crop), COOL)


@pytest.mark.parametrize("crop", ["blueberry", "globe-artichoke"])
def test_what_grows_in_may_is_fed(crop: str) -> None:
    assert JobKind.FEED in kinds(date(2026, 5, 10), bush(crop))


@pytest.mark.parametrize(("crop", "sown"), [("tomato", (3, 5)), ("pumpkin", (4, 25)), ("pepper", (2, 25))])
def test_the_last_weeks_of_fruit_are_for_ripening_and_not_for_feeding(crop: str, sown: tuple[int, int]) -> None:
    plants = batch(
        crop,
        CALLUMS_BED,
        Stage.READY,
        4,
        sown_on=date(2026, *sown),
        planted_on=date(2026, 6, 1),
        stage_on=date(2026, 8, 20),
    )
    assert JobKind.FEED not in kinds(date(2026, 10, 12), plants)
    assert JobKind.FEED in kinds(date(2026, 8, 25), plants)


# -- beans of autumn


def beans() -> Planting:
    return batch("broad-bean", CALLUMS_BED, Stage.SOWN, 24, sown_on=date(2025, 11, 1))


@pytest.mark.parametrize("on", [date(2026, 1, 10), date(2026, 1, 25), date(2026, 2, 15)])
def test_beans_of_autumn_a_hand_high_are_not_staked_in_winter(on: date) -> None:
    assert JobKind.SUPPORT not in kinds(on, beans(), COOL)


def test_they_are_staked_in_april() -> None:
    assert JobKind.SUPPORT in kinds(date(2026, 4, 15), beans())


# -- nets


@pytest.mark.parametrize(("crop", "on"), [("sweetcorn", date(2026, 5, 12)), ("sunflower", date(2026, 5, 12))])
def test_no_net_is_hung_in_a_house(crop: str, on: date) -> None:
    trays = batch(crop, TUNNEL, Stage.SEEDLING, 24, sown_on=date(2026, 4, 25))
    assert JobKind.NET not in kinds(on, trays)
    assert JobKind.NET in kinds(on, replace(trays, place_id=CALLUMS_BED))


def test_onion_sets_are_netted_until_they_have_rooted() -> None:
    """RHS, onions: birds peck newly planted sets out; cover until they have rooted in. Read 2026-11-28."""
    spring = batch("onion-set", CALLUMS_BED, Stage.SOWN, 80, planted_on=date(2026, 3, 20))
    autumn = replace(spring, planted_on=date(2026, 10, 5))
    assert JobKind.NET in kinds(date(2026, 4, 1), spring) and JobKind.NET in kinds(date(2026, 10, 15), autumn)
    assert JobKind.NET not in kinds(date(2026, 5, 10), spring)


# -- drawing up soil


@pytest.mark.parametrize(("crop", "most_cm"), [("fennel-bulb", 12), ("sweetcorn", 15), ("potato-maincrop", 20)])
def test_soil_comes_up_to_the_foot_of_fennel_and_maize_and_over_potatoes(crop: str, most_cm: float) -> None:
    """Fennel: round the bulbs as they swell, which are 7 to 10 cm across (Wild Greens, read 2026-11-28)."""
    plants = batch(
        crop,
        CALLUMS_BED,
        Stage.GROWING,
        15,
        stage_on=date(2026, 6, 5),
        planted_on=date(2026, 6, 1),
        sown_on=date(2026, 5, 5),
    )
    (ridge,) = [job for job in jobs(date(2026, 6, 22), plants) if job.kind is JobKind.EARTH_UP]
    assert ridge.items[0].cm is not None and 5 <= ridge.items[0].cm <= most_cm


def oca(stage: Stage, **known: date) -> Planting:
    return batch("oca", CALLUMS_BED, stage, 6, planted_on=date(2026, 5, 25), **known)


def test_oca_of_september_is_a_bush_that_soil_no_longer_covers() -> None:
    story = Story(date(2026, 9, 20), (oca(Stage.GROWING, stage_on=date(2026, 6, 15)),), Weather((-2.0,), (13.0,)))
    assert tonight(story) == [("oca", "cover")]


def test_frost_on_ripe_oca_is_what_it_waited_for_and_a_hard_one_brings_it_in() -> None:
    """Tops die in frost, tubers stand about -5 C in the soil (Kahikatea Farm, read 2026-11-28)."""
    ripe = oca(Stage.READY, stage_on=date(2026, 11, 20))
    assert tonight(Story(date(2026, 12, 5), (ripe,), Weather((-2.0,), (5.0,)))) == []
    assert tonight(Story(date(2026, 12, 5), (ripe,), Weather((-8.0,), (1.0,)))) == [("oca", "pick or lift")]


# -- sown where it stays


def test_winter_lettuces_sown_in_the_tunnel_grow_there_and_are_picked_in_the_new_year() -> None:
    lettuces = batch("lettuce-winter", TUNNEL, Stage.SOWN, 20, sown_on=date(2025, 9, 1))
    for on in (date(2025, 11, 20), date(2026, 1, 15), date(2026, 3, 15)):
        assert not {JobKind.POT_ON, JobKind.HARDEN_OFF, JobKind.PLANT_OUT} & kinds(on, lettuces, COOL)
    assert JobKind.HARVEST in kinds(date(2026, 2, 1), lettuces, COOL)


def test_lettuces_sown_in_a_big_pot_in_the_open_grow_and_are_cut_there() -> None:
    lettuces = batch("lettuce", CALLUMS_POT, Stage.SOWN, 4, sown_on=date(2026, 4, 1))
    seen = set[JobKind]()
    for on in (date(2026, 4, 25), date(2026, 5, 15), date(2026, 6, 20)):
        seen |= kinds(on, lettuces)
    assert not {JobKind.POT_ON, JobKind.HARDEN_OFF, JobKind.PLANT_OUT} & seen and JobKind.HARVEST in seen


def test_forty_seedlings_in_a_pot_are_a_tray() -> None:
    seedlings = batch("lettuce", CALLUMS_POT, Stage.SEEDLING, 40, sown_on=date(2026, 3, 20))
    assert {JobKind.POT_ON, JobKind.HARDEN_OFF, JobKind.PLANT_OUT} & kinds(date(2026, 4, 25), seedlings)


# -- where to sow


@pytest.mark.parametrize(("on", "where"), [(date(2026, 4, 5), "under cover"), (date(2026, 6, 20), "outdoors")])
def test_lettuces_of_summer_are_sown_in_the_open_and_those_of_early_spring_under_glass(on: date, where: str) -> None:
    """A house in June is only too hot for them."""
    story = Story(on, (batch("onion-set", CALLUMS_BED, Stage.GROWING, 80),), MILD, places=TUNNELS)
    found = [
        job for job in story.week(CALLUM, WeekRecords(wanted=frozenset({"lettuce"}))).jobs if job.kind is JobKind.SOW
    ]
    assert [job.detail for job in found] == [where]


# -- tubers in pots


@pytest.mark.parametrize(("crop", "out_on"), [("dahlia", date(2026, 5, 24)), ("oca", date(2026, 5, 18))])
def test_tubers_in_pots_are_hardened_off_and_planted_out_not_staked(crop: str, out_on: date) -> None:
    """Dahlias: harden off for at least a week, stake as you plant (Saga magazine, how to store dahlias; read 2026-11-28)."""
    pots = batch(crop, TUNNEL, Stage.GROWING, 6, planted_on=date(2026, 4, 1), stage_on=date(2026, 4, 22))
    work = {JobKind.SUPPORT, JobKind.EARTH_UP, JobKind.POT_ON, JobKind.HARDEN_OFF, JobKind.PLANT_OUT}
    assert not work & kinds(date(2026, 4, 28), pots)
    assert work & kinds(out_on - timedelta(days=7), pots) == {JobKind.HARDEN_OFF}
    hardened = replace(pots, stage=Stage.HARDENING, hardening_on=out_on - timedelta(days=8))
    assert work & kinds(out_on, hardened) == {JobKind.PLANT_OUT}


def test_oca_that_nobody_planted_out_stays_in_the_tunnel_and_is_left_in_peace() -> None:
    pots = batch("oca", TUNNEL, Stage.GROWING, 6, planted_on=date(2026, 4, 1), stage_on=date(2026, 4, 22))
    assert not {JobKind.HARDEN_OFF, JobKind.PLANT_OUT} & kinds(date(2026, 7, 5), pots)


def test_no_soil_is_drawn_over_pots_in_the_tunnel_before_a_frost() -> None:
    pots = batch("oca", TUNNEL, Stage.GROWING, 6, planted_on=date(2026, 4, 1), stage_on=date(2026, 4, 22))
    asked = tonight(Story(date(2026, 5, 2), (pots,), Weather((-5.0,), (9.0,)), places=TUNNELS))
    assert asked and ("oca", "earth up") not in asked


# -- hard frost


@pytest.mark.parametrize("crop", ["leek", "parsnip", "kale"])
def test_nothing_is_lifted_out_of_frozen_ground_before_it_thaws(crop: str) -> None:
    """Greens are not picked frozen (Sustainable Gardening News), nor can anybody dig (M. Cullen). Both read 2026-11-28."""
    winter = batch(crop, CALLUMS_BED, Stage.READY, 20, sown_on=date(2025, 4, 10), planted_on=date(2025, 6, 20))
    on = date(2026, 1, 20)
    assert JobKind.HARVEST not in kinds(on, winter, Weather((-9.0,) * 5, (-2.0,)))
    assert JobKind.HARVEST in kinds(on, winter, Weather((-9.0,) * 5, (-2.0, -1.0, 3.0)))
    assert JobKind.HARVEST in kinds(on, replace(winter, place_id=TUNNEL), Weather((-9.0,) * 5, (-2.0,)))
