"""/turns: what I have been asked for, and what I have said yes to."""

from __future__ import annotations

from bot.chat.people import helpers
from bot.chat.request import Request
from bot.chat.tasks import ask_words, daily
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.i18n import Say
from bot.services.look import look
from bot.services.warnings.events import What
from bot.services.warnings.views import view
from bot.storage.warnings import warnings

WORD = "turns"


def about(say: Say) -> str:
    return say.gettext("see the jobs I asked you for")


async def answer(request: Request) -> None:
    await show(request, None)


async def show(request: Request, lead: str | None) -> None:
    """lead: what is said first."""
    say, garden, member = request.say, request.garden, request.member
    if garden is None or member is None:
        await request.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    pairs = await warnings.open_of_member(request.session, member.id)
    theirs = await daily.mine(request, garden, member, None if pairs else lead)
    helped = await helpers.turns(request, member)
    if not pairs and not theirs and not helped:
        await request.reply(say.gettext("You have no open jobs. Thank you for being there!"))
    if not pairs:
        return
    outlook = await look(request.session, garden, request.source, request.now)
    told = Told(say, outlook.crops, request.now)
    ids = dict.fromkeys(duty.cause_id for _, duty in pairs)
    rows = [await warnings.by_id(request.session, id_) for id_ in ids]
    shown = [await view(request.session, one, outlook) for one in rows if one is not None]
    if asked := [one for one in shown if one.unanswered_by(member.id)]:
        whole = ask_words.is_whole(told, asked, member.id, [lead])
        keys = keyboards.ask(say, [one.id for one in asked], whole=whole)
        await request.whisper(ask_words.ask(told, asked, member.id, What.ASK, [lead]), keys)
    if taken := [one for one in shown if one not in asked]:
        above = [None if asked else lead]
        whole = ask_words.is_whole(told, taken, member.id, above)
        keys = keyboards.taken(say, [one.id for one in taken], whole=whole)
        await request.whisper(ask_words.yours(told, taken, member.id, above=above), keys)
