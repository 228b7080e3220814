"""Somebody leaves, or can't be written to any more: what was theirs is given on, and everyone concerned hears of it."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.garden.everyone import tell_everyone
from bot.chat.people import members_words as wording
from bot.chat.warnings.announce import tell_organisers, voice
from bot.chat.wire.message import post
from bot.services.people import leaving, parting, proxy
from bot.services.people.parting import Left, OnCallWeek
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member
from bot.storage.people import members

__all__ = ["helper_lost", "leave", "removed", "tell"]


async def leave(session: AsyncSession, garden_id: int, user_id: int, now: datetime) -> None:
    """A member has left the group: the same as leaving the garden. Seen twice, it is told once."""
    garden = await gardens.by_id(session, garden_id)
    for member in await members.of_user(session, user_id, garden_id) if garden is not None else ():
        assert garden is not None
        left = await parting.before(session, garden, member, now)
        await leaving.end(session, member, now)
        await tell(session, garden, left, now)


async def tell(
    session: AsyncSession, garden: Garden, left: Left, now: datetime, *, by: Member | None = None, named: bool = True
) -> None:
    """Organisers, whoever is on call instead, and the group where nobody looks after the garden any more.

    by: the organiser whose deed it was, who knows already. named: not for somebody who wants to be forgotten.
    """
    weeks = await parting.next_on_call(session, garden, left, now)
    people = {one.id: one for one in await members.in_garden(session, garden.id)}
    key = f"left:{left.member.id}:{now.isoformat()}"
    for organiser in await members.organisers(session, garden.id):
        lines = wording.left_behind(voice(garden, organiser.person.language), left, weeks, people)
        if organiser.person.user_id is not None and (lines or by is None or organiser.id != by.id):
            text = wording.left(voice(garden, organiser.person.language), garden.name, left, lines, named=named)
            await post(session, key=f"{key}:{organiser.id}", chat_id=organiser.person.user_id, text=text, now=now)
    for member_id, mine in _fresh(weeks).items():
        member = people[member_id]
        if member.person.user_id is not None:
            text = wording.on_call_instead(voice(garden, member.person.language), mine)
            await post(session, key=f"{key}:oncall:{member_id}", chat_id=member.person.user_id, text=text, now=now)
    if left.was_last_organiser:
        await tell_everyone(session, garden, f"{key}:group", lambda say: wording.nobody_left(say, garden.name), now)


async def removed(session: AsyncSession, garden: Garden, member: Member, now: datetime) -> None:
    """Whoever was taken off the list hears it from the bot, kindly."""
    if member.person.user_id is not None:
        text = wording.taken_off(voice(garden, member.person.language), garden.name)
        key = f"removed:{member.id}:{now.isoformat()}"
        await post(session, key=key, chat_id=member.person.user_id, text=text, now=now)


async def helper_lost(session: AsyncSession, garden: Garden, helper: Member, now: datetime) -> None:
    """A helper can't be written to: what was asked through them goes to others, and organisers are told."""
    helped = await proxy.helped_by(session, helper)
    for member in helped:
        await leaving.give_on(session, member, now)
    if helped:
        key = f"helperlost:{helper.id}:{now.isoformat()}"
        await tell_organisers(
            session, garden, key, lambda say: wording.helper_lost(say, helper, helped), now, but=helper.id
        )


def _fresh(weeks: tuple[OnCallWeek, ...]) -> dict[int, list[OnCallWeek]]:
    found: dict[int, list[OnCallWeek]] = {}
    for week in weeks:
        for member_id in week.fresh:
            found.setdefault(member_id, []).append(week)
    return found
