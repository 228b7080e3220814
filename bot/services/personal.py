"""What is stored about one person: told, given out whole, and forgotten."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import Table, delete, func, or_, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services import keys, leaving, membership
from bot.storage.models import (
    Ask,
    Away,
    Base,
    Duty,
    Entry,
    Errand,
    FreeTime,
    Garden,
    Inbox,
    JobMark,
    Key,
    Member,
    Outbox,
    PendingNote,
    Person,
    Plot,
    PlotHolder,
    Reading,
)
from bot.storage.states import SendState

__all__ = ["NOBODY", "Forgotten", "Known", "export", "forget", "known"]

#: What stands in place of a name once it is forgotten.
NOBODY = "–"
_SETTLED = (SendState.SENT, SendState.FAILED, SendState.UNCERTAIN, SendState.EXPIRED)


@dataclass(frozen=True, slots=True)
class Known:
    """What one garden knows of a person. has_left: they are no longer a member."""

    garden: str
    member: Member
    has_left: bool
    plots: tuple[str, ...]
    keys_n: int
    aways_n: int
    turns_n: int
    entries_n: int
    readings_n: int


@dataclass(frozen=True, slots=True)
class Forgotten:
    """keys: names of the keys they held, by garden id. alone_in: gardens that would have no organiser; then nothing
    was forgotten.
    """

    keys: dict[int, tuple[str, ...]]
    alone_in: tuple[str, ...] = ()


async def known(session: AsyncSession, person: Person) -> tuple[Known, ...]:
    """One for each garden, in order of joining."""
    return tuple([await _known(session, member) for member in await _memberships(session, person)])


async def _known(session: AsyncSession, member: Member) -> Known:
    garden = await session.get_one(Garden, member.garden_id)
    plots = select(Plot.name).join(PlotHolder).where(PlotHolder.member_id == member.id).order_by(Plot.id)
    turns = select(func.count()).select_from(Ask).join(Duty, Duty.id == Ask.duty_id).where(Ask.member_id == member.id)
    return Known(
        garden=garden.name,
        member=member,
        has_left=member.left_at is not None,
        plots=tuple(await session.scalars(plots)),
        keys_n=await _count(session, Key, Key.holder_member_id == member.id),
        aways_n=await _count(session, Away, Away.member_id == member.id),
        turns_n=await session.scalar(turns) or 0,
        entries_n=await _count(session, Entry, Entry.member_id == member.id),
        readings_n=await _count(session, Reading, Reading.member_id == member.id),
    )


async def _count(session: AsyncSession, table: type[Base], condition: Any) -> int:
    return await session.scalar(select(func.count()).select_from(table).where(condition)) or 0


async def _memberships(session: AsyncSession, person: Person) -> Sequence[Member]:
    return (await session.scalars(select(Member).where(Member.person_id == person.id).order_by(Member.id))).all()


async def export(session: AsyncSession, person: Person) -> dict[str, Any]:
    """Every row that is about this person, by table: whatever points at them, so that a new table is not left out."""
    mine = [member.id for member in await _memberships(session, person)]
    found: dict[str, Any] = {}
    for table in Base.metadata.sorted_tables:
        conditions = [column == person.id for column in _pointing(table, Person)]
        conditions += [column.in_(mine) for column in _pointing(table, Member)]
        if table.name == Person.__tablename__:
            conditions.append(table.c.id == person.id)
        if table.name == Member.__tablename__:
            conditions.append(table.c.id.in_(mine))
        if table.name in (Inbox.__tablename__, Outbox.__tablename__):
            conditions.append(table.c.chat_id == person.user_id)
        if conditions:
            rows = await session.execute(select(table).where(or_(*conditions)))
            found[table.name] = [{name: _plain(value) for name, value in row.items()} for row in rows.mappings()]
    return {name: rows for name, rows in found.items() if rows}


def _pointing(table: Table, at: type[Base]) -> list[Any]:
    """The columns that name rows of another table."""
    return [key.parent for key in table.foreign_keys if key.column.table.name == at.__tablename__]


def _plain(value: Any) -> Any:
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, bytes):  # a file that was sent, which is its sender's already and may name others
        return f"{len(value)} bytes"
    return value.isoformat() if isinstance(value, (date, datetime)) else value


async def forget(session: AsyncSession, person: Person, now: datetime) -> Forgotten:
    """Take the person out: memberships end, turns go to others, and what stays of the records bears no name."""
    memberships = await _memberships(session, person)
    alone = [one for one in memberships if one.left_at is None and await membership.is_last(session, one)]
    if alone:
        names = [(await session.get_one(Garden, one.garden_id)).name for one in alone]
        return Forgotten({}, tuple(names))
    left_keys = {}
    for member in memberships:
        if member.left_at is None:
            await leaving.end(session, member, now)
        held = await keys.let_go(session, member, now)
        if held:
            left_keys[member.garden_id] = held
        await _strip(session, member)
    await _forget_messages(session, person)
    person.name, person.username, person.user_id = NOBODY, None, None
    person.garden_id = person.private_ok_at = person.blocked_at = None
    person.language = "en"
    await session.flush()
    return Forgotten(left_keys)


async def _strip(session: AsyncSession, member: Member) -> None:
    """What only served to know this member goes; the journal and the record of turns stay."""
    for table in (Away, Errand, FreeTime, JobMark, PendingNote, PlotHolder):
        await session.execute(delete(table).where(table.member_id == member.id))
    await session.execute(update(Entry).where(Entry.member_id == member.id).values(photo_id=None))
    member.lift_kg = member.per_week = None
    member.mornings_only, member.skills = False, ""


async def _forget_messages(session: AsyncSession, person: Person) -> None:
    """Their private chat, whole; and what they wrote in groups, which is kept for some days."""
    private = Outbox.chat_id == person.user_id
    await session.execute(delete(Outbox).where(private, Outbox.edits.is_not(None)))
    waiting = update(Outbox).where(private, Outbox.state == SendState.PENDING)
    await session.execute(waiting.values(state=SendState.EXPIRED))
    await session.execute(delete(Outbox).where(private, Outbox.state.in_(_SETTLED)))
    for row in await session.scalars(select(Inbox).where(Inbox.done_at.is_not(None))):
        if _writer(row.payload) == person.user_id:
            row.payload = {}


def _writer(payload: dict[str, Any]) -> int | None:
    """Whose update it was."""
    parts = [part for part in payload.values() if isinstance(part, dict)]
    return next((part["from"].get("id") for part in parts if isinstance(part.get("from"), dict)), None)
