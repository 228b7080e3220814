"""What a turn weighs, and what a member has borne this season: weighted, and fading.

The weights are common practice, no source: they only say which turn counts for more, and organisers see them under Why.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time
from math import exp2

from bot.core.people.lifting import glad_kg

__all__ = ["HALF_LIFE_DAYS", "Turn", "burden", "turn_weight"]

HALF_LIFE_DAYS = 42.0  # a turn six weeks ago counts half
_COMING = 0.5  # coming at all is half a turn; half an hour of ordinary work makes it one
_MINUTES = 60.0
_HEAVY = 0.5  # a lift of all that an unsaid member may be asked for adds half again
_UNSOCIAL = 1.25
_DAY_STARTS, _DAY_ENDS = time(8), time(21)


@dataclass(frozen=True, slots=True)
class Turn:
    """A duty that a member has done, or has accepted: when (aware, UTC), and what it weighs in turns."""

    at: datetime
    weight: float


def turn_weight(minutes: float, kg_each: float, starts: time, *, after_sunset: bool) -> float:
    """What one duty weighs, in turns: 1 for half an hour of light work by day; more when long, heavy or unsocial.

    starts: local time of day. kg_each: see `lifting.kg_each`; all of a shared load counts up to twice an easy lift.
    """
    heavy = 1.0 + _HEAVY * min(kg_each / glad_kg(None), 2.0)
    unsocial = after_sunset or not _DAY_STARTS <= starts < _DAY_ENDS
    return (_COMING + minutes / _MINUTES) * heavy * (_UNSOCIAL if unsocial else 1.0)


def burden(done: Iterable[Turn], now: datetime, half_life_days: float = HALF_LIFE_DAYS) -> float:
    """The fading sum of the turns, in turns: each counts half as much every half_life_days, one to come in full."""
    ages = ((max((now - turn.at).total_seconds(), 0.0) / 86400, turn.weight) for turn in done)
    return sum(weight * exp2(-days / half_life_days) for days, weight in ages)
