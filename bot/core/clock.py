"""A clock that doubts itself: what the machine says the time is, held against seconds that only pass.

Wrong clocks happen: a machine without a battery starts years back, one with a bad battery years ahead, and a time server
puts either right, in a jump. A jump is doubted until the clock has agreed with itself for a while.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

#: How far the two may part within one run of the process. Common practice, no source: time servers put right seconds.
JUMP = timedelta(minutes=10)
#: How long a clock that jumped must agree with itself before it is believed. Common practice, no source.
AGREES_FOR = timedelta(minutes=10)
#: A machine may have been off; for longer than this it is as likely that its clock is wrong. Common practice, no source.
MOST_AWAY = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Doubt:
    """said: what the clock says; expected: what it was expected to say at least. since_s: by the steady seconds."""

    said: datetime
    expected: datetime
    since_s: float


@dataclass(slots=True)
class Clock:
    """wall: aware, UTC, what the machine says. steady_s: seconds that only pass, best also while the machine sleeps.

    Called, it gives the moment to act by: the wall's; while that is doubted, the last one believed and the seconds
    since. Where there is none, after a start, it gives the wall's: then nothing should be done by it.
    """

    wall: Callable[[], datetime]
    steady_s: Callable[[], float]
    doubt: Doubt | None = None
    _believed: tuple[datetime, float] | None = field(default=None)
    _last: tuple[datetime, float] | None = field(default=None)

    @property
    def is_sure(self) -> bool:
        """Whether what depends on the time may be done now."""
        self()
        return self.doubt is None

    @property
    def is_blind(self) -> bool:
        """Whether it does not even know what the time should be: it was doubted from the start."""
        return not self.is_sure and self._believed is None

    def started(self, last_at: datetime | None) -> None:
        """The process has begun; last_at: the last moment that an earlier one believed, None for the first of all."""
        wall, steady_s = self.wall(), self.steady_s()
        self._last = wall, steady_s
        if last_at is None or last_at - JUMP <= wall <= last_at + MOST_AWAY:
            self._believed = wall, steady_s
        else:
            self.doubt = Doubt(wall, last_at, steady_s)

    def __call__(self) -> datetime:
        wall, steady_s = self.wall(), self.steady_s()
        last, self._last = self._last, (wall, steady_s)
        expected = _later(self._believed, steady_s)
        if expected is not None and abs(wall - expected) <= JUMP:
            self._believed, self.doubt = self._last, None
            return wall
        if last is None:  # nobody said what was believed before
            self._believed = self._last
            return wall
        stayed = _later(last, steady_s)
        assert stayed is not None
        if self.doubt is None or abs(wall - stayed) > JUMP:
            self.doubt = Doubt(wall, expected or (self.doubt.expected if self.doubt else stayed), steady_s)
        elif timedelta(seconds=steady_s - self.doubt.since_s) >= AGREES_FOR:
            self._believed, self.doubt = self._last, None
            return wall
        return expected or wall


def _later(known: tuple[datetime, float] | None, steady_s: float) -> datetime | None:
    return None if known is None else known[0] + timedelta(seconds=steady_s - known[1])
