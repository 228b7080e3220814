"""Are you still in? One private question after a long silence; and leaving a garden, which is asked twice."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.html import bold, lines, safe
from bot.chat.people import departures
from bot.chat.people import members_words as members_wording
from bot.chat.request import Request
from bot.chat.warnings.announce import voice
from bot.chat.wire.message import Button, post
from bot.i18n import Say
from bot.services.look import quiet
from bot.services.people import inactivity, membership, parting
from bot.services.people.inactivity import Still
from bot.services.people.membership import Reply
from bot.storage.models import Garden, Member

__all__ = ["ask", "press"]


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
    await departures.tell(request.session, garden, left, request.now)
    await request.change(
        request.say.gettext(
            "You have left {garden}. Thank you for all you did! Please leave its group chat too. If you want "
            "me to forget you, send /me.",
            garden=safe(garden.name, 60),
        )
    )
