"""Two rows that turn out to be one person: somebody listed without an account, and the account that has joined since."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Column, PrimaryKeyConstraint, Table, UniqueConstraint, delete, exists, func, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.storage.models import Ask, Base, ClaimCode, FreeTime, Knock, Member, NamedHelper, Person
from bot.storage.states import AskState

__all__ = ["merge"]


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
