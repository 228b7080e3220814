"""Safely home? The question to whoever is late, its two buttons, and what organisers hear."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.everyone import ears
from bot.chat.message import Button, Urgency, post
from bot.chat.telling import voice
from bot.chat.turn import Turn
from bot.chat.wording import homecoming as wording
from bot.i18n import Say
from bot.services import homecoming
from bot.services.homecoming import Late
from bot.services.membership import reachable
from bot.storage import members
from bot.storage.models import Garden, Member, Place

__all__ = ["press", "see_home"]


async def see_home(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """Ask whoever is late, and tell organisers who has not answered; whatever the hour, since it is about people."""
    for late in await homecoming.ask_now(session, garden.id, now):
        await _ask(session, garden, late, now)
    for late in await homecoming.silent_now(session, garden.id, now):
        member = await members.by_id(session, late.member_id)
        if member is not None:
            words = partial(
                wording.silent, name=member.person.name, places=await _places(session, late), due_at=late.due_at
            )
            await _tell(session, garden, member, f"silent:{late.duty_ids[0]}", now, words)


async def _places(session: AsyncSession, late: Late) -> list[str]:
    rows = [await session.get(Place, place_id) for place_id in late.place_ids]
    return [row.name for row in rows if row is not None]


async def _tell(
    session: AsyncSession, garden: Garden, about: Member, kind: str, now: datetime, words: Callable[[Say], str]
) -> None:
    """Every other organiser, once an hour at most for the same; the others where there is none to be reached."""
    organisers = [one for one in await members.organisers(session, garden.id) if one.id != about.id and reachable(one)]
    chats = {one.person.user_id: voice(garden, one.person.language) for one in organisers if one.person.user_id}
    if not chats:
        chats = {one.chat_id: one.say for one in await ears(session, garden) if one.member_id != about.id}
    for chat_id, say in chats.items():
        await post(
            session,
            key=f"home:{kind}:{about.id}:{chat_id}:{now:%Y%m%d%H}",
            chat_id=chat_id,
            thread_id=garden.thread_id if chat_id == garden.chat_id else None,
            text=words(say),
            now=now,
            urgency=Urgency.WARNING,
            expires_at=now + homecoming.REACH,
            again=say.gettext("(Sent once more: I am not sure that you got this.)"),
        )


async def _ask(session: AsyncSession, garden: Garden, late: Late, now: datetime) -> None:
    member = await members.by_id(session, late.member_id)
    if member is None or member.person.user_id is None:
        return
    say = voice(garden, member.person.language)
    await post(
        session,
        key=f"home:{late.duty_ids[0]}:{member.id}",
        chat_id=member.person.user_id,
        text=wording.question(say, await _places(session, late), late.due_at, done=late.done),
        now=now,
        buttons=_buttons(say, member.id),
        urgency=Urgency.WARNING,
        expires_at=now + homecoming.REACH,
        again=say.gettext("(Sent once more: I am not sure that you got this.)"),
    )


def _buttons(say: Say, member_id: int) -> Sequence[Sequence[Button]]:
    return [
        [(say.gettext("I'm safely home"), f"home:{member_id}:yes")],
        [(say.gettext("I need help"), f"home:{member_id}:help")],
    ]


async def press(turn: Turn, rest: str) -> None:
    """ "member id:yes or help", from that member only. Pressed twice, organisers hear it once."""
    number, _, what = rest.partition(":")
    member_id = rights.whole(number)
    found = await rights.own(turn, member_id) if member_id is not None and what in ("yes", "help") else None
    if found is None:
        if member_id is None or what not in ("yes", "help"):
            await rights.stale(turn)
        return
    garden, member = found
    told = await homecoming.home(turn.session, member.id, turn.now) if what == "yes" else None
    if what == "yes" and told is None:
        await rights.stale(turn)
        return
    name = member.person.name
    if told:
        await _tell(turn.session, garden, member, "safe", turn.now, partial(wording.safe_home, name=name))
    if what == "help":
        await _tell(turn.session, garden, member, "help", turn.now, partial(wording.wants_help, name=name))
        await turn.whisper(wording.help_comes(turn.say))
    else:
        await turn.whisper(turn.say.gettext("Good. Thank you, and rest well!"))
