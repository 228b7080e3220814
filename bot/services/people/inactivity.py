"""Members who have gone silent: asked once, kindly, whether they are still in; organisers hear only of no answer."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from enum import StrEnum

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.people.inactivity import TELL_AFTER, is_silent
from bot.services.people.membership import reachable
from bot.storage.models import Garden, Member
from bot.storage.people import members


class Still(StrEnum):
    """How an answer to the question was taken."""

    IN = "in"
    LESS = "less"  # at most so often a week from now on
    NEVER = "never"  # by name no more; open calls only


async def to_ask(session: AsyncSession, garden: Garden, now: datetime) -> Sequence[Member]:
    """Who is to be asked now; from then on they count as asked, until they are heard from and fall silent again."""
    today, found = now.astimezone(garden.tz).date(), []
    for member in await members.in_garden(session, garden.id):
        if not reachable(member) or not member.adult:
            continue
        if member.heard_at is None:
            member.heard_at = now  # joined before this was noted: the stretch begins here
        heard_on = member.heard_at.astimezone(garden.tz).date()
        asked = member.still_asked_at is not None and member.still_asked_at > member.heard_at
        if not asked and is_silent(heard_on, today):
            member.still_asked_at = now
            found.append(member)
    return found


async def silent(session: AsyncSession, garden: Garden, now: datetime) -> tuple[int, ...]:
    """Who was asked some time ago and has not been heard from since: for the organisers' week."""
    return tuple(
        member.id
        for member in await members.in_garden(session, garden.id)
        if member.still_asked_at is not None
        and (member.heard_at is None or member.heard_at < member.still_asked_at)
        and now - member.still_asked_at >= TELL_AFTER
    )


def answer(member: Member, said: str) -> Still | None:
    """Still in, or less often; None for what no button says. Less often is once a week, and from there by name no more."""
    if said == "in":
        return Still.IN
    if said == "less":
        member.per_week = 1 if member.per_week is None or member.per_week > 1 else 0
        return Still.LESS if member.per_week else Still.NEVER
    return None
