"""What a newcomer is asked in private, one thing after the other: an adult or not, what they are glad to do."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.html import bold, lines, safe
from bot.chat.people import language
from bot.chat.people import wishes_words as wishes_wording
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import LANGUAGES, Say
from bot.services.people import joining, membership, wishes
from bot.services.people.membership import Reply
from bot.storage.models import Garden, Member
from bot.storage.people import members

__all__ = ["ask_adult", "next_step", "press", "settled"]


async def next_step(request: Request, garden: Garden, member: Member) -> None:
    """The first thing that this member has not been asked yet."""
    if not member.adult:
        await ask_adult(request, garden, member)
    elif member.lift_kg is None:
        await _wishes(request, garden, member)


async def ask_adult(request: Request, garden: Garden, member: Member) -> None:
    say = request.say
    buttons: list[list[Button]] = [
        [(say.gettext("Yes"), f"adult:{member.id}:yes"), (say.gettext("No"), f"adult:{member.id}:no")],
        *language.buttons(f"adult:{member.id}:", but=say.language),
    ]
    text = lines([
        bold(say.gettext("Welcome to {garden}! Are you an adult, 18 or older?", garden=safe(garden.name))),
        say.gettext("I ask only adults to take turns. I save your yes, but no date of birth."),
        await _who_they_are(request, garden, member),
    ])  # fmt: skip
    await (request.change if request.update.callback_query and request.private else request.whisper)(text, buttons)


async def _who_they_are(request: Request, garden: Garden, member: Member) -> str | None:
    """Somebody whose name is like one on the list hears what comes of it."""
    if await joining.open_knock(request.session, member) is None:
        return None
    if any(one.person.user_id is not None for one in await members.organisers(request.session, garden.id)):
        return request.say.gettext(
            "There is a name like yours on the list. I have asked the organisers if that is you. Until they "
            "answer, you are a new member."
        )
    return request.say.gettext(
        "There is a name like yours on the list, and no organiser has written to me yet. If you are one, get "
        "a code from the person who runs me. Until then you are a new member."
    )


async def _wishes(request: Request, garden: Garden, member: Member) -> None:
    said = await wishes.wishes(request.session, member)
    await request.whisper(
        wishes_wording.message(request.say, garden.name, said), wishes_wording.buttons(request.say, member.id, said)
    )


async def press(request: Request, rest: str) -> None:
    """ "member id:yes", "no", or a language; from that member only, in private."""
    number, _, said = rest.partition(":")
    member_id = rights.whole(number)
    found = await rights.own(request, member_id) if member_id is not None else None
    if found is None:
        return
    garden, member = found
    if said in LANGUAGES:
        member.person.language = said
        request.speak(said)
        await next_step(request, garden, member)
    elif said == "yes":
        await membership.set_adult(request.session, member, request.now, adult=True)
        await request.change(request.say.gettext("Thank you. What do you like to do?"))
        await _wishes(request, garden, member)
    elif said == "no":
        await _not_adult(request, member)
    else:
        await rights.stale(request)


async def _not_adult(request: Request, member: Member) -> None:
    """Children take part with their adult, who joins; nothing of theirs stays on the list."""
    say = request.say
    await membership.set_adult(request.session, member, request.now, adult=False)
    if await membership.remove(request.session, member, request.now) is Reply.LAST_ORGANISER:
        await request.change(say.gettext("Then the garden needs an adult to look after it. Choose one with /members."))
        return
    await request.change(
        say.gettext("Then come with your adult, who can join for both of you. I have removed you from the list.")
    )


def settled(say: Say, garden: str, role: Role) -> str:
    """The end of the beginning, with the one next thing."""
    return lines([
        bold(say.gettext("Thank you, everything is ready in {garden}.", garden=safe(garden))),
        say.gettext("You can change your wishes at any time: /wishes"),
        say.gettext("Next: ask me what you can do this week: /week")
        if role is Role.MEMBER
        else say.gettext("Next: see what the garden still needs: /setup"),
    ])  # fmt: skip
