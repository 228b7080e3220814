"""What a turn weighs and how it fades. The weights are common practice, no source: only their order is checked."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.core.tasks.rota_rules import HALF_LIFE_DAYS, Turn, burden, turn_weight

NOW = datetime(2026, 10, 5, 12, tzinfo=UTC)


def test_half_an_hour_of_light_work_by_day_is_one_turn() -> None:
    assert turn_weight(30, 0, time(10), after_sunset=False) == 1


@given(st.floats(0, 240), st.floats(0, 40), st.integers(0, 23))
def test_longer_heavier_and_later_never_weigh_less(minutes: float, kg: float, hour: int) -> None:
    weight = turn_weight(minutes, kg, time(hour), after_sunset=False)
    assert turn_weight(minutes + 10, kg, time(hour), after_sunset=False) > weight
    assert turn_weight(minutes, kg + 1, time(hour), after_sunset=False) >= weight
    assert turn_weight(minutes, kg, time(hour), after_sunset=True) >= weight
    assert turn_weight(minutes, kg, time(12), after_sunset=False) <= weight


@pytest.mark.parametrize(("half_lives", "left"), [(0, 1), (1, 0.5), (2, 0.25), (10, 0.5**10)])
def test_a_turn_halves_with_each_half_life(half_lives: int, left: float) -> None:
    # the definition of a half-life
    done = [Turn(NOW - timedelta(days=half_lives * HALF_LIFE_DAYS), 1.0)]
    assert burden(done, NOW) == pytest.approx(left)


def test_a_turn_still_to_come_counts_in_full() -> None:
    assert burden([Turn(NOW + timedelta(days=3), 1.5)], NOW) == 1.5


@given(st.lists(st.tuples(st.integers(-5, 400), st.floats(0, 5)), max_size=8), st.integers(0, 200))
def test_a_burden_is_never_negative_and_never_grows_by_waiting(turns: list[tuple[int, float]], days: int) -> None:
    done = [Turn(NOW - timedelta(days=ago), weight) for ago, weight in turns]
    assert 0 <= burden(done, NOW + timedelta(days=days)) <= burden(done, NOW) + 1e-12
