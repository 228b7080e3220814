"""One tick of the watch over one garden: look, detect, find names, and say what has to be said.

Pots that any windy day may tip: whoever looks after one is told once to fasten it for good.
"""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Awaitable, Callable, Collection, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.tasks.rota import Problem, Shortage, Solution
from bot.core.warnings import fastening as core
from bot.core.warnings import safety
from bot.core.warnings.fastening import Loose
from bot.services.look import Look, look, quiet
from bot.services.tasks import rota, weeks_on_call
from bot.services.tasks.solving import SolvingFailed
from bot.services.warnings import aftermath, detect, official, spells, step
from bot.services.warnings.events import Event, OfficialEvent, ToKeeper, WeatherEvent
from bot.services.warnings.step import speak
from bot.services.weather import score
from bot.services.weather.garden_forecast import Source, is_stale, never_asked
from bot.storage.garden import gardens
from bot.storage.models import Ask, Garden, Place
from bot.storage.people import members
from bot.storage.session import Database
from bot.storage.warnings import warnings as store


async def to_keepers(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> list[ToKeeper]:
    """What is said now, by day: of a plot's pots to its holders, of shared ones to whoever is on call."""
    if outlook.forecast is None or quiet(row).ends_at(now) > now:
        return []
    found = core.coming(core.loose(outlook.garden, outlook.crops), outlook.forecast, now)
    fresh: list[tuple[Place, Loose]] = []
    for one in found:
        place = await session.get(Place, one.place_id)
        if place is not None and place.fasten_told_at is None:
            fresh.append((place, one))
    if not fresh:
        return []
    on_call = await _on_call(session, row, now) if any(place.plot_id is None for place, _ in fresh) else ()
    holders = {plot.id: plot.holder_ids for plot in outlook.garden.plots}
    by_member: dict[int, list[Loose]] = defaultdict(list)
    for place, one in fresh:
        place.fasten_told_at = now
        for member_id in (holders.get(place.plot_id) if place.plot_id else None) or on_call:
            by_member[member_id].append(one)
    return [ToKeeper(member_id, tuple(pots)) for member_id, pots in sorted(by_member.items())]


async def _on_call(session: AsyncSession, row: Garden, now: datetime) -> tuple[int, ...]:
    """This week's; else the organisers."""
    today = now.astimezone(row.tz).date()
    monday = today - timedelta(days=today.weekday())
    week = next((one for one in await weeks_on_call.weeks(session, row, now) if one.starts_on == monday), None)
    return (week.people if week else ()) or tuple(one.id for one in await members.organisers(session, row.id))


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
        await step.end(session, row, outlook, now)
        if outlook.forecast is not None:
            await aftermath.postpone(session, row, safety.outdoors(outlook.garden, outlook.forecast), now)
        wanting = [
            warning.id
            for warning in await store.active(session, row.id, now)
            if detect.needs_names(warning, quiet(row), now)
        ]
        seen_to = await spells.waiting(session, row.id)
        walks = await rota.problem(session, outlook.garden, quiet(row), wanting, now, seen_to)
        if walks is None:  # nobody is to be found, which is the long work that no transaction waits for
            await _say(session, row, source, outlook, (), (), touched, now, tell)
            return True
    solution = await _solved(walks, solve)
    async with database.begin() as session:
        row = await gardens.lock(session, garden_id)
        if row is None:
            return True
        asked: Sequence[Ask] = ()
        shortages: tuple[Shortage, ...] = ()
        if solution is not None:
            asked = await rota.ask(session, walks, solution, now)
            shortages = tuple(
                replace(short, task_id=task_id)
                for short in solution.shortages
                for task_id in walks.walks[short.task_id]
            )
        await _say(session, row, source, outlook, asked, shortages, touched, now, tell)
    return solution is not None


async def _say(
    session: AsyncSession,
    row: Garden,
    source: Source,
    outlook: Look,
    asked: Sequence[Ask],
    shortages: Sequence[Shortage],
    touched: Collection[int],
    now: datetime,
    tell: Teller,
) -> None:
    events = [] if await never_asked(session, row, source) else _weather(row, outlook, now)
    events += await speak(session, row, outlook, asked, shortages, now, touched)
    events += [OfficialEvent(one) for one in await official.to_say(session, row, quiet(row), now)]
    events += await to_keepers(session, row, outlook, now)
    await tell(session, row, outlook, events)


async def _solved(walks: rota.Walks, solve: Solver) -> Solution | None:
    """The rota; a solver that fails is tried again at the next tick, and keeps nothing else from being said."""
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
