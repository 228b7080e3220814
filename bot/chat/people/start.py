"""/start: the first private message, with or without a code."""

from __future__ import annotations

from math import ceil

from telegram import User

from bot.chat import rights
from bot.chat.garden import setup_dialogue
from bot.chat.html import bold, lines, safe
from bot.chat.people import gate_words as wording
from bot.chat.people import newcomers, welcome
from bot.chat.request import Request
from bot.chat.warnings.announce import tell_organisers
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.garden import setup as setups
from bot.services.people import codes, joining
from bot.services.people.joining import Claimed, Newcomer

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
        await welcome.ask_adult(request, request.garden, request.member)
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
        await welcome.next_step(request, garden, member)


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
