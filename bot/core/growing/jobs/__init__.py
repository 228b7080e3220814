"""The week's jobs, one module a subject; SUBJECTS lists every function that makes items."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from bot.core.growing.jobs.harvesting import harvesting, watering
from bot.core.growing.jobs.job import Item, View
from bot.core.growing.jobs.raising import raising, sowing
from bot.core.growing.jobs.tending import rotating, tending, watching
from bot.core.growing.jobs.weather_ahead import blight, bolting, fastening, swings, weather

__all__ = ["SUBJECTS"]

SUBJECTS: tuple[Callable[[View], Iterable[Item]], ...] = (
    weather,
    fastening,
    sowing,
    raising,
    tending,
    watching,
    blight,
    bolting,
    swings,
    rotating,
    watering,
    harvesting,
)
