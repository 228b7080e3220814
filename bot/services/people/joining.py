"""How people come to a garden: through its group, by a code, by an organiser's word. Never by a name.

Two rows that turn out to be one person: somebody listed without an account, and the account that has joined since.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import Column, PrimaryKeyConstraint, Table, UniqueConstraint, delete, exists, func, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.crops.find import fold
from bot.services.people import codes
from bot.storage.models import Ask, Base, ClaimCode, FreeTime, Garden, Knock, Member, NamedHelper, Person
from bot.storage.people import members
from bot.storage.states import AskState


async def merge(session: AsyncSession, newcomer: Member, listed: Member) -> None:
    """All that is the listed one's becomes the newcomer's, who keeps what they have said and done meanwhile.

    The newcomer's row stays, since the buttons on their phone name it. What both have said counts as the newcomer says.
    """
    await _wishes(session, newcomer, listed)
    for open_ in (ClaimCode, Knock, NamedHelper):  # they have the app now, and nothing is open about the place
        await session.execute(delete(open_).where(open_.member_id == listed.id))
    accepted = select(Ask.task_id).where(Ask.member_id == listed.id, Ask.state == AskState.ACCEPTED)
    await session.execute(
        delete(Ask).where(Ask.member_id == newcomer.id, Ask.state != AskState.ACCEPTED, Ask.task_id.in_(accepted))
    )
    for table in Base.metadata.sorted_tables:
        for column in table.columns:
            if any(key.column.table is Member.__table__ for key in column.foreign_keys):
                await _move(session, table, column, listed.id, newcomer.id)
    await _person(session, newcomer, listed)
    await session.flush()


async def _wishes(session: AsyncSession, newcomer: Member, listed: Member) -> None:
    if listed.role is Role.ORGANISER:
        newcomer.role = Role.ORGANISER
    newcomer.adult = newcomer.adult or listed.adult
    newcomer.has_key = newcomer.has_key or listed.has_key
    newcomer.joined_at = min(newcomer.joined_at, listed.joined_at)
    if newcomer.lift_kg is None:  # the first thing that is asked: nothing has been said yet
        newcomer.lift_kg, newcomer.mornings_only = listed.lift_kg, newcomer.mornings_only or listed.mornings_only
    if newcomer.per_week is None:
        newcomer.per_week = listed.per_week
    if newcomer.travel_min is None:
        newcomer.travel_min = listed.travel_min
    newcomer.skills = newcomer.skills or listed.skills
    said = await session.scalar(select(func.count()).where(FreeTime.member_id == newcomer.id))
    if said:
        await session.execute(delete(FreeTime).where(FreeTime.member_id == listed.id))


async def _move(session: AsyncSession, table: Table, column: Column[Any], old: int, new: int) -> None:
    """Rows that name one member name the other; where there may be one only, the one that is there stays."""
    for rule in table.constraints:
        if isinstance(rule, (PrimaryKeyConstraint, UniqueConstraint)) and column.name in rule.columns:
            there = table.alias()
            same = [there.c[one.name] == one for one in rule.columns if one.name != column.name]
            taken = exists().where(there.c[column.name] == new, *same)
            await session.execute(delete(table).where(column == old, taken))
    await session.execute(update(table).where(column == old).values({column.name: new}))


async def _person(session: AsyncSession, newcomer: Member, listed: Member) -> None:
    """The name on the list stays, by which the garden's files know them, unless another garden has theirs."""
    person, other = newcomer.person, listed.person
    elsewhere = await session.scalar(
        select(func.count()).where(Member.person_id == person.id, Member.id != newcomer.id)
    )
    if not elsewhere:
        person.name = other.name
    await session.delete(listed)
    await session.flush()
    if not await session.scalar(select(func.count()).where(Member.person_id == other.id)):
        await session.execute(delete(Person).where(Person.id == other.id))


@dataclass(frozen=True, slots=True)
class Newcomer:
    """Somebody as the chat platform knows them. name: cleaned, never empty. shown: their whole name, as a group sees it."""

    user_id: int
    name: str
    shown: str
    username: str | None
    language: str


class Came(StrEnum):
    """How somebody who wants to join stands to the garden."""

    ALREADY = "already"
    NEW = "new"
    AGAIN = "again"  # had left by themselves
    REMOVED = "removed"  # by an organiser, who has to let them in


