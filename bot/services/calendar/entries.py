"""The life of an entry: draft, published, changed, withdrawn. Each step leaves a trace, and the UID stays.

The trace of the calendar: who changed an entry, and what it was before.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from typing import Any
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.calendar.entry import Entry, EntryKind, EntryState, moved
from bot.storage.calendar.calendar_rows import CalendarChange, CalendarEntry
from bot.storage.people.person_rows import Member


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


NOTHING: Mapping[str, int] = {}


@dataclass(frozen=True, slots=True)
class Compared:
    """What would come of entries: new ones, (before, after) of known ones, and those that say nothing new."""

    new: tuple[Entry, ...]
    changed: tuple[tuple[Entry, Entry], ...]
    same: tuple[Entry, ...]


@dataclass(slots=True)
class _Known:
    by_uid: dict[str, CalendarEntry] = field(default_factory=dict)
    by_content: dict[tuple[Any, ...], CalendarEntry] = field(default_factory=dict)

    def add(self, row: CalendarEntry) -> None:
        self.by_uid[row.uid] = row
        if row.state is not EntryState.WITHDRAWN:
            self.by_content[_content(as_entry(row))] = row

    def find(self, entry: Entry) -> CalendarEntry | None:
        return self.by_uid.get(entry.uid) if entry.uid else self.by_content.get(_content(entry))


async def put(
    session: AsyncSession,
    garden_id: int,
    member: Member,
    entries: Iterable[Entry],
    now: datetime,
    sequences: Mapping[str, int] = NOTHING,
) -> Sequence[CalendarEntry]:
    """Keep entries as drafts; one that is known here (see `compare`) is changed instead, published or not.

    An entry without a UID is new and is given one. sequences: by UID, what a file said, which ours must not fall behind.
    A withdrawn entry that comes again is a draft again.
    """
    known = await _known(session, garden_id)
    rows = []
    for entry in entries:
        row = known.find(entry)
        if row is None:
            row = await _added(session, garden_id, member, entry, now)
            known.add(row)
        else:
            state = EntryState.DRAFT if row.state is EntryState.WITHDRAWN else row.state
            change(session, row, member, now, state, entry)
        row.sequence = max(row.sequence, sequences.get(entry.uid, 0))
        rows.append(row)
    await session.flush()
    return rows


async def compare(session: AsyncSession, garden_id: int, entries: Iterable[Entry]) -> Compared:
    """What `put` would do: an entry is known by its UID, or, without one, by its title and its days and hours."""
    known = await _known(session, garden_id)
    new, changed, same = [], [], []
    for entry in entries:
        row = known.find(entry)
        if row is None:
            new.append(entry)
        elif row.state is not EntryState.WITHDRAWN and agrees(row, fields(entry)):
            same.append(entry)
        else:
            changed.append((as_entry(row), entry))
    return Compared(tuple(new), tuple(changed), tuple(same))


async def by_uid(session: AsyncSession, garden_id: int, uid: str) -> CalendarEntry | None:
    return await session.scalar(
        select(CalendarEntry).where(CalendarEntry.garden_id == garden_id, CalendarEntry.uid == uid)
    )


async def drafts(session: AsyncSession, garden_id: int) -> Sequence[CalendarEntry]:
    """What waits to be published, in the order of its days."""
    rows = await session.scalars(
        select(CalendarEntry)
        .where(CalendarEntry.garden_id == garden_id, CalendarEntry.state == EntryState.DRAFT)
        .order_by(CalendarEntry.first_on, CalendarEntry.id)
    )
    return rows.all()


async def publish(session: AsyncSession, garden_id: int, member: Member, now: datetime) -> Sequence[CalendarEntry]:
    """Publish every draft; returns them. With none it does nothing."""
    rows = await drafts(session, garden_id)
    for row in rows:
        change(session, row, member, now, EntryState.PUBLISHED)
    await session.flush()
    return rows


async def drop_drafts(session: AsyncSession, garden_id: int, uids: Iterable[str]) -> int:
    """Throw away drafts that were never published; those that once were are withdrawn again. Returns how many."""
    wanted = frozenset(uids)
    rows = [row for row in await drafts(session, garden_id) if row.uid in wanted]
    for row in rows:
        if any(step.state is EntryState.WITHDRAWN for step in await history(session, row)):
            row.state = EntryState.WITHDRAWN
        else:
            await session.delete(row)
    await session.flush()
    return len(rows)


async def edit(session: AsyncSession, row: CalendarEntry, member: Member, entry: Entry, now: datetime) -> bool:
    """Change what an entry says; False when it says so already. A withdrawn entry is published again by it."""
    state = EntryState.PUBLISHED if row.state is EntryState.WITHDRAWN else row.state
    changed = change(session, row, member, now, state, entry)
    await session.flush()
    return changed


async def move(
    session: AsyncSession, row: CalendarEntry, member: Member, occurrence_on: date, new_first_on: date, now: datetime
) -> CalendarEntry:
    """Move one time of an entry to another day; returns the entry that has it now.

    Of an entry that repeats, only that time falls out, and an entry of its own takes its place.
    """
    entry = as_entry(row)
    if not entry.rrule:
        await edit(session, row, member, moved(entry, new_first_on), now)
        return row
    await edit(session, row, member, replace(entry, skips=tuple(sorted({*entry.skips, occurrence_on}))), now)
    single = replace(moved(entry, new_first_on), rrule="", skips=(), uid="")
    own = await _added(session, row.garden_id, member, single, now)
    change(session, own, member, now, row.state)
    await session.flush()
    return own


async def withdraw(session: AsyncSession, row: CalendarEntry, member: Member, now: datetime) -> bool:
    """Take a published entry back; it stays in the file as cancelled. False when it is not published."""
    if row.state is not EntryState.PUBLISHED:
        return False
    changed = change(session, row, member, now, EntryState.WITHDRAWN)
    await session.flush()
    return changed


async def _known(session: AsyncSession, garden_id: int) -> _Known:
    known = _Known()
    for row in await session.scalars(select(CalendarEntry).where(CalendarEntry.garden_id == garden_id)):
        known.add(row)
    return known


async def _added(session: AsyncSession, garden_id: int, member: Member, entry: Entry, now: datetime) -> CalendarEntry:
    row = CalendarEntry(
        garden_id=garden_id,
        uid=entry.uid or str(uuid4()),
        created_by=member.id,
        changed_at=now,
        state=EntryState.DRAFT,
        sequence=0,
        **fields(entry),
    )
    session.add(row)
    await session.flush()
    session.add(CalendarChange(entry_id=row.id, member_id=member.id, changed_at=now, before=None))
    return row


def _content(entry: Entry) -> tuple[Any, ...]:
    return (entry.title.casefold(), entry.first_on, entry.last_on, entry.starts, entry.ends, entry.rrule)
