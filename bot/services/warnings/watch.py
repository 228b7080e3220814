"""One tick of the watch over one garden: look, detect, find names, and say what has to be said."""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.tasks.rota import Problem, Shortage, Solution
from bot.core.warnings import closed_hours
from bot.services.look import Look, look, quiet
from bot.services.tasks import rota
from bot.services.tasks.solving import SolvingFailed
from bot.services.warnings import aftermath, detect, ending, fastening, official, spells
from bot.services.warnings.events import Event, OfficialEvent, WeatherEvent
from bot.services.warnings.step import speak
from bot.services.weather import score
from bot.services.weather.garden_forecast import Source, is_stale, never_asked
from bot.storage.garden import gardens
from bot.storage.models import Ask, Garden
from bot.storage.session import Database
from bot.storage.warnings import warnings as store

__all__ = ["Solver", "Teller", "watch"]

logger = logging.getLogger(__name__)

Solver = Callable[[Problem], Awaitable[Solution]]
#: Puts events into words and into the outbox, in the transaction that decided them.
Teller = Callable[[AsyncSession, Garden, Look, Sequence[Event]], Awaitable[None]]


async def watch(database: Database, garden_id: int, source: Source, now: datetime, solve: Solver, tell: Teller) -> bool:
    """Bring one garden up to `now`. May be cut off anywhere: the next tick does the rest.

    False where names are wanted and the solver failed, so that it is to be tried again at the next tick.
    """
    async with database.begin() as session:
        row = await gardens.lock(session, garden_id)
        if row is None:
            return True
        await official.note(session, row, now)
        outlook = await look(session, row, source, now)
        await score.note_odds(session, row, outlook, now)
        touched = await detect.detect(session, row, outlook, now)
        await ending.end(session, row, outlook, now)
        if outlook.forecast is not None:
            await aftermath.postpone(session, row, closed_hours.outdoors(outlook.garden, outlook.forecast), now)
        wanting = [
            warning.id
            for warning in await store.active(session, row.id, now)
            if detect.needs_names(warning, quiet(row), now)
        ]
        seen_to = await spells.waiting(session, row.id)
        walks = await rota.problem(session, outlook.garden, wanting, now, seen_to)
    solution = await _solved(walks, solve)
    async with database.begin() as session:
        row = await gardens.lock(session, garden_id)
        if row is None:
            return True
        asked: list[Ask] = []
        shortages: tuple[Shortage, ...] = ()
        if walks is not None and solution is not None:
            asked = await rota.ask(session, walks, solution, now)
            shortages = tuple(
                replace(short, task_id=task_id)
                for short in solution.shortages
                for task_id in walks.walks[short.task_id]
            )
        events = [] if await never_asked(session, row, source) else _weather(row, outlook, now)
        events += await speak(session, row, outlook, asked, shortages, now, touched)
        events += [OfficialEvent(one) for one in await official.to_say(session, row, quiet(row), now)]
        events += await fastening.to_keepers(session, row, outlook, now)
        await tell(session, row, outlook, events)
    return walks is None or solution is not None


async def _solved(walks: rota.Walks | None, solve: Solver) -> Solution | None:
    """The rota; a solver that fails is tried again at the next tick, and keeps nothing else from being said."""
    if walks is None:
        return None
    try:
        return await solve(walks.problem)
    except SolvingFailed:
        logger.exception("no rota for %d duties; tried again at the next tick", len(walks.problem.duties))
        return None


def _weather(row: Garden, outlook: Look, now: datetime) -> list[Event]:
    """Silence must never be read as safe: a missing or stale forecast is said once, and so is its return.

    Either waits for the end of the quiet hours: nobody could do anything about it before.
    """
    held = quiet(row).ends_at(now) > now
    event = _wanting(row, outlook, now)
    if event is not None:
        row.weather_missing_since_at = event.since_at
        if held or row.weather_missing_said_at is not None:
            return []
        row.weather_missing_said_at = now
        return [event]
    since_at, said_at = row.weather_missing_since_at, row.weather_missing_said_at
    if said_at is not None and held:
        return []
    row.weather_missing_since_at = row.weather_missing_said_at = None
    return [WeatherEvent("back", since_at)] if since_at and said_at else []


def _wanting(row: Garden, outlook: Look, now: datetime) -> WeatherEvent | None:
    """What is wrong with the forecast, and since when; None when nothing is."""
    forecast = outlook.forecast
    if forecast is None:
        return WeatherEvent("missing", row.weather_missing_since_at or now)
    if is_stale(forecast, now):
        return WeatherEvent("stale", row.weather_missing_since_at or forecast.issued_at or forecast.fetched_at or now)
    return None
