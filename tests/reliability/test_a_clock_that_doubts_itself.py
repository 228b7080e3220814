"""A clock that jumps is not believed until it has agreed with itself for a while."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from bot.core.clock import AGREES_FOR, Clock

START = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
TICK = timedelta(seconds=30)


@dataclass
class Machine:
    """Its clock, and the seconds that really pass."""

    at: datetime = START
    passed_s: float = 0.0
    clock: Clock = field(init=False)

    def __post_init__(self) -> None:
        self.clock = Clock(lambda: self.at, lambda: self.passed_s)

    def live(self, time: timedelta) -> None:
        """Time passes, and somebody looks at the clock twice a minute."""
        for _ in range(time // TICK):
            self.at += TICK
            self.passed_s += TICK.total_seconds()
            self.clock()


@pytest.mark.parametrize("jump", [timedelta(days=3 * 365), timedelta(days=-400), timedelta(hours=2)])
def test_a_clock_that_is_wrong_for_one_tick_changes_nothing(jump: timedelta) -> None:
    machine = Machine()
    machine.clock.started(None)
    machine.live(timedelta(hours=1))
    machine.at += jump
    assert not machine.clock.is_sure
    assert machine.clock() == START + timedelta(hours=1)
    machine.live(TICK)
    assert machine.clock() == START + timedelta(hours=1) + TICK, "the seconds go on from what was believed"
    machine.at -= jump
    assert (machine.clock.is_sure, machine.clock()) == (True, machine.at)


@pytest.mark.parametrize("jump", [timedelta(days=14), timedelta(days=-400)])
def test_a_clock_that_stays_where_it_jumped_is_believed_after_a_while(jump: timedelta) -> None:
    machine = Machine()
    machine.clock.started(None)
    machine.at += jump
    machine.clock()
    machine.live(AGREES_FOR - TICK)
    assert not machine.clock.is_sure
    machine.live(TICK)
    assert (machine.clock.is_sure, machine.clock()) == (True, machine.at)


def test_a_clock_that_goes_on_jumping_is_not_believed() -> None:
    machine = Machine()
    machine.clock.started(None)
    for _ in range(50):
        machine.at += timedelta(days=1)
        machine.live(timedelta(minutes=5))
        assert not machine.clock.is_sure
    assert machine.clock() == START + timedelta(minutes=250)


def test_the_seconds_that_a_time_server_puts_right_are_no_jump() -> None:
    machine = Machine()
    machine.clock.started(None)
    for _ in range(100):
        machine.at += timedelta(seconds=90)
        machine.live(TICK)
        assert machine.clock.is_sure


@pytest.mark.parametrize(
    ("away", "is_sure"),
    [
        (timedelta(minutes=1), True),
        (timedelta(days=3), True),
        (timedelta(days=14), False),
        (timedelta(days=1000), False),
        (timedelta(hours=-1), False),
    ],
)
def test_after_a_start_only_what_is_hard_to_believe_is_doubted_and_waited_out(away: timedelta, is_sure: bool) -> None:
    machine = Machine()
    machine.clock.started(START - away)
    assert machine.clock.is_sure is is_sure
    assert machine.clock.is_blind is not is_sure
    machine.live(AGREES_FOR)
    assert (machine.clock.is_sure, machine.clock()) == (True, machine.at)
