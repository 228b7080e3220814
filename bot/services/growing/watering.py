"""Which places want water, from the days since each was last watered and from the rain to come."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Place, PlaceKind, Planting
from bot.core.growing import water
from bot.core.growing.jobs.job import JobKind
from bot.core.growing.water import Watering
from bot.core.weather import days as weather_days
from bot.services.journal.note import Action
from bot.services.look import Look
from bot.services.weather import past_days
from bot.storage.models import Entry, Garden, JobMark
from bot.storage.states import MarkKind

_DAY = timedelta(days=1)


def job_key(place_id: int) -> str:
    """The key of a place's item in the week: a Done of it is a watering."""
    return f"{JobKind.WATER}:{place_id}"


async def due(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> Mapping[int, Watering]:
    """How dry each place with something growing will be this evening, by place id.

    A place whose sizes nobody has told is left out; the organiser's week asks for them.
    """
    if outlook.forecast is None:
        return {}
    today = now.astimezone(row.tz).date()
    every = {day.on: day for day in weather_days.days(outlook.forecast, row.tz)}
    coming = [day for day in every.values() if day.on == today + _DAY]
    for day in await past_days.until(session, row, now):
        if day.min_c is not None or day.on not in every:
            every[day.on] = day
    known = [every[on] for on in sorted(every) if on <= today]
    watered = await _watered(session, row)
    growing: dict[int, list[Planting]] = defaultdict(list)
    for planting in outlook.garden.plantings:
        growing[planting.place_id].append(planting)
    found = {}
    for place in outlook.garden.places:
        since = _since(growing[place.id], watered.get(place.id))
        days = water.unbroken(known, since or date.min, today)
        one = _of_place(place, growing[place.id], days, coming, outlook)
        if one is not None:
            found[place.id] = one
    return found


def _since(plantings: Sequence[Planting], watered_on: date | None) -> date | None:
    """The first day of drying: after the last watering, and after the first batch there was watered in."""
    started = [on for one in plantings if (on := one.planted_on or one.sown_on) is not None]
    full = [on for on in (watered_on, min(started, default=None)) if on is not None]
    return max(full) + _DAY if full else None


def _of_place(
    place: Place,
    plantings: Sequence[Planting],
    days: Sequence[weather_days.Day],
    coming: Sequence[weather_days.Day],
    outlook: Look,
) -> Watering | None:
    rules = [(planting, outlook.crops[planting.crop]) for planting in plantings if planting.crop in outlook.crops]
    if not rules or not days or place.shelter is PlaceKind.INDOORS:
        return None
    try:
        return water.litres_due(
            place, rules, days, coming, latitude=outlook.garden.latitude, altitude_m=outlook.garden.altitude_m
        )
    except ValueError:
        return None


async def _watered(session: AsyncSession, row: Garden) -> Mapping[int, date]:
    """When each place was last watered, by the week's and the turns' Done and by the journal."""
    last: dict[int, date] = {}
    marks = select(JobMark).where(
        JobMark.garden_id == row.id, JobMark.kind == MarkKind.DONE, JobMark.job.startswith(job_key(0)[:-1])
    )
    for mark in await session.scalars(marks):
        place_id, on = int(mark.job.rpartition(":")[2]), mark.marked_at.astimezone(row.tz).date()
        last[place_id] = max(on, last.get(place_id, on))
    noted = select(Entry.place_id, Entry.done_on).where(
        Entry.garden_id == row.id,
        Entry.action == Action.WATERED,
        Entry.undone_at.is_(None),
        Entry.place_id.is_not(None),
    )
    for where, on in await session.execute(noted):
        if where is not None:
            last[where] = max(on, last.get(where, on))
    return last


async def last(session: AsyncSession, garden_id: int, place_id: int) -> Entry | None:
    """The last note that a place, or something in it, was watered."""
    query = select(Entry).where(
        Entry.garden_id == garden_id,
        Entry.place_id == place_id,
        Entry.action == Action.WATERED,
        Entry.undone_at.is_(None),
    )
    return await session.scalar(query.order_by(Entry.done_on.desc(), Entry.id.desc()).limit(1))
