"""People and their membership of gardens."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.storage.models import Away, Garden, Member, Person

__all__ = ["aways", "by_id", "gardens_of", "in_garden", "of_user", "organisers", "person_by_user"]


async def person_by_user(session: AsyncSession, user_id: int) -> Person | None:
    return await session.scalar(select(Person).where(Person.user_id == user_id))


async def by_id(session: AsyncSession, member_id: int) -> Member | None:
    """A member who has not left."""
    return await session.scalar(select(Member).where(Member.id == member_id, Member.left_at.is_(None)))


async def of_user(session: AsyncSession, user_id: int, garden_id: int | None = None) -> Sequence[Member]:
    """The current memberships of the person behind a chat account, in one garden or in all."""
    query = select(Member).join(Person).where(Person.user_id == user_id, Member.left_at.is_(None))
    if garden_id is not None:
        query = query.where(Member.garden_id == garden_id)
    return (await session.scalars(query.order_by(Member.id))).all()


async def gardens_of(session: AsyncSession, user_id: int) -> Sequence[Garden]:
    query = select(Garden).join(Member).join(Person).where(Person.user_id == user_id, Member.left_at.is_(None))
    return (await session.scalars(query.order_by(Garden.id))).all()


async def in_garden(session: AsyncSession, garden_id: int) -> Sequence[Member]:
    query = select(Member).where(Member.garden_id == garden_id, Member.left_at.is_(None))
    return (await session.scalars(query.order_by(Member.id))).all()


async def organisers(session: AsyncSession, garden_id: int) -> Sequence[Member]:
    return [member for member in await in_garden(session, garden_id) if member.role is Role.ORGANISER]


async def aways(session: AsyncSession, garden_id: int, from_on: date, to_on: date) -> Sequence[Away]:
    """Absences that touch the days from_on to to_on."""
    query = select(Away).join(Member).where(Member.garden_id == garden_id, Away.to_on >= from_on, Away.from_on <= to_on)
    return (await session.scalars(query.order_by(Away.id))).all()