@dataclass(frozen=True, slots=True)
class Claimed:
    """What a code gave. place: whose place on the list it was, None for a new organiser."""

    garden: Garden
    member: Member
    place: str | None


async def person_of(session: AsyncSession, who: Newcomer) -> Person:
    """The person behind an account, known before or new."""
    person = await members.person_by_user(session, who.user_id)
    if person is None:
        person = Person(name=who.name, user_id=who.user_id, username=who.username, language=who.language)
        session.add(person)
        await session.flush()
    return person


async def join(session: AsyncSession, garden: Garden, who: Newcomer, now: datetime) -> tuple[Member, Came]:
    """The account as a member: as it was known, else a plain new one. Whoever was removed stays out, and knocks.

    So does somebody new whose name is like one on the list: only the organisers know whether they are the same.
    """
    person = await person_of(session, who)
    member = await session.scalar(select(Member).where(Member.garden_id == garden.id, Member.person_id == person.id))
    if member is None:
        # Only adults take turns: nobody counts as one before they have said so themselves.
        member = Member(garden_id=garden.id, person=person, adult=False, joined_at=now)
        session.add(member)
        await session.flush()
        if alike(who.shown, await listed(session, garden.id)):
            await _knock(session, member, who, now)
        return member, Came.NEW
    if member.removed_at is not None:
        await _knock(session, member, who, now)
        return member, Came.REMOVED
    came = Came.ALREADY if member.left_at is None else Came.AGAIN
    member.left_at = None
    await session.flush()
    return member, came


async def claim(session: AsyncSession, text: str, who: Newcomer, now: datetime) -> Claimed | None:
    """What a code gives to the account that sends it, once; None when it is no code, or none any more."""
    code = await codes.take(session, text, now)
    place = await session.get(Member, code.member_id) if code is not None and code.member_id is not None else None
    if code is None or (place is not None and (place.left_at is not None or place.person.user_id is not None)):
        return None
    garden = await session.get_one(Garden, code.garden_id)
    member, _ = await join(session, garden, who, now)
    await let_in(session, member)
    if place is None:
        member.role, member.adult = Role.ORGANISER, True
        await session.flush()
        return Claimed(garden, member, None)
    name = place.person.name
    await settle(session, member, now)
    await merge(session, member, place)
    return Claimed(garden, member, name)


async def let_in(session: AsyncSession, member: Member) -> None:
    """A member, whatever was before."""
    member.left_at = member.removed_at = None
    await session.flush()


async def listed(session: AsyncSession, garden_id: int) -> list[Member]:
    """Who is on the list without an account."""
    return [one for one in await members.in_garden(session, garden_id) if one.person.user_id is None]


def alike(name: str, on_list: list[Member]) -> list[Member]:
    """Those on the list who may be meant: the same name, or the same first word of it."""
    words = fold(name).split()
    return [one for one in on_list if words and fold(one.person.name).split()[:1] == words[:1]]


async def _knock(session: AsyncSession, member: Member, who: Newcomer, now: datetime) -> None:
    """Ask the organisers, once; whoever has been answered is not asked about again until that is long ago."""
    if await session.get(Knock, member.id) is None:
        session.add(Knock(member_id=member.id, shown=who.shown, asked_at=now))
        await session.flush()


async def open_knock(session: AsyncSession, member: Member) -> Knock | None:
    row = await session.get(Knock, member.id)
    return row if row is not None and row.answered_at is None else None


async def knocks(session: AsyncSession, garden_id: int) -> list[tuple[Knock, Member]]:
    """All that are open, the oldest first."""
    query = select(Knock, Member).join(Member, Member.id == Knock.member_id)
    query = query.where(Member.garden_id == garden_id, Knock.answered_at.is_(None))
    return [(knock, member) for knock, member in await session.execute(query.order_by(Knock.asked_at, Member.id))]


async def settle(session: AsyncSession, member: Member, now: datetime) -> None:
    """The question about this member is answered."""
    row = await session.get(Knock, member.id)
    if row is not None:
        row.answered_at = row.answered_at or now
        await session.flush()


async def unbound(session: AsyncSession, user_id: int) -> list[Garden]:
    """The gardens that this account organises and that have no group chat yet."""
    found = []
    for member in await members.of_user(session, user_id):
        garden = await session.get_one(Garden, member.garden_id)
        if garden.chat_id is None and member.role is Role.ORGANISER:
            found.append(garden)
    return found
