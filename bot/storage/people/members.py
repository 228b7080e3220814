"""People and their membership of gardens."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import aliased, contains_eager

from bot.core.garden.snapshot import Role
from bot.storage.models import Away, Garden, Member, Person
from bot.storage.read_once import read_once


async def person_by_user(session: AsyncSession, user_id: int) -> Person | None:
    return await session.scalar(select(Person).where(Person.user_id == user_id))


async def person(session: AsyncSession, person_id: int) -> Person:
    return await session.get_one(Person, person_id)


async def by_id(session: AsyncSession, member_id: int) -> Member | None:
    """A member who has not left."""
    found = await session.get(Member, member_id)
    return found if found is not None and found.left_at is None else None


async def ever(session: AsyncSession, member_id: int) -> Member | None:
    """The same, or one who has left."""
    return await session.get(Member, member_id)


async def of_user(session: AsyncSession, user_id: int, garden_id: int | None = None) -> Sequence[Member]:
    """The current memberships of the person behind a chat account, in one garden or in all."""
    found = await _memberships(session, user_id)
    return [member for member, garden in found if garden_id is None or garden.id == garden_id]


async def gardens_of(session: AsyncSession, user_id: int) -> Sequence[Garden]:
    return sorted((garden for _, garden in await _memberships(session, user_id)), key=lambda garden: garden.id)


@read_once(Member, Person)
async def of_several(session: AsyncSession, garden_id: int) -> frozenset[int]:
    """The accounts of a garden's people who belong to another one, too."""
    return frozenset(await session.scalars(_elsewhere_too(), {"garden_id": garden_id}))


@cache
def _elsewhere_too() -> Any:
    other = aliased(Member)
    others = (other.person_id == Member.person_id, other.garden_id != Member.garden_id, other.left_at.is_(None))
    here = (Member.garden_id == bindparam("garden_id"), Member.left_at.is_(None), Person.user_id.is_not(None))
    return select(Person.user_id).join(Member.person).where(*here, select(other.id).where(*others).exists())


@read_once(Member, Person, Garden)
async def _memberships(session: AsyncSession, user_id: int) -> Sequence[tuple[Member, Garden]]:
    rows = await session.execute(_of_account(), {"user_id": user_id})
    return [(member, garden) for member, garden in rows]


@cache
def _of_account() -> Any:
    query = select(Member, Garden).join(Member.person).join(Garden, Garden.id == Member.garden_id)
    query = query.options(contains_eager(Member.person)).execution_options(populate_existing=True)
    return query.where(Person.user_id == bindparam("user_id"), Member.left_at.is_(None)).order_by(Member.id)


@read_once(Member, Person)
async def in_garden(session: AsyncSession, garden_id: int) -> Sequence[Member]:
    return (await session.scalars(_present(), {"garden_id": garden_id})).all()


@cache
def _present() -> Any:
    return (
        select(Member).where(Member.garden_id == bindparam("garden_id"), Member.left_at.is_(None)).order_by(Member.id)
    )


async def organisers(session: AsyncSession, garden_id: int) -> Sequence[Member]:
    return [member for member in await in_garden(session, garden_id) if member.role is Role.ORGANISER]


@read_once(Away, Member)
async def aways(session: AsyncSession, garden_id: int, from_on: date, to_on: date) -> Sequence[Away]:
    """Absences that touch the days from_on to to_on."""
    query = select(Away).join(Member).where(Member.garden_id == garden_id, Away.to_on >= from_on, Away.from_on <= to_on)
    return (await session.scalars(query.order_by(Away.id))).all()
