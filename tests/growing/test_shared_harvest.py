"""What each household may take of a shared bed or pot. The figures are worked out by hand beside each test."""

from __future__ import annotations

import pytest

from bot.core.garden.snapshot import Garden, Lay, Member, Place, PlaceKind, Planting, Plot, Stage
from bot.core.growing.harvest import Pick, Shared, households, share
from bot.crops.loader import load

CROPS = load()
ANN, BEN, CEM, DOT, KIT = 1, 2, 3, 4, 5


def _garden(crop: str, count: int) -> tuple[Garden, Planting]:
    """Ann and Ben hold a plot together; Cem and Dot hold nothing; Kit is a child. Three households."""
    planting = Planting(1, crop, 1, Stage.READY, count)
    members = (
        Member(ANN, "Ann"),
        Member(BEN, "Ben"),
        Member(CEM, "Cem"),
        Member(DOT, "Dot"),
        Member(KIT, "Kit", adult=False),
    )
    return (
        Garden(
            id=1, name="Teasel Lane", latitude=52.0, longitude=0.0, altitude_m=50.0, zone="Europe/London", lay=Lay.OPEN,
            members=members, plots=(Plot(1, "Plot 1", (ANN, BEN)),),
            places=(Place(1, "Pot 5", PlaceKind.CONTAINER, shared=True),), plantings=(planting,),
        ),
        planting,
    )  # fmt: skip


def test_who_holds_a_plot_together_is_one_household_and_children_come_with_their_adults() -> None:
    garden, _ = _garden("lettuce", 6)
    assert households(garden) == (frozenset({ANN, BEN}), frozenset({CEM}), frozenset({DOT}))


def test_whole_plants_where_there_are_enough_and_the_odd_one_goes_round() -> None:
    garden, lettuces = _garden("lettuce", 7)  # 7 for 3 households: 2 each, and one more for one of them
    first = [share(households(garden), lettuces, CROPS["lettuce"], Shared(turn=0), one) for one in (ANN, CEM, DOT)]
    then = [share(households(garden), lettuces, CROPS["lettuce"], Shared(turn=1), one) for one in (ANN, CEM, DOT)]
    assert sorted(one.plants for one in first if one) == [2, 2, 3]
    assert sorted(one.plants for one in then if one) == [2, 2, 3]
    assert [one.plants for one in first if one] != [one.plants for one in then if one]


def test_what_was_picked_counts_down_for_the_others_and_is_gone_for_their_own_household() -> None:
    garden, lettuces = _garden("lettuce", 6)  # 2 each
    after = Shared((Pick(ANN, None),))
    assert share(households(garden), lettuces, CROPS["lettuce"], after, BEN) is None
    left = share(households(garden), lettuces, CROPS["lettuce"], after, CEM)
    assert left is not None and (left.plants, left.left_plants) == (2, 4)
    assert (
        share(households(garden), lettuces, CROPS["lettuce"], Shared((Pick(ANN, None), Pick(BEN, None))), CEM) == left
    )


def test_fewer_plants_than_households_are_shared_by_weight() -> None:
    garden, potatoes = _garden("potato-first-early", 2)
    kg = CROPS["potato-first-early"].harvest.yield_kg
    assert kg is not None
    whole = 2 * kg
    given = share(households(garden), potatoes, CROPS["potato-first-early"], Shared(), CEM)
    assert given is not None and given.mine_kg == pytest.approx(whole / 3) and given.left_kg == pytest.approx(whole)
    after = share(households(garden), potatoes, CROPS["potato-first-early"], Shared((Pick(ANN, 0.2),)), CEM)
    assert after is not None and after.left_kg == pytest.approx(whole - 0.2)
    partly = share(households(garden), potatoes, CROPS["potato-first-early"], Shared((Pick(ANN, 0.2),)), BEN)
    assert partly is not None and partly.mine_kg == pytest.approx(whole / 3 - 0.2)


def test_who_took_more_than_their_share_leaves_less_and_never_less_than_nothing() -> None:
    garden, lettuces = _garden("lettuce", 6)
    kg = CROPS["lettuce"].harvest.yield_kg
    assert kg is not None
    left = share(households(garden), lettuces, CROPS["lettuce"], Shared((Pick(ANN, 5 * kg),)), CEM)
    assert left is not None and (left.plants, left.left_plants) == (1, 1)
    assert share(households(garden), lettuces, CROPS["lettuce"], Shared((Pick(ANN, 60 * kg),)), CEM) is None


def test_a_harvest_by_somebody_who_is_forgotten_still_counts() -> None:
    garden, lettuces = _garden("lettuce", 6)
    left = share(households(garden), lettuces, CROPS["lettuce"], Shared((Pick(None, None),)), CEM)
    assert left is not None and left.left_plants == 4


def test_children_are_no_household_of_their_own() -> None:
    garden, lettuces = _garden("lettuce", 6)
    assert share(households(garden), lettuces, CROPS["lettuce"], Shared(), KIT) is None
