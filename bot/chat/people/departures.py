"""Somebody leaves, or can't be written to any more: what was theirs is given on, and everyone concerned hears of it.

Are you still in? One private question after a long silence; and leaving a garden, which is asked twice.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.garden.everyone import tell_everyone, tell_organisers, voice
from bot.chat.html import bold, lines, safe
from bot.chat.people import members_words as members_wording
from bot.chat.people import members_words as wording
from bot.chat.request import Request
from bot.chat.wire.message import Button, post
from bot.i18n import Say
from bot.services.look import quiet
from bot.services.people import inactivity, leaving, membership, parting, proxy
from bot.services.people.inactivity import Still
from bot.services.people.membership import Reply
from bot.services.people.parting import Left, OnCallWeek
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member
from bot.storage.people import members


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


async def ask(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """Outside the quiet hours, everybody who has been silent for a stretch of the season, once."""
    if quiet(garden).ends_at(now) > now:
        return
    for member in await inactivity.to_ask(session, garden, now):
        if member.person.user_id is None:
            continue
        say = voice(garden, member.person.language)
        await post(
            session,
            key=f"still:{member.id}:{now.isoformat()}",
            chat_id=member.person.user_id,
            text=lines([
                bold(say.gettext("Hello from {garden}! Do you still take part?", garden=safe(garden.name, 60))),
                say.gettext("I have not heard from you for a while. Any answer is fine. I ask only this once."),
            ]),
            now=now,
            buttons=_buttons(say, member),
        )  # fmt: skip


def _buttons(say: Say, member: Member) -> list[list[Button]]:
    number = f"still:{member.id}"
    return [
        [(say.gettext("I still take part"), f"{number}:in"), (say.gettext("Ask me less often"), f"{number}:less")],
        [(say.gettext("Leave the garden"), f"{number}:leave")],
    ]


async def press(request: Request, rest: str) -> None:
    """ "member id:in|less|leave|left|stay", from that member only."""
    who, _, said = rest.partition(":")
    member_id = rights.whole(who)
    found = await rights.own(request, member_id) if member_id is not None else None
    if found is None:
        return
    garden, member = found
    if said == "leave":
        await request.change(*_sure(request.say, garden, member))
    elif said == "left":
        await _leave(request, garden, member)
    elif said == "stay":
        await request.change(request.say.gettext("Good to have you!"))
    else:
        given = inactivity.answer(member, said)
        await (request.change(_taken(request.say, given)) if given is not None else rights.stale(request))


def _taken(say: Say, given: Still) -> str:
    return {
        Still.IN: say.gettext("Good to have you! Nothing changes."),
        Still.LESS: say.gettext("All right, I ask you once a week at most. /wishes changes it."),
        Still.NEVER: say.gettext("All right, I will not ask you by name any more. /wishes changes it."),
    }[given]


def _sure(say: Say, garden: Garden, member: Member) -> tuple[str, list[list[Button]]]:
    text = say.gettext(
        "Leave {garden}? Your turns go to others, and I tell the organisers that you have left.",
        garden=bold(safe(garden.name, 60)),
    )
    yes: Button = (say.gettext("Yes, leave"), f"still:{member.id}:left")
    return text, [[yes, (say.gettext("No, I stay"), f"still:{member.id}:stay")]]


async def _leave(request: Request, garden: Garden, member: Member) -> None:
    left = await parting.before(request.session, garden, member, request.now)
    given = await membership.remove(request.session, member, request.now)
    if given is not Reply.DONE:
        await request.change(members_wording.reply(request.say, given))
        return
    await tell(request.session, garden, left, request.now)
    await request.change(
        request.say.gettext(
            "You have left {garden}. Thank you for all you did! Please leave its group chat too. If you want "
            "me to forget you, send /me.",
            garden=safe(garden.name, 60),
        )
    )
