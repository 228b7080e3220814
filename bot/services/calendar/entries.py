"""The life of an entry: draft, published, changed, withdrawn. Each step leaves a trace, and the UID stays."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.calendar.entry import Entry, EntryState, moved
from bot.services.calendar.trace import agrees, as_entry, change, fields, history
from bot.storage.calendar.calendar_rows import CalendarChange, CalendarEntry
from bot.storage.people.person_rows import Member

__all__ = [
    "Compared",
    "by_uid",
    "compare",
    "drafts",
    "drop_drafts",
    "edit",
    "move",
    "publish",
    "put",
    "withdraw",
]

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
