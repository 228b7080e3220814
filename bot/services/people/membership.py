"""Roles and membership, as organisers change them. A garden is never left without somebody who looks after it."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.services.people import leaving
from bot.storage.models import Member
from bot.storage.people import members


class Reply(StrEnum):
    """How a change was taken."""

    DONE = "done"
    ALREADY = "already"
    LAST_ORGANISER = "last organiser"
    UNREACHABLE = "unreachable"
    ADULTS_ONLY = "adults only"


def reachable(member: Member) -> bool:
    """One private message to them has succeeded, and none was refused since."""
    ok_at, blocked_at = member.person.private_ok_at, member.person.blocked_at
    return member.person.user_id is not None and ok_at is not None and (blocked_at is None or blocked_at < ok_at)


async def is_last(session: AsyncSession, member: Member) -> bool:
    """Whether the garden would be left without an organiser who can be written to."""
    if member.role is not Role.ORGANISER:
        return False
    others = await members.organisers(session, member.garden_id)
    return not any(reachable(other) for other in others if other.id != member.id)


async def make(session: AsyncSession, member: Member, role: Role) -> Reply:
    """Make a member an organiser, or an organiser a member; there may be several organisers."""
    if member.role is role:
        return Reply.ALREADY
    if role is Role.ORGANISER and not reachable(member):
        return Reply.UNREACHABLE
    if role is Role.ORGANISER and not member.adult:
        return Reply.ADULTS_ONLY
    if await is_last(session, member):
        return Reply.LAST_ORGANISER
    member.role = role
    await session.flush()
    return Reply.DONE


async def hand_over(session: AsyncSession, giver: Member, taker: Member) -> Reply:
    """The taker becomes an organiser, and the giver is a member again."""
    if giver.id == taker.id:
        return Reply.ALREADY
    made = await make(session, taker, Role.ORGANISER)
    if made not in (Reply.DONE, Reply.ALREADY):
        return made
    return await make(session, giver, Role.MEMBER)


async def set_adult(session: AsyncSession, member: Member, now: datetime, *, adult: bool) -> Reply:
    """Adult yes or no, never a birth date. Whoever is not takes no turns, so theirs are given on."""
    if member.adult == adult:
        return Reply.ALREADY
    if not adult and await is_last(session, member):
        return Reply.LAST_ORGANISER
    member.adult = adult
    if not adult:
        member.role = Role.MEMBER
        await leaving.give_on(session, member, now)
    await session.flush()
    return Reply.DONE


async def remove(session: AsyncSession, member: Member, now: datetime, *, barred: bool = False) -> Reply:
    """Take somebody off the list; what they did stays, what they had taken on is given on.

    barred: by somebody else's wish, so that they come back only when an organiser lets them in.
    """
    if member.left_at is not None:
        return Reply.ALREADY
    if await is_last(session, member):
        return Reply.LAST_ORGANISER
    await leaving.end(session, member, now)
    member.removed_at = now if barred else None
    return Reply.DONE
