"""The trace of the calendar: who changed an entry, and what it was before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.calendar.entry import Entry, EntryKind, EntryState
from bot.storage.calendar.calendar_rows import CalendarChange, CalendarEntry
from bot.storage.people.person_rows import Member

__all__ = ["Changed", "agrees", "as_entry", "change", "fields", "history"]


@dataclass(frozen=True, slots=True)
class Changed:
    """One step of an entry's history. by: the member's name, None once forgotten. before: None where it was new."""

    at: datetime
    by: str | None
    state: EntryState | None
    before: Entry | None


def as_entry(row: CalendarEntry) -> Entry:
    """The stored entry as core sees it."""
    return Entry(
        title=row.title,
        kind=row.kind,
        first_on=row.first_on,
        last_on=row.last_on,
        starts=row.starts,
        ends=row.ends,
        rrule=row.rrule,
        skips=tuple(date.fromisoformat(day) for day in row.skips),
        crop=row.crop,
        uid=row.uid,
    )


async def history(session: AsyncSession, row: CalendarEntry) -> tuple[Changed, ...]:
    """Every step, the latest first."""
    changes = await session.execute(
        select(CalendarChange, Member)
        .outerjoin(Member, Member.id == CalendarChange.member_id)
        .where(CalendarChange.entry_id == row.id)
        .order_by(CalendarChange.id.desc())
    )
    return tuple(_step(change, member) for change, member in changes)


def _step(change: CalendarChange, member: Member | None) -> Changed:
    by = member.person.name if member is not None else None
    if change.before is None:
        return Changed(change.changed_at, by, None, None)
    state = EntryState(change.before["state"])
    return Changed(change.changed_at, by, state, _from_kept(change.before))


def change(
    session: AsyncSession,
    row: CalendarEntry,
    member: Member,
    now: datetime,
    state: EntryState,
    entry: Entry | None = None,
) -> bool:
    """Note what was before, then change it; SEQUENCE counts what calendars that have the entry must learn of."""
    said = fields(entry) if entry is not None else {}
    if state is row.state and agrees(row, said):
        return False
    session.add(CalendarChange(entry_id=row.id, member_id=member.id, changed_at=now, before=_kept(row)))
    if row.state is not EntryState.DRAFT or state is EntryState.PUBLISHED:
        row.sequence += 1
    for name, value in said.items():
        setattr(row, name, value)
    row.state, row.changed_at = state, now
    return True


def agrees(row: CalendarEntry, said: dict[str, Any]) -> bool:
    """Whether the row says all that already."""
    return all(getattr(row, name) == value for name, value in said.items())


def fields(entry: Entry) -> dict[str, Any]:
    """The columns that hold what an entry says."""
    return {
        "title": entry.title,
        "kind": entry.kind,
        "first_on": entry.first_on,
        "last_on": entry.last_on,
        "starts": entry.starts,
        "ends": entry.ends,
        "rrule": entry.rrule,
        "skips": [day.isoformat() for day in entry.skips],
        "crop": entry.crop,
    }


def _kept(row: CalendarEntry) -> dict[str, Any]:
    """The row as JSON."""
    plain = {
        name: value.isoformat() if isinstance(value, date | time) else value
        for name, value in fields(as_entry(row)).items()
    }
    return {**plain, "kind": str(row.kind), "state": str(row.state), "uid": row.uid}


def _from_kept(kept: dict[str, Any]) -> Entry:
    clock = {name: time.fromisoformat(kept[name]) if kept[name] else None for name in ("starts", "ends")}
    return Entry(
        title=kept["title"],
        kind=EntryKind(kept["kind"]),
        first_on=date.fromisoformat(kept["first_on"]),
        last_on=date.fromisoformat(kept["last_on"]),
        rrule=kept["rrule"],
        skips=tuple(date.fromisoformat(day) for day in kept["skips"]),
        crop=kept["crop"],
        uid=kept["uid"],
        **clock,
    )
