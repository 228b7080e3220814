"""What is stored about one person: told, given out whole, and forgotten.

What the kept messages hold of one person: given out with the rest, and taken out when they are to be forgotten.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from html import escape
from typing import Any

from sqlalchemy import Table, delete, func, or_, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.people.names import untappable
from bot.services.people import keys, leaving, membership, proxy
from bot.storage.models import (
    Ask,
    Away,
    Base,
    ClaimCode,
    CodeGuess,
    Entry,
    Errand,
    FreeTime,
    Garden,
    Inbox,
    JobMark,
    Key,
    Knock,
    Member,
    Outbox,
    PendingNote,
    Person,
    Plot,
    PlotHolder,
    Reading,
    Setup,
)
from bot.storage.states import ErrandKind, SendState

_SETTLED = (SendState.SENT, SendState.FAILED, SendState.UNCERTAIN, SendState.EXPIRED)
#: Names are cut to this length where a message shows them (chat/html.py: safe).
_SHOWN_N = 39


def wrote(payload: dict[str, Any], user_id: int | None) -> bool:
    """Whether an update is theirs: something they wrote, tapped or did, in whichever chat."""
    parts = [part for part in payload.values() if isinstance(part, dict)]
    return user_id is not None and any(
        isinstance(part.get("from"), dict) and part["from"].get("id") == user_id for part in parts
    )


async def empty_traces(session: AsyncSession, person: Person, nobody: str) -> None:
    """Their private chat goes, whole; elsewhere, what was sent and names them is emptied, what waits says `nobody`.

    Of what came in, everything that speaks of their account is emptied: their own messages and presses, answers to
    them, and their joining. An update that is being handled now goes by the clock.
    """
    if person.user_id is not None:
        await _forget_chat(session, person.user_id)
        for row in await session.scalars(select(Inbox).where(Inbox.done_at.is_not(None))):
            if any(part.get("id") == person.user_id for part in _parts(row.payload)):
                row.payload = {}
    named = _named(person)
    rows = await session.scalars(select(Outbox).where(Outbox.state != SendState.SENDING))
    for sent in rows:
        text = json.dumps(sent.payload, ensure_ascii=False)
        if not named.search(text):
            continue
        sent.payload = {} if sent.state in _SETTLED else json.loads(named.sub(nobody, text))


async def _forget_chat(session: AsyncSession, user_id: int) -> None:
    private = Outbox.chat_id == user_id
    await session.execute(delete(Outbox).where(private, Outbox.edits.is_not(None)))
    waiting = update(Outbox).where(private, Outbox.state == SendState.PENDING)
    await session.execute(waiting.values(state=SendState.EXPIRED))
    await session.execute(delete(Outbox).where(private, Outbox.state.in_(_SETTLED)))


def _parts(value: Any) -> Iterator[dict[str, Any]]:
    """Every object within an update."""
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from _parts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _parts(inner)


def _named(person: Person) -> re.Pattern[str]:
    """Their name as messages show it, as a word of its own, their user name, or their account's number."""
    name = person.name[:_SHOWN_N]
    shown = {json.dumps(escape(form, quote=False), ensure_ascii=False)[1:-1] for form in (name, untappable(name))}
    account = (person.username, person.user_id)
    words = [*sorted(shown), *(str(word) for word in account if word)]
    return re.compile(rf"(?<!\w)(?:{'|'.join(re.escape(word) for word in words)})(?!\w)")


#: What stands in place of a name once it is forgotten.
NOBODY = "–"


@dataclass(frozen=True, slots=True)
class AboutPerson:
    """What one garden knows of a person. has_left: they are no longer a member. helps: whom they help, who has no app."""

    garden: str
    member: Member
    has_left: bool
    plots: tuple[str, ...]
    helps: tuple[str, ...]
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


async def known(session: AsyncSession, person: Person) -> tuple[AboutPerson, ...]:
    """One for each garden, in order of joining."""
    return tuple([await _known(session, member) for member in await _memberships(session, person)])


async def _known(session: AsyncSession, member: Member) -> AboutPerson:
    garden = await session.get_one(Garden, member.garden_id)
    plots = select(Plot.name).join(PlotHolder).where(PlotHolder.member_id == member.id).order_by(Plot.id)
    return AboutPerson(
        garden=garden.name,
        member=member,
        has_left=member.left_at is not None,
        plots=tuple(await session.scalars(plots)),
        helps=tuple(one.person.name for one in await proxy.helped_by(session, member)),
        keys_n=await _count(session, Key, Key.holder_member_id == member.id),
        aways_n=await _count(session, Away, Away.member_id == member.id),
        turns_n=await _count(session, Ask, Ask.member_id == member.id),
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
        if table.name == Outbox.__tablename__:
            conditions.append(table.c.chat_id == person.user_id)
        if table.name == CodeGuess.__tablename__:
            conditions.append(table.c.user_id == person.user_id)
        if conditions:
            rows = await session.execute(select(table).where(or_(*conditions)))
            found[table.name] = [{name: _plain(value) for name, value in row.items()} for row in rows.mappings()]
    found[Inbox.__tablename__] = await _written(session, person)
    return {name: rows for name, rows in found.items() if rows}


async def _written(session: AsyncSession, person: Person) -> list[dict[str, Any]]:
    """What came in from them, in whichever chat, as long as it is kept."""
    rows = (await session.execute(select(Inbox.__table__))).mappings()
    return [
        {name: _plain(value) for name, value in row.items()} for row in rows if wrote(row["payload"], person.user_id)
    ]


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
    # Whoever has begun to set a garden up is a member of none yet.
    await session.execute(delete(Setup).where(Setup.person_id == person.id))
    await session.execute(delete(CodeGuess).where(CodeGuess.user_id == person.user_id))
    await empty_traces(session, person, NOBODY)
    person.name, person.username, person.user_id = NOBODY, None, None
    person.garden_id = person.private_ok_at = person.blocked_at = None
    person.language = "en"
    await session.flush()
    return Forgotten(left_keys)


async def _strip(session: AsyncSession, member: Member) -> None:
    """What only served to know this member goes; the journal and the record of turns stay."""
    for table in (Away, ClaimCode, Errand, FreeTime, JobMark, Knock, PendingNote, PlotHolder):
        await session.execute(delete(table).where(table.member_id == member.id))
    # What was played in their garden names them too.
    played = delete(Errand).where(Errand.garden_id == member.garden_id, Errand.kind == ErrandKind.REHEARSAL)
    await session.execute(played)
    await session.execute(update(Entry).where(Entry.member_id == member.id).values(photo_id=None))
    member.lift_kg = member.per_week = member.travel_min = None
    member.lift_back_on = member.lift_back_kg = None
    member.heard_at = member.still_asked_at = member.removed_at = None
    member.mornings_only, member.skills = False, ""
