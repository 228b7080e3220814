"""What a forecast does to what is growing: one function a hazard, and every finding of all of them.

A missing forecast finds nothing: whether it covers the days to come is for the caller to say aloud.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from bot.core.finding import AFTERWARDS, DAILY, NOBODY, Called, Finding, Hazard, Severity, TaskKind
from bot.core.garden.place_state import NO_STATES, State
from bot.core.garden.snapshot import Garden
from bot.core.growing.crop import Crop
from bot.core.warnings.hazard_cold import cold, may_stay
from bot.core.warnings.hazard_glass import heat, rain
from bot.core.warnings.hazard_wind import wind
from bot.core.warnings.safety import kept_safe
from bot.core.weather.forecast import Forecast
from bot.core.weather.night import Night

__all__ = [
    "AFTERWARDS",
    "DAILY",
    "HAZARDS",
    "Finding",
    "Hazard",
    "Severity",
    "TaskKind",
    "Weather",
    "findings",
    "may_stay",
]


@dataclass(frozen=True, slots=True)
class Weather:
    """What is known of the weather to come: the nights reckoned from the forecast, and the forecast itself.

    lost: ids of plantings that an earlier frost has killed, or that have been picked for one; fallen: those of them whose
    tops a frost has taken, so that no wind harms them.
    called: for what people have been called, and stay until the odds are far below what called them.
    states: what lies over places for a while, which the wind may lift and which protects in no reckoning.
    """

    nights: tuple[Night, ...]
    forecast: Forecast
    lost: frozenset[int] = frozenset()
    fallen: frozenset[int] = frozenset()
    states: Mapping[int, State] = field(default_factory=dict)
    called: Called = NOBODY


def _cold(garden: Garden, crops: Mapping[str, Crop], outlook: Weather, now: datetime) -> Iterable[Finding]:
    return cold(garden, crops, outlook.nights, now, outlook.lost, outlook.called)


def _wind(garden: Garden, crops: Mapping[str, Crop], outlook: Weather, now: datetime) -> Iterable[Finding]:
    return wind(garden, crops, outlook.forecast, now, outlook.states, outlook.called, outlook.fallen)


def _heat(garden: Garden, crops: Mapping[str, Crop], outlook: Weather, now: datetime) -> Iterable[Finding]:
    return heat(garden, crops, outlook.forecast, now)


def _rain(garden: Garden, crops: Mapping[str, Crop], outlook: Weather, now: datetime) -> Iterable[Finding]:
    return rain(garden, crops, outlook.forecast, now)


HAZARDS: tuple[Callable[[Garden, Mapping[str, Crop], Weather, datetime], Iterable[Finding]], ...] = (
    _cold,
    _wind,
    _heat,
    _rain,
)


def findings(
    garden: Garden,
    crops: Mapping[str, Crop],
    nights: tuple[Night, ...],
    forecast: Forecast,
    now: datetime,
    lost: frozenset[int] = frozenset(),
    fallen: frozenset[int] = frozenset(),
    states: Mapping[int, State] = NO_STATES,
    called: Called = NOBODY,
) -> tuple[Finding, ...]:
    """Everything at risk from `now` on, the earliest latest-safe-time first. now: aware, UTC. The rest: see Outlook."""
    outlook = Weather(nights, forecast, lost, fallen, states, called)
    every = (one for hazard in HAZARDS for one in hazard(garden, crops, outlook, now))
    found = kept_safe(every, garden, forecast, now)
    return tuple(sorted(found, key=lambda one: (one.due_at, one.hazard, one.place_id, one.planting_id or 0)))
