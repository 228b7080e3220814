"""Odds of temperatures against tables of the normal distribution, and what must always hold."""

from __future__ import annotations

from statistics import NormalDist

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.weather.odds import Estimate, cost_loss_ratio

temperatures = st.floats(-25.0, 25.0)
errors = st.floats(0.3, 5.0)


def test_the_odds_of_a_normal_error_are_those_of_the_table() -> None:
    # Standard normal table: P(z < -1.2815516) = 0.1, central 90 % within 1.6449 sd.
    assert Estimate(2.563103, 2.0).below(0.0) == pytest.approx(0.1, abs=1e-6)
    assert Estimate(0.0, 1.0).band(0.9) == pytest.approx((-1.6449, 1.6449), abs=1e-4)


def test_an_ensemble_without_dressing_counts_its_members() -> None:
    assert Estimate(0.5, 0.0, (-1.0, 0.0, 1.0, 2.0)).below(0.5) == 0.5


def test_a_dressed_ensemble_is_the_mean_of_its_normals() -> None:
    members = (-2.0, 0.5, 3.0)
    wanted = sum(NormalDist(member, 0.8).cdf(0.0) for member in members) / 3
    assert Estimate(0.5, 0.8, members).below(0.0) == pytest.approx(wanted)


def test_a_mixtures_band_holds_nine_in_ten() -> None:
    mixture = Estimate(0.0, 0.5, (-3.0, 3.0))
    low, high = mixture.band()
    assert mixture.below(high) - mixture.below(low) == pytest.approx(0.9, abs=1e-3)


@given(temperatures, errors, temperatures, st.floats(0.0, 10.0))
def test_a_colder_estimate_never_lowers_the_odds(mean_c: float, sd_c: float, threshold_c: float, by_c: float) -> None:
    estimate = Estimate(mean_c, sd_c)
    assert estimate.shifted(-by_c).below(threshold_c) >= estimate.below(threshold_c)


@settings(max_examples=60)
@given(
    temperatures,
    errors,
    temperatures,
    st.floats(0.0, 4.0),
    st.floats(0.0, 4.0),
    st.lists(temperatures, max_size=4),
)
def test_a_range_that_is_nowhere_negative_never_raises_the_odds(
    mean_c: float, sd_c: float, threshold_c: float, low_c: float, more_c: float, members: list[float]
) -> None:
    centre = sum(members) / len(members) if members else mean_c
    estimate = Estimate(centre, sd_c, tuple(members))
    assert estimate.ranged(low_c, low_c + more_c).below(threshold_c) <= estimate.below(threshold_c) + 1e-12


@pytest.mark.parametrize(("cost_h", "loss_h", "wanted"), [(1.0, 4.0, 0.25), (0.1, 100.0, 0.05), (9.0, 10.0, 0.5)])
def test_cost_over_loss_is_clipped(cost_h: float, loss_h: float, wanted: float) -> None:
    # The cost-loss rule (Murphy 1977): act when the odds exceed cost / loss; the clip is this project's own rule.
    assert cost_loss_ratio(cost_h, loss_h) == wanted
