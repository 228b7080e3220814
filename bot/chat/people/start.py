"""/start: the first private message, with or without a code."""

from __future__ import annotations

from math import ceil

from telegram import User

from bot.chat import rights
from bot.chat.garden import setup_dialogue
from bot.chat.html import bold, lines, safe
from bot.chat.people import gate_words as wording
from bot.chat.people import newcomers, welcome
from bot.chat.request import Turn
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


async def answer(turn: Turn) -> None:
    """A code gives a place; a member is greeted; anyone else learns how to get in."""
    if not turn.private:
        await turn.reply(turn.say.gettext("Please send /start to me privately: tap my name first."))
        return
    word, _, code = turn.text.partition(" ")
    user = turn.update.effective_user
    if word.casefold() == f"/{WORD}" and user is not None and code.strip() and code.strip() not in _OURS:
        await _code(turn, user, code.strip()[:64])
        return
    row = await setups.of_person(turn.session, turn.person.id) if turn.person is not None else None
    if row is not None and turn.person is not None and row.garden_id is None:
        await setup_dialogue.ask(turn, row, turn.person)
    elif turn.garden is not None and turn.member is not None and not turn.member.adult:
        await welcome.ask_adult(turn, turn.garden, turn.member)
    elif turn.garden is not None and turn.member is not None:
        await turn.reply(_welcome(turn.say, turn.garden.name))
    elif turn.choices:
        await rights.choose(turn)
    else:
        await turn.reply(_stranger(turn.say))


async def _code(turn: Turn, user: User, code: str) -> None:
    """Whoever sends wrong ones waits before the next is looked at."""
    until = await codes.waits_until(turn.session, user.id, turn.now)
    if until is not None:
        await turn.reply(wording.too_many(turn.say, ceil((until - turn.now).total_seconds() / 60)))
        return
    who = newcomers.newcomer(turn.say, user)
    given = await joining.claim(turn.session, code, who, turn.now)
    if given is None:
        await codes.misses(turn.session, user.id, turn.now)
        await turn.reply(wording.no_code(turn.say))
    else:
        await _claimed(turn, who, given)


async def _claimed(turn: Turn, who: Newcomer, given: Claimed) -> None:
    garden, member = given.garden, given.member
    member.person.private_ok_at, member.person.blocked_at = turn.now, None
    await turn.member_of(garden.id)
    turn.speak(member.person.language)
    if given.place is not None:
        await turn.reply(wording.agreed(turn.say, garden.name, given.place, member.role))
    if member.role is Role.ORGANISER:
        await turn.reply(wording.claimed(turn.say, garden))
    await tell_organisers(
        turn.session,
        garden,
        f"claimed:{member.id}:{turn.update.update_id}",
        lambda say: wording.code_used(say, garden.name, who.shown, given.place),
        turn.now,
        but=member.id,
    )
    await newcomers.ask(turn.session, garden, turn.now)
    if member.role is not Role.ORGANISER:
        await welcome.next_step(turn, garden, member)


def _welcome(say: Say, garden: str) -> str:
    return lines([
        bold(say.gettext("Hello! I look after the weather and the week's work for {garden}.", garden=safe(garden))),
        say.gettext("Ask me at any time: what should I do this week?"),
        say.gettext("When cold or wind comes I may ask you here to cover or bring something in."),
        say.gettext("/help shows what else I can do."),
    ])  # fmt: skip


def _stranger(say: Say) -> str:
    return lines([
        bold(say.gettext("Hello! I help community garden groups with cold, wind and the week's work.")),
        say.gettext("If your garden already has me in its group chat, tap Join there."),
        say.gettext("If you look after a garden: add me to its group chat, and tap the button that I show there."),
        say.gettext("Or an organiser, or whoever runs me, can give you a code: send it as /start CODE."),
    ])  # fmt: skip
