"""Days on which a member is away: kept, and their open turns given on."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.turns import answers as turn_answers
from bot.storage import gardens
from bot.storage import warnings as store
from bot.storage.models import Away, Member
from bot.storage.states import AskState, DutyState

__all__ = ["add"]


async def add(session: AsyncSession, member: Member, first_on: date, last_on: date, now: datetime) -> int:
    """Note the absence, both days included; returns how many open turns were given on because of it."""
    session.add(Away(member_id=member.id, from_on=first_on, to_on=last_on))
    garden = await gardens.by_id(session, member.garden_id)
    assert garden is not None
    zone = garden.tz
    freed = 0
    for ask, duty in await store.open_asks_of_member(session, member.id):
        if first_on <= duty.due_at.astimezone(zone).date() <= last_on:
            ask.state, ask.answered_at, duty.state = AskState.PASSED, now, DutyState.OPEN
            freed += 1
    if first_on <= now.astimezone(zone).date() <= last_on:
        freed += await turn_answers.give_on(session, member.id, now)
    await session.flush()
    return freed
