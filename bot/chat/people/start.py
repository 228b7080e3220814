"""/start: the first private message, with or without a code.

What a newcomer is asked in private, one thing after the other: an adult or not, what they are glad to do.
"""

from __future__ import annotations

from math import ceil

from telegram import User

from bot.chat import rights
from bot.chat.garden import setup_dialogue
from bot.chat.garden.everyone import tell_organisers
from bot.chat.html import bold, lines, safe
from bot.chat.people import gate_words as wording
from bot.chat.people import language, newcomers
from bot.chat.people import wishes_words as wishes_wording
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import LANGUAGES, Say
from bot.services.garden import setup as setups
from bot.services.people import codes, joining, membership, wishes
from bot.services.people.joining import Claimed, Newcomer
from bot.services.people.membership import Reply
from bot.storage.models import Garden, Member
from bot.storage.people import members


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


WORD = "start"
#: What the addresses under our own buttons add.
_OURS = ("hello", "setup")


def about(say: Say) -> str:
    return say.gettext("begin")


async def answer(request: Request) -> None:
    """A code gives a place; a member is greeted; anyone else learns how to get in."""
    if not request.private:
        await request.reply(request.say.gettext("Please send /start to me privately: tap my name first."))
        return
    word, _, code = request.text.partition(" ")
    user = request.update.effective_user
    if word.casefold() == f"/{WORD}" and user is not None and code.strip() and code.strip() not in _OURS:
        await _code(request, user, code.strip()[:64])
        return
    row = await setups.of_person(request.session, request.person.id) if request.person is not None else None
    if row is not None and request.person is not None and row.garden_id is None:
        await setup_dialogue.ask(request, row, request.person)
    elif request.garden is not None and request.member is not None and not request.member.adult:
        await ask_adult(request, request.garden, request.member)
    elif request.garden is not None and request.member is not None:
        await request.reply(_welcome(request.say, request.garden.name))
    elif request.choices:
        await rights.choose(request)
    else:
        await request.reply(_stranger(request.say))


async def _code(request: Request, user: User, code: str) -> None:
    """Whoever sends wrong ones waits before the next is looked at."""
    until = await codes.waits_until(request.session, user.id, request.now)
    if until is not None:
        await request.reply(wording.too_many(request.say, ceil((until - request.now).total_seconds() / 60)))
        return
    who = newcomers.newcomer(request.say, user)
    given = await joining.claim(request.session, code, who, request.now)
    if given is None:
        await codes.misses(request.session, user.id, request.now)
        await request.reply(wording.no_code(request.say))
    else:
        await _claimed(request, who, given)


async def _claimed(request: Request, who: Newcomer, given: Claimed) -> None:
    garden, member = given.garden, given.member
    member.person.private_ok_at, member.person.blocked_at = request.now, None
    await request.member_of(garden.id)
    request.speak(member.person.language)
    if given.place is not None:
        await request.reply(wording.agreed(request.say, garden.name, given.place, member.role))
    if member.role is Role.ORGANISER:
        await request.reply(wording.claimed(request.say, garden))
    await tell_organisers(
        request.session,
        garden,
        f"claimed:{member.id}:{request.update.update_id}",
        lambda say: wording.code_used(say, garden.name, who.shown, given.place),
        request.now,
        but=member.id,
    )
    await newcomers.ask(request.session, garden, request.now)
    if member.role is not Role.ORGANISER:
        await next_step(request, garden, member)


def _welcome(say: Say, garden: str) -> str:
    return lines([
        bold(say.gettext("Hello! I watch the weather for {garden}, and I say what to do each week.", garden=safe(garden))),
        say.gettext("Ask me at any time: what should I do this week?"),
        say.gettext("Before cold or wind I may ask you here to cover plants or bring them in."),
        say.gettext("/help shows what else I can do."),
    ])  # fmt: skip


def _stranger(say: Say) -> str:
    return lines([
        bold(say.gettext("Hello! I help community garden groups with cold, wind and the jobs of the week.")),
        say.gettext("If your garden already has me in its group chat, tap Join there."),
        say.gettext("If you look after a garden: add me to its group chat, and tap the button that I show there."),
        say.gettext("Or get a code from an organiser, or from the person who runs me. Send it as /start CODE."),
    ])  # fmt: skip
