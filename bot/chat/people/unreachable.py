"""Somebody who can't be written to privately: their turns go to others, and the group hears of it, by a mention."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.garden.everyone import tell_organisers, voice
from bot.chat.html import mention, safe
from bot.chat.people import departures
from bot.chat.wire.message import post
from bot.services.look import quiet
from bot.services.people import leaving, membership
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member
from bot.storage.people import members


async def lost(session: AsyncSession, user_id: int, now: datetime) -> None:
    """A private message was refused, or the bot was blocked. Said only where somebody else is asked because of it."""
    reached = [one for one in await members.of_user(session, user_id) if membership.reachable(one)]
    given_on = await leaving.blocked(session, user_id, now)
    for helper in reached:
        garden = await gardens.by_id(session, helper.garden_id)
        if garden is not None:
            await departures.helper_lost(session, garden, helper, now)
    for member in given_on:
        garden = await gardens.by_id(session, member.garden_id)
        if garden is None:
            continue
        if garden.group_id is None or garden.chat_id is None:
            await _to_organisers(session, garden, member, now)
            continue
        say, at = voice(garden), quiet(garden).ends_at(now)
        await post(
            session,
            key=f"unreachable:{member.id}:{now.isoformat()}",
            chat_id=garden.chat_id,
            thread_id=garden.thread_id,
            text=say.gettext(
                "{name}, I can't write to you privately now, so I ask the next person. To hear from me again, "
                "please open our private chat and press Start.",
                name=mention(member.person.name, user_id),
            ),
            now=now,
            send_at=at,
            expires_at=at + timedelta(hours=12),
        )


async def _to_organisers(session: AsyncSession, garden: Garden, member: Member, now: datetime) -> None:
    """There is no group in which to mention them."""
    name = safe(member.person.name, 40)
    await tell_organisers(
        session,
        garden,
        f"unreachable:{member.id}:{now.isoformat()}",
        lambda say: say.gettext(
            "I can't write to {name} privately now, so I ask the next person. Please tell them: to hear from "
            "me again, open our private chat and press Start.",
            name=name,
        ),
        now,
        but=member.id,
    )
