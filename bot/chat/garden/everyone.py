"""Say something to all of a garden: in its group, or to each member privately where the group can't be written to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.html import bold, lines, safe
from bot.chat.wire.message import Button, Urgency, post
from bot.i18n import Say, say
from bot.services.people.membership import reachable
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member
from bot.storage.people import members


@dataclass(frozen=True, slots=True)
class Ear:
    """A chat in which a garden is spoken to. member_id: None for the group."""

    chat_id: int
    say: Say
    thread_id: int | None = None
    member_id: int | None = None


def voice(garden: Garden, person_language: str | None = None) -> Say:
    """The group's voice, or one person's."""
    return say(person_language or garden.language, garden.zone, garden.wind_unit, garden.wordings)


def voices(garden: Garden) -> list[Say]:
    """The group's voice, or two: each says the same in a message of its own."""
    spoken = dict.fromkeys((garden.language, garden.second_language or garden.language))
    return [voice(garden, language) for language in spoken]


def keyed(key: str, garden: Garden, voiced: Say) -> str:
    """The key of a message to the group in one of its languages."""
    return key if voiced.language == garden.language else f"{key}:in:{voiced.language}"


def again(voiced: Say) -> str:
    """The line that a repeat begins with."""
    return voiced.gettext("(Sent once more: I am not sure that you got this.)")


async def reached(session: AsyncSession, garden: Garden) -> list[Member]:
    """Members who can be written to privately."""
    return [one for one in await members.in_garden(session, garden.id) if reachable(one)]


async def unreached(session: AsyncSession, garden: Garden) -> list[str]:
    """Names of those who can't, neither themselves nor through their helper."""
    helped = await gardens.helped(session, garden.id)
    everyone = await members.in_garden(session, garden.id)
    return [one.person.name for one in everyone if not reachable(one) and one.id not in helped]


async def ears(session: AsyncSession, garden: Garden) -> Sequence[Ear]:
    """The group, once a language, or else every member who can be written to."""
    if garden.group_id is not None:
        return [Ear(garden.group_id, voiced, garden.thread_id) for voiced in voices(garden)]
    return [
        Ear(one.person.user_id, voice(garden, one.person.language), member_id=one.id)
        for one in await reached(session, garden)
        if one.person.user_id is not None
    ]


async def tell_everyone(
    session: AsyncSession,
    garden: Garden,
    key: str,
    words: Callable[[Say], str],
    now: datetime,
    *,
    buttons: Callable[[Say], Sequence[Sequence[Button]]] = lambda _: (),
    urgency: Urgency = Urgency.NOTICE,
    expires_at: datetime | None = None,
    send_at: datetime | None = None,
    repeatable: bool = False,
) -> None:
    """Queue it once under the key: in the group's languages there, in each one's own in private."""
    for n, ear in enumerate(await ears(session, garden)):
        await post(
            session,
            key=keyed(key, garden, ear.say) if ear.member_id is None else f"{key}:to:{ear.member_id}",
            chat_id=ear.chat_id,
            thread_id=ear.thread_id,
            text=await headed(session, garden, words(ear.say), None if ear.member_id is None else ear.chat_id),
            now=now,
            buttons=buttons(ear.say),
            urgency=urgency,
            expires_at=expires_at,
            send_at=send_at,
            again=again(ear.say) if repeatable else None,
            rings=n == 0 or ear.member_id is not None,  # the group's second language says the same
        )


async def tell_organisers(
    session: AsyncSession,
    garden: Garden,
    key: str,
    words: Callable[[Say], str],
    now: datetime,
    *,
    but: int | None = None,
    voiced: Callable[[Garden, str], Say] | None = None,
    buttons: Callable[[Say], Sequence[Sequence[Button]]] = lambda _: (),
) -> None:
    """Each organiser hears it privately, in their language, once under the key. but: the member who need not hear it.

    voiced: for what must be said even where the garden's own clock cannot be read.
    """
    for organiser in await members.organisers(session, garden.id):
        if organiser.person.user_id is not None and organiser.id != but:
            say = (voiced or voice)(garden, organiser.person.language)
            await post(
                session,
                key=f"{key}:{organiser.id}",
                chat_id=organiser.person.user_id,
                text=words(say),
                now=now,
                buttons=buttons(say),
            )


async def headed(session: AsyncSession, garden: Garden, text: str, user_id: int | None = None) -> str:
    """The garden's name first, where a person belongs to several, or several speak in one group chat or topic."""
    if user_id is not None:
        several = await _is_of_several(session, garden, user_id)
    else:
        there = await gardens.of_chat(session, garden.chat_id) if garden.chat_id is not None else ()
        several = len([one for one in there if one.thread_id == garden.thread_id]) > 1
    return lines([bold(safe(garden.name)), text]) if several else text


async def _is_of_several(session: AsyncSession, garden: Garden, user_id: int) -> bool:
    """Asked once for everybody of the garden, since one night is told to many of them."""
    if any(one.person.user_id == user_id for one in await members.in_garden(session, garden.id)):
        return user_id in await members.of_several(session, garden.id)
    return len(await members.gardens_of(session, user_id)) > 1
