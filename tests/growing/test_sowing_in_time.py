"""Sow enough, in time and in turn."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from scipy.stats import binom

from bot.core.growing.seasons import closes_on, days_left, in_window, next_in_window
from bot.core.growing.succession import (
    Where,
    fill_gap,
    first_harvest,
    how_many_to_sow,
    sow_between,
    sowing_places,
    turns,
)
from tests.support.stories import crops

WINTER = ((10, 15), (3, 15))


@pytest.mark.parametrize("wanted", [1, 12, 60, 400])
@pytest.mark.parametrize(("germination", "loss"), [(0.9, 0.1), (0.6, 0.2), (0.3, 0.5)])
def test_enough_is_the_least_number_that_the_binomial_allows(wanted: int, germination: float, loss: float) -> None:
    survive = germination * (1 - loss)
    count = how_many_to_sow(wanted, germination, loss)
    assert binom.sf(wanted - 1, count, survive) >= 0.9
    assert binom.sf(wanted - 1, count - 1, survive) < 0.9


def test_sure_seed_without_losses_needs_no_spares() -> None:
    assert how_many_to_sow(24, 1.0, 0.0) == 24
    assert how_many_to_sow(0, 0.5, 0.5) == 0


def test_a_share_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="expected shares within 0 and 1"):
        how_many_to_sow(10, 0.0, 0.1)


def test_sowing_is_counted_back_from_planting_out() -> None:
    raising = crops()["tomato"].raising
    assert raising is not None
    first, last = sow_between(date(2026, 5, 24), raising)
    assert (date(2026, 5, 24) - first, date(2026, 5, 24) - last) == tuple(
        timedelta(weeks=one) for one in reversed(raising.ready_weeks)
    )


def test_radishes_follow_each_other_every_week() -> None:
    # Every 7 days: two secondary charts of succession sowing.
    found = turns(crops()["radish"], date(2026, 4, 1), date(2026, 5, 1), 7)
    assert [one.sow_on.day for one in found] == [1, 8, 15, 22, 29]
    assert all(one.harvest_from_on < one.harvest_by_on for one in found)


def test_sowings_too_late_to_be_harvested_are_left_out() -> None:
    beans = crops()["french-bean"]
    found = turns(beans, date(2026, 6, 20), date(2026, 9, 30), 10)
    assert found
    assert all(in_window(one.harvest_from_on, beans.harvest.window) for one in found)
    assert max(one.sow_on for one in found) <= date(2026, 7, 15)


def test_potatoes_planted_a_few_weeks_apart_are_lifted_about_a_month_apart() -> None:
    # Common practice, no source. Weeks to lifting: first earlies 10-12, second 13-14, maincrop 15-20 (RHS).
    kinds = ("potato-first-early", "potato-second-early", "potato-maincrop")
    planted = [date(2026, 3, 20) + timedelta(weeks=2 * n) for n in range(3)]
    lifts = [first_harvest(crops()[kind], on)[0] for kind, on in zip(kinds, planted, strict=True)]
    gaps = [(later - sooner).days for sooner, later in pairwise(lifts)]
    assert all(25 <= gap <= 38 for gap in gaps)


def test_a_gap_in_mid_july_is_filled_with_what_is_quick() -> None:
    found = {one.crop: one for one in fill_gap(crops(), date(2026, 7, 15), date(2026, 10, 10))}
    assert {"radish", "lettuce", "rocket"} <= found.keys()
    assert not {"parsnip", "tomato", "leek", "onion-seed"} & {
        key for key, one in found.items() if one.where is Where.OUTDOORS
    }
    assert list(found) == [one.crop for one in sorted(found.values(), key=lambda one: (one.ready_on, one.crop))]


def test_beans_are_no_filler_when_frost_would_come_first() -> None:
    assert "french-bean" in {one.crop for one in fill_gap(crops(), date(2026, 7, 1), date(2026, 10, 20))}
    assert "french-bean" not in {one.crop for one in fill_gap(crops(), date(2026, 7, 1), date(2026, 9, 10))}


def test_a_family_that_was_here_too_lately_is_not_offered() -> None:
    found = fill_gap(crops(), date(2026, 7, 15), date(2026, 10, 10), frozenset({crops()["radish"].family}))
    assert "radish" not in {one.crop for one in found}


def test_where_to_sow_names_the_gentlest_place_first() -> None:
    assert [one.where for one in sowing_places(crops()["tomato"], date(2026, 3, 10))] == [Where.INDOORS]
    assert sowing_places(crops()["tomato"], date(2026, 8, 10)) == ()


@pytest.mark.parametrize(
    ("on", "inside", "opens", "closes", "left"),
    [
        (date(2026, 12, 1), True, date(2026, 12, 1), date(2027, 3, 15), 104),
        (date(2027, 2, 1), True, date(2027, 2, 1), date(2027, 3, 15), 42),
        (date(2027, 3, 15), True, date(2027, 3, 15), date(2027, 3, 15), 0),
        (date(2027, 6, 1), False, date(2027, 10, 15), date(2028, 3, 15), 0),
    ],
)
def test_a_window_may_run_over_the_new_year(on: date, inside: bool, opens: date, closes: date, left: int) -> None:
    assert in_window(on, WINTER) is inside
    assert next_in_window(on, WINTER) == opens
    assert closes_on(on, WINTER) == closes
    assert days_left(on, WINTER) == left
