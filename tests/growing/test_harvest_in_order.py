"""Harvest and store: order, haulm and skins, shares; families that come back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.harvest import Lot, harvest_order, lift_plan, shares
from bot.core.growing.spacing import Grown, barred_families, repeat
from tests.support.stories import FARAHS_BED, LONG_BED, POT, POT_2, TEASEL_LANE, batch, crops


def order(*ready: Planting) -> tuple[Lot, ...]:
    numbered = [replace(one, id=n) for n, one in enumerate(ready, 1)]
    return harvest_order(numbered, TEASEL_LANE.place_by_id, crops())


def test_earlies_are_opened_one_container_at_a_time_the_oldest_first_and_eaten_soon() -> None:
    # Common practice, no source: first and second earlies do not store.
    (turn,) = order(
        batch("potato-first-early", POT, Stage.READY, 3, planted_on=date(2026, 4, 10)),
        batch("potato-first-early", POT_2, Stage.READY, 3, planted_on=date(2026, 3, 20)),
    )
    assert turn.planting.place_id == POT_2
    assert turn.eat_soon
    assert turn.waiting_n == 1


def test_what_does_not_wait_comes_before_what_keeps_in_the_soil() -> None:
    found = order(batch("parsnip", LONG_BED, Stage.READY, 40), batch("courgette", FARAHS_BED, Stage.READY, 3))
    assert [one.crop for one in found] == ["courgette", "parsnip"]
    assert found[1].keeps


def test_maincrop_is_lifted_a_fortnight_after_the_haulm_is_cut_and_both_customs_are_told() -> None:
    # About a week: common practice, no source. 14 d: growers' guides; about 21 d: Utah State Univ. Ext., SE Veg.
    # Handbook 2022 p. 104. The safer is followed.
    plan = lift_plan(crops()["potato-maincrop"], date(2026, 9, 1))
    assert plan is not None
    assert plan.practice_from_on == date(2026, 9, 8)
    assert (plan.lift_from_on, plan.lift_by_on) == (date(2026, 9, 15), date(2026, 9, 22))


def test_a_garden_that_holds_to_a_week_is_still_told_the_fortnight() -> None:
    maincrop = crops()["potato-maincrop"]
    by_habit = replace(maincrop, harvest=replace(maincrop.harvest, haulm_days=(7, 10)))
    plan = lift_plan(by_habit, date(2026, 9, 1))
    assert plan is not None
    assert (plan.practice_from_on, plan.lift_from_on) == (date(2026, 9, 8), date(2026, 9, 15))


def test_maincrop_is_cured_for_two_weeks_and_stored_cool() -> None:
    # Cure 2 weeks (Univ. Nebraska Ext., read via a copy); store 38-40 F, RH 85-90 %, 24-26 weeks (USDA HB 66, 1954).
    plan = lift_plan(crops()["potato-maincrop"], date(2026, 9, 1))
    assert plan is not None
    assert plan.storage is not None
    assert plan.cure_days == 14
    assert plan.storage.temp_c == pytest.approx((3.3, 4.4), abs=0.15)
    assert plan.storage.weeks == (24, 26)


def test_crops_without_haulm_have_no_such_plan() -> None:
    assert lift_plan(crops()["carrot"], date(2026, 9, 1)) is None


@given(st.integers(0, 500), st.lists(st.integers(1, 99), min_size=1, max_size=12, unique=True), st.integers(0, 30))
def test_shares_are_whole_complete_and_as_even_as_can_be(amount: int, households: list[int], turn: int) -> None:
    found = shares(amount, households, turn)
    assert sum(found.values()) == amount
    assert max(found.values()) - min(found.values()) <= 1


def test_the_odd_pieces_go_round() -> None:
    rounds = [shares(7, (1, 2, 3), turn) for turn in range(3)]
    assert [max(one, key=one.__getitem__) for one in rounds] == [1, 2, 3]
    assert sum(one[1] for one in rounds) == sum(one[2] for one in rounds) == 7


def test_nobody_to_share_with_is_refused() -> None:
    with pytest.raises(ValueError, match="expected 0 or more for at least 1"):
        shares(3, ())


@pytest.mark.parametrize("year", range(2020, 2031))
def test_a_bed_rests_from_a_family_for_its_years(year: int) -> None:
    cabbage = crops()["cabbage-summer"]
    before = (Grown("kale", cabbage.family, 2023), Grown("carrot", crops()["carrot"].family, 2025))
    found = repeat(cabbage, before, year)
    assert (found is not None) == (2023 < year <= 2023 + cabbage.rotation_years)
    assert (cabbage.family in barred_families(crops().values(), before, year)) == (found is not None)
