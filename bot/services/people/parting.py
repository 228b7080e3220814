"""Somebody leaves: what they leave behind is noted before, and given on after, so that everyone concerned can be told."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.people import membership, proxy
from bot.services.tasks import weeks_on_call
from bot.storage.models import Garden, Key, Member, OnCall
from bot.storage.tasks import tasks


@dataclass(frozen=True, slots=True)
class Left:
    """What a member leaves behind. weeks: Mondays of their weeks on call, this one included. helped: whom they helped."""

    member: Member
    name: str
    has_turns: bool
    weeks: tuple[date, ...]
    helped: tuple[Member, ...]
    keys: tuple[str, ...]
    was_last_organiser: bool


@dataclass(frozen=True, slots=True)
class OnCallWeek:
    """people: who is on call in that week; fresh: those of them who were not before."""

    starts_on: date
    people: tuple[int, ...]
    fresh: tuple[int, ...]


async def before(session: AsyncSession, garden: Garden, member: Member, now: datetime) -> Left:
    """To be called while they are still a member."""
    keys = select(Key.name).where(Key.holder_member_id == member.id).order_by(Key.id)
    weeks = select(OnCall.starts_on).where(OnCall.member_id == member.id, OnCall.starts_on >= _monday(garden, now))
    return Left(
        member=member,
        name=member.person.name,
        has_turns=bool(await tasks.open_of_member(session, member.id)),
        weeks=tuple(await session.scalars(weeks.order_by(OnCall.starts_on))),
        helped=tuple(await proxy.helped_by(session, member)),
        keys=tuple(await session.scalars(keys)),
        was_last_organiser=await membership.is_last(session, member),
    )


async def next_on_call(session: AsyncSession, garden: Garden, left: Left, now: datetime) -> tuple[OnCallWeek, ...]:
    """Who is on call in their weeks now; to be called once they have left."""
    if not left.weeks:
        return ()
    rows = await session.execute(
        select(OnCall.starts_on, OnCall.member_id).where(
            OnCall.garden_id == garden.id, OnCall.starts_on >= _monday(garden, now)
        )
    )
    shown = {(starts_on, member_id) for starts_on, member_id in rows}
    return tuple(
        OnCallWeek(week.starts_on, week.people, tuple(one for one in week.people if (week.starts_on, one) not in shown))
        for week in await weeks_on_call.weeks(session, garden, now)
        if week.starts_on in left.weeks
    )


def _monday(garden: Garden, now: datetime) -> date:
    today = now.astimezone(garden.tz).date()
    return today - timedelta(days=today.weekday())
