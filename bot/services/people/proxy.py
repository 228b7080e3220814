"""Members without the app: who passes on to them what is asked, and what comes back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from enum import StrEnum

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden
from bot.services.people.membership import reachable
from bot.storage.models import Ask, Member, NamedHelper, Person, Warning
from bot.storage.people import members
from bot.storage.states import AskState
from bot.storage.tasks import tasks

#: Whoever has no app is asked at least so long ahead: their helper has to see them first.
NOTICE = timedelta(hours=24)


class Naming(StrEnum):
    """How the naming of a helper was taken."""

    ASKED = "asked"  # the helper is asked whether they would
    ALREADY = "already"
    HAS_APP = "has app"  # the member can be written to themselves
    UNREACHABLE = "unreachable"  # the helper has to be an adult who can be written to
    NONE = "none"  # nobody helps any more


async def add(session: AsyncSession, garden_id: int, called: str, language: str, now: datetime) -> Member | None:
    """Somebody new without the app; None where the garden has a member of that name."""
    everyone = await members.in_garden(session, garden_id)
    if any(one.person.name.casefold() == called.casefold() for one in everyone):
        return None
    member = Member(garden_id=garden_id, person=Person(name=called, language=language), joined_at=now)
    session.add(member)
    await session.flush()
    return member


async def name(session: AsyncSession, member: Member, helper: Member | None) -> Naming:
    """Set who helps this member, or that nobody does. The helper is asked before anything goes through them."""
    row = await session.get(NamedHelper, member.id)
    if helper is None:
        if row is not None:
            await session.delete(row)
            await session.flush()
        return Naming.NONE
    if member.person.user_id is not None:
        return Naming.HAS_APP
    if not reachable(helper) or not helper.adult or helper.garden_id != member.garden_id:
        return Naming.UNREACHABLE
    if row is not None and row.helper_id == helper.id:
        return Naming.ALREADY
    if row is None:
        row = NamedHelper(member_id=member.id)
        session.add(row)
    row.helper_id, row.asked_at, row.agreed_at = helper.id, None, None
    await session.flush()
    return Naming.ASKED


async def answer(session: AsyncSession, member: Member, helper: Member, now: datetime, *, yes: bool) -> bool:
    """The helper agrees, or would rather not; False when they are not the one who is named."""
    row = await session.get(NamedHelper, member.id)
    if row is None or row.helper_id != helper.id:
        return False
    if yes:
        row.agreed_at = row.agreed_at or now
    else:
        await session.delete(row)
    await session.flush()
    return True


async def unasked(session: AsyncSession, garden_id: int, now: datetime) -> Sequence[tuple[Member, Member]]:
    """(member, helper) of everyone named who has yet to be asked whether they would; from now on they count as asked."""
    rows = await session.scalars(
        select(NamedHelper)
        .join(Member, Member.id == NamedHelper.member_id)
        .where(Member.garden_id == garden_id, Member.left_at.is_(None), NamedHelper.asked_at.is_(None))
        .order_by(NamedHelper.member_id)
    )
    found = []
    for row in rows:
        member, helper = await session.get_one(Member, row.member_id), await session.get_one(Member, row.helper_id)
        if helper.left_at is None and reachable(helper) and member.person.user_id is None:
            row.asked_at = now
            found.append((member, helper))
    return found


async def named(session: AsyncSession, garden_id: int) -> Mapping[int, tuple[Member, bool]]:
    """By member: who is named to help them, and whether that helper has agreed."""
    rows = await session.scalars(
        select(NamedHelper).join(Member, Member.id == NamedHelper.member_id).where(Member.garden_id == garden_id)
    )
    return {row.member_id: (await session.get_one(Member, row.helper_id), row.agreed_at is not None) for row in rows}


async def helper_of(session: AsyncSession, member: Member) -> Member | None:
    """Who passes on to this member; None for one with the app, and where nobody has agreed or can be written to."""
    row = await session.get(NamedHelper, member.id) if member.person.user_id is None else None
    helper = await members.by_id(session, row.helper_id) if row is not None and row.agreed_at is not None else None
    return helper if helper is not None and reachable(helper) else None


async def is_helper(session: AsyncSession, helper: Member, member: Member) -> bool:
    found = await helper_of(session, member)
    return found is not None and found.id == helper.id


async def helped_by(session: AsyncSession, helper: Member) -> Sequence[Member]:
    """Everyone whom this member helps, or is named to help."""
    query = select(Member).join(NamedHelper, NamedHelper.member_id == Member.id)
    query = query.where(NamedHelper.helper_id == helper.id, Member.left_at.is_(None))
    return (await session.scalars(query.order_by(Member.id))).all()


async def told(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> bool:
    """The helper has told them; False when there is nothing left that they were asked for and have not answered."""
    duties = await tasks.of_warnings(session, [warning.id])
    asks = await tasks.asks_of(session, [duty.id for duty in duties if duty.state in tasks.LIVE])
    open_ = [ask for ask in asks if ask.member_id == member.id and ask.state is AskState.ASKED]
    for ask in open_:
        ask.told_at = ask.told_at or now
    await session.flush()
    return bool(open_)


def untellable(garden: Garden, asks: Sequence[Ask], due_at: datetime, now: datetime) -> tuple[int, ...]:
    """Members without the app for whom it is too late to be asked; whoever has been asked in time stays asked."""
    if due_at - now >= NOTICE:
        return ()
    kept = {ask.member_id for ask in asks if ask.state in tasks.KEEPING}
    return tuple(one.id for one in garden.members if one.helper_id is not None and one.id not in kept)
