"""Scores against Finley's tornado table of 1884 and the CAWCR verification site (read 2026-11-25)."""

from __future__ import annotations

import pytest

from bot.core.weather.verification import (
    BrierParts,
    Table,
    bootstrap_interval,
    brier_parts,
    brier_score,
    reliability,
    skill,
    tabulate,
)

FINLEY = Table(hits=28, false_alarms=72, misses=23, correct_negatives=2680)


@pytest.mark.parametrize(
    ("score", "wanted"),
    [
        ("accuracy", 0.966108),
        ("bias", 1.960784),
        ("pod", 0.549020),
        ("far", 0.72),
        ("pofd", 0.026163),
        ("csi", 0.227642),
        ("ets", 0.216046),
        ("peirce", 0.522857),
        ("heidke", 0.355325),
        ("odds_ratio", 45.3140),
    ],
)
def test_finleys_tornado_scores(score: str, wanted: float) -> None:
    # Finley 1884, via the CAWCR verification site; values also by the library `scores` 2.7.0.
    assert getattr(FINLEY, score) == pytest.approx(wanted, rel=1e-5)


def test_always_saying_no_is_accurate_and_useless() -> None:
    never = Table(hits=0, false_alarms=0, misses=51, correct_negatives=2752)  # CAWCR: accuracy .9818, POD 0
    assert never.accuracy == pytest.approx(0.9818, abs=5e-5)
    assert never.pod == 0.0
    assert never.far is None


def test_brier_score_of_four_forecasts() -> None:
    pairs = [(0.9, True), (0.1, False), (0.8, True), (0.3, False)]
    assert brier_score(pairs) == pytest.approx(0.0375)  # library `scores` 2.7.0


@pytest.mark.parametrize(
    ("parts", "wanted"),
    [((0.025, 0.060, 0.179), 0.144), ((0.027, 0.036, 0.187), 0.178), ((0.003, 0.020, 0.054), 0.037)],
)
def test_the_parts_of_the_brier_score_add_up(parts: tuple[float, float, float], wanted: float) -> None:
    assert BrierParts(*parts).score == pytest.approx(wanted, abs=5e-4)  # CAWCR, POP3 example


def test_skill_over_climatology() -> None:
    assert skill(0.144, 0.179) == pytest.approx(0.1955, abs=5e-4)  # CAWCR, from its rounded parts


def test_murphys_parts_sum_to_the_score_itself() -> None:
    pairs = [(0.1, False), (0.1, False), (0.1, True), (0.6, True), (0.6, False), (0.9, True)]
    assert brier_parts(pairs).score == pytest.approx(brier_score(pairs))  # Murphy 1973, an identity


def test_a_table_is_counted_from_odds() -> None:
    pairs = [(0.3, True), (0.3, False), (0.1, True), (0.0, False)]
    assert tabulate(pairs, 0.25) == Table(hits=1, false_alarms=1, misses=1, correct_negatives=1)


def test_odds_that_come_true_as_often_as_said_lie_on_the_diagonal() -> None:
    pairs = [(0.25, index % 4 == 0) for index in range(40)] + [(0.75, index % 4 != 0) for index in range(40)]
    for row in reliability(pairs):
        assert row.happened == pytest.approx(row.mean_odds)
        assert row.count == 40


def test_the_interval_of_a_share_agrees_with_the_normal_one() -> None:
    # p = 0.2, n = 400: 1.645 * sqrt(.2 * .8 / 400) = 0.0329 (normal approximation to the binomial).
    pairs = [(0.0, index % 5 == 0) for index in range(400)]
    interval = bootstrap_interval(pairs, brier_score)
    assert interval == pytest.approx((0.2 - 0.0329, 0.2 + 0.0329), abs=0.006)


def test_nothing_to_score_is_an_error() -> None:
    with pytest.raises(ValueError, match="no forecasts"):
        brier_score([])
