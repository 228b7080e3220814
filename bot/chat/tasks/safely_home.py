"""Safely home? The question to whoever is late, its two buttons, and whom organisers' words reach."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.garden.everyone import ears, keyed
from bot.chat.tasks import safely_home_words as wording
from bot.chat.warnings.announce import voice
from bot.chat.wire.message import Button, Urgency, post
from bot.i18n import Say
from bot.services.people.membership import reachable
from bot.services.tasks import safely_home
from bot.services.tasks.safely_home import Late, Reached
from bot.storage.models import Garden, Member, Place
from bot.storage.people import members

__all__ = ["buttons", "places", "see_home", "tell"]


async def see_home(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """Ask whoever is late, and tell organisers who has not answered; whatever the hour, since it is about people."""
    for late in await safely_home.ask_now(session, garden.id, now):
        await _ask(session, garden, late, now)
    for late in await safely_home.silent_now(session, garden.id, now):
        member = await members.by_id(session, late.member_id)
        if member is not None:
            where = await places(session, late.place_ids)
            words = partial(wording.silent, name=member.person.name, places=where, due_at=late.due_at)
            key = f"silent:{late.task_ids[0]}:{member.id}:{now:%Y%m%d%H}"
            await tell(session, garden, member, key, now, words)


async def places(session: AsyncSession, place_ids: Sequence[int]) -> list[str]:
    rows = [await session.get(Place, place_id) for place_id in place_ids]
    return [row.name for row in rows if row is not None]


async def tell(
    session: AsyncSession, garden: Garden, about: Member, key: str, now: datetime, words: Callable[[Say], str]
) -> Reached:
    """Every other organiser, once under the key; the group where there is none to be reached."""
    organisers = [one for one in await members.organisers(session, garden.id) if one.id != about.id and reachable(one)]
    chats = [(one.person.user_id, voice(garden, one.person.language)) for one in organisers if one.person.user_id]
    reached = Reached.ORGANISERS if chats else Reached.NOBODY
    if not chats:
        chats = [(one.chat_id, one.say) for one in await ears(session, garden) if one.member_id != about.id]
        reached = Reached.GROUP if chats else Reached.NOBODY
    for chat_id, say in chats:
        await post(
            session,
            key=f"home:{key}:{chat_id}"
            if reached is not Reached.GROUP
            else keyed(f"home:{key}:{chat_id}", garden, say),
            chat_id=chat_id,
            thread_id=garden.thread_id if chat_id == garden.chat_id else None,
            text=words(say),
            now=now,
            urgency=Urgency.WARNING,
            expires_at=now + safely_home.REACH,
            again=say.gettext("(Sent once more: I am not sure that you got this.)"),
        )
    return reached


async def _ask(session: AsyncSession, garden: Garden, late: Late, now: datetime) -> None:
    member = await members.by_id(session, late.member_id)
    if member is None or member.person.user_id is None:
        return
    say = voice(garden, member.person.language)
    await post(
        session,
        key=f"home:{late.task_ids[0]}:{member.id}",
        chat_id=member.person.user_id,
        text=wording.question(say, await places(session, late.place_ids), late.due_at, done=late.done),
        now=now,
        buttons=buttons(say, member.id),
        urgency=Urgency.WARNING,
        expires_at=now + safely_home.REACH,
        again=say.gettext("(Sent once more: I am not sure that you got this.)"),
    )


def buttons(say: Say, member_id: int) -> list[list[Button]]:
    return [
        [(say.gettext("I'm safely home"), f"home:{member_id}:yes")],
        [(say.gettext("I need help"), f"home:{member_id}:help")],
    ]
