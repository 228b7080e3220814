"""What stands in the calendar: by days, as a file, for the pinned message, and what must be reminded of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.calendar.entry import EntryState, Occurrence, occurrences, rule_parts
from bot.services.calendar.entries import as_entry
from bot.services.look import quiet
from bot.storage.calendar.calendar_rows import Calendar, CalendarEntry
from bot.storage.models import Garden
from bot.storage.read_once import read_once

REMIND = time(17)  # of the day before: after work and before dusk for most of the season: common practice, no source
LATEST = time(12)  # of the first of whole days, when reminding of them has lost its use: common practice, no source
COMING = timedelta(days=7)
PINNED = timedelta(days=61)


@dataclass(frozen=True, slots=True)
class Reminder:
    """key: unique for this time of this entry, for the outbox. expires_at: when it has lost its use."""

    key: str
    occurrence: Occurrence
    expires_at: datetime


async def calendar_of(session: AsyncSession, garden_id: int) -> Calendar:
    """The garden's calendar, made when it is first asked for."""
    found = await session.get(Calendar, garden_id)
    if found is None:
        found = Calendar(garden_id=garden_id, uid=str(uuid4()))
        session.add(found)
        await session.flush()
    return found


@read_once(CalendarEntry)
async def published(session: AsyncSession, garden_id: int, *, withdrawn: bool = False) -> Sequence[CalendarEntry]:
    """Every published entry, on request with those withdrawn, in the order of their days."""
    states = [EntryState.PUBLISHED, *([EntryState.WITHDRAWN] if withdrawn else [])]
    rows = await session.scalars(
        select(CalendarEntry)
        .where(CalendarEntry.garden_id == garden_id, CalendarEntry.state.in_(states))
        .order_by(CalendarEntry.first_on, CalendarEntry.id)
    )
    return rows.all()


async def between(session: AsyncSession, garden_id: int, first_on: date, last_on: date) -> tuple[Occurrence, ...]:
    """Every time of a published entry that touches those local days, in order."""
    return occurrences(map(as_entry, await published(session, garden_id)), first_on, last_on)


async def coming(session: AsyncSession, garden: Garden, now: datetime) -> tuple[Occurrence, ...]:
    """What the week's answer should name: everything that goes on, or begins, within seven days."""
    today = now.astimezone(garden.tz).date()
    found = await between(session, garden.id, today, today + COMING)
    return tuple(one for one in found if one.bounds(garden.tz)[1] >= now)


async def two_months(session: AsyncSession, garden: Garden, now: datetime) -> tuple[Occurrence, ...]:
    """What the pinned message shows."""
    today = now.astimezone(garden.tz).date()
    return await between(session, garden.id, today, today + PINNED)


async def ics(session: AsyncSession, garden: Garden) -> bytes | None:
    """The calendar file, withdrawn entries as cancelled; None when nothing was ever published."""
    from bot.services.calendar.ical_out import (
        Listed,
        calendar_ics,  # large, and seldom asked for
    )

    rows = await published(session, garden.id, withdrawn=True)
    listed = [Listed(as_entry(row), row.sequence, row.changed_at, row.state is EntryState.WITHDRAWN) for row in rows]
    return calendar_ics(garden.name, listed, garden.tz)


async def reminders_due(session: AsyncSession, garden: Garden, now: datetime) -> tuple[Reminder, ...]:
    """What to remind of at `now`, at 17:00 of the day before on; again and again until it has begun, by the same key.

    What repeats day by day is reminded of once. Nothing in the quiet hours: it waits for their end.
    """
    if quiet(garden).ends_at(now) > now:
        return ()
    today = now.astimezone(garden.tz).date()
    entries = [as_entry(row) for row in await published(session, garden.id)]
    found = []
    for one in occurrences(entries, today, today + timedelta(days=1)):
        remind_at = datetime.combine(one.first_on - timedelta(days=1), REMIND, garden.tz)
        until = one.entry.starts or LATEST
        expires_at = datetime.combine(one.first_on, until, garden.tz).astimezone(now.tzinfo)
        if remind_at <= now < expires_at and not _goes_on(one):
            found.append(Reminder(f"calendar:{one.key}", one, expires_at))
    return tuple(found)


def _goes_on(one: Occurrence) -> bool:
    """Whether it is a later day of what repeats every day."""
    daily = bool(one.entry.rrule) and rule_parts(one.entry.rrule)["FREQ"] == "DAILY"
    return daily and one.first_on > one.entry.first_on
