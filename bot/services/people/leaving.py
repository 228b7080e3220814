"""When somebody leaves, or can no longer be written to: what they had taken on goes to others at once."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.services.tasks import answers
from bot.storage.models import Member, NamedHelper
from bot.storage.people import members


async def end(session: AsyncSession, member: Member, now: datetime) -> None:
    """This membership is over; records keep what they did. Whom they helped is asked for nothing through them.

    Rights end with it: whoever comes back is a plain member.
    """
    member.left_at, member.role = now, Role.MEMBER
    await give_on(session, member, now)
    for row in await session.scalars(select(NamedHelper).where(NamedHelper.helper_id == member.id)):
        helped = await session.get(Member, row.member_id)
        if helped is not None:
            await give_on(session, helped, now)
    await session.execute(delete(NamedHelper).where(NamedHelper.helper_id == member.id))
    await session.execute(delete(NamedHelper).where(NamedHelper.member_id == member.id))


async def blocked(session: AsyncSession, user_id: int, now: datetime) -> list[Member]:
    """A private message can't reach this account: it counts as a no at once. Gives those whose turns go to others."""
    person = await members.person_by_user(session, user_id)
    if person is None:
        return []
    person.blocked_at = now
    return [member for member in await members.of_user(session, user_id) if await give_on(session, member, now)]


async def give_on(session: AsyncSession, member: Member, now: datetime) -> bool:
    """What they were asked for or had said yes to goes to others. False when there was nothing."""
    return bool(await answers.give_on(session, member, now))
