"""Lifting guidance: HSE INDG143(rev4) 2020 and L23, both read via copies, 2026-11-25 (named at each check)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.core.lifting import Reach, Zone, glad_kg, guideline_kg, kg_each, people_needed, rests, strain


@pytest.mark.parametrize(
    ("zone", "close_kg", "far_kg"),
    [
        (Zone.HEAD, 10, 5),
        (Zone.CHEST, 20, 10),
        (Zone.WAIST, 25, 15),
        (Zone.KNEE, 20, 10),
        (Zone.GROUND, 10, 5),
    ],
)
def test_the_higher_figures_are_the_published_ones(zone: Zone, close_kg: float, far_kg: float) -> None:
    # INDG143 figure 1, read via safetyservicesdirect.com (2022)
    assert guideline_kg(zone, lower=False) == close_kg
    assert guideline_kg(zone, Reach.ARMS_LENGTH, lower=False) == far_kg


def test_whoever_has_not_said_is_taken_by_the_lower_published_figures() -> None:
    # INDG143 figure 1, read via first4lawyers.com (2021): 16 kg at most, 7 and 3 kg at the top
    assert glad_kg(None) == guideline_kg(Zone.WAIST) == 16
    assert (guideline_kg(Zone.HEAD), guideline_kg(Zone.HEAD, Reach.ARMS_LENGTH)) == (7, 3)


@pytest.mark.parametrize(
    ("zone", "close_kg", "far_kg"),
    [(Zone.HEAD, 7, 3), (Zone.CHEST, 13, 7), (Zone.WAIST, 16, 10), (Zone.KNEE, 13, 7), (Zone.GROUND, 7, 3)],
)
def test_the_lower_figures_that_could_not_be_read_err_on_the_light_side(
    zone: Zone, close_kg: float, far_kg: float
) -> None:
    # the full lower column of INDG143 figure 1 is from memory, so only an upper bound is asked of ours
    assert guideline_kg(zone) <= close_kg
    assert guideline_kg(zone, Reach.ARMS_LENGTH) <= far_kg


@pytest.mark.parametrize(
    ("lifts_per_min", "left"), [(0, 1), (0.5, 1), (1, 0.7), (2, 0.7), (5, 0.5), (8, 0.5), (13, 0.2)]
)
def test_repeated_lifts_leave_the_published_share(lifts_per_min: float, left: float) -> None:
    # INDG143, read via watmos.simplyhas.com: to some 30 an hour none; -30 %, -50 % and -80 %
    assert strain(lifts_per_min) == left


@pytest.mark.parametrize(("twist_deg", "left"), [(45, 1), (46, 0.9), (-60, 0.9), (91, 0.8)])
def test_twisting_leaves_the_published_share(twist_deg: float, left: float) -> None:
    # INDG143, read via watmos.simplyhas.com: -10 % beyond 45 degrees, -20 % beyond 90
    assert strain(twist_deg=twist_deg) == left


def test_twenty_five_kilograms_lifted_each_minute_with_a_twist_become_less_than_sixteen() -> None:
    # 25 x 0.7 x 0.9 from the published reductions; that they multiply is common practice, no source
    assert 25 * strain(1.5, 60) == pytest.approx(15.75)


@given(st.floats(0, 20), st.floats(0, 20))
def test_lifting_more_often_never_leaves_more(one: float, other: float) -> None:
    assert strain(max(one, other)) <= strain(min(one, other))


def test_a_negative_rate_is_refused() -> None:
    with pytest.raises(ValueError, match="lifts_per_min is -1"):
        strain(-1)


@pytest.mark.parametrize(("people", "team_kg"), [(1, 20), (2, 80 / 3), (3, 30)])
def test_a_team_bears_two_thirds_or_half_of_the_sum(people: int, team_kg: float) -> None:
    # L23 para. 120, read via yumpu.com; two who bear 20 kg each bear some 26.6 kg: safety.networkrail.co.uk
    assert kg_each(team_kg, people, Zone.WAIST) == pytest.approx(20)


def test_a_team_of_four_is_not_reckoned_with() -> None:
    with pytest.raises(ValueError, match="people is 4, expected 1 to 3; use a trolley"):
        kg_each(40, 4)


@pytest.mark.parametrize(
    ("wet_kg", "people"),
    [(0, 1), (12.8, 1), (13, 2), (17, 2), (19, 3), (20, 1), (25, 2), (26.6, 2), (30, 3), (30.1, None)],
)
def test_a_pot_gets_as_many_people_as_its_weight_needs(wet_kg: float, people: int | None) -> None:
    # by its rim, knuckles to lower leg: first 12.8 kg each (16 x 20/25), then 20 kg each of those who say so
    assert people_needed(wet_kg) == people


def test_only_those_who_say_so_can_be_asked_for_more_than_the_lower_figure() -> None:
    alone, shared = kg_each(20, people_needed(20) or 0), kg_each(19, people_needed(19) or 0)
    assert glad_kg(None) < alone <= glad_kg(25)
    assert shared <= glad_kg(None)


@given(st.sampled_from(Zone), st.sampled_from(Reach), st.booleans())
def test_nobody_is_asked_for_more_than_the_figure_of_the_position(zone: Zone, reach: Reach, lower: bool) -> None:
    figure = guideline_kg(zone, reach, lower=lower)
    most = glad_kg(None) if lower else glad_kg(99)
    assert kg_each(figure * 1.001, 1, zone, reach) > most


def test_no_lifting_means_none_and_strength_above_the_filter_is_not_used() -> None:
    assert glad_kg(0) == 0
    assert glad_kg(60) == 25


@pytest.mark.parametrize(("distance_m", "stops"), [(0, 0), (10, 0), (10.5, 1), (30, 2)])
def test_a_load_is_put_down_at_least_every_ten_metres(distance_m: float, stops: int) -> None:
    # INDG143, read via watmos.simplyhas.com: carried no further than about 10 m without resting
    assert rests(distance_m) == stops
