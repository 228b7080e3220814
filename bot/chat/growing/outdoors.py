"""/out: may it go out yet, for each batch that waits under cover."""

from __future__ import annotations

from bot.chat.growing import outdoors_words as wording
from bot.chat.request import Request
from bot.chat.screen import show
from bot.chat.warnings.told import Told
from bot.i18n import Say
from bot.services.growing import week

WORD = "out"
#: The button of every batch.
ALL = "out:all"


def about(say: Say) -> str:
    return say.gettext("which plants can go outside now")


async def answer(request: Request) -> None:
    await _show(request)


async def press(request: Request, rest: str) -> None:
    """ "all": every batch with all of its days."""
    await _show(request, whole=True)


async def _show(request: Request, *, whole: bool = False) -> None:
    say, garden, member = request.say, request.garden, request.member
    if garden is None or member is None:
        await request.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    found = await week.answer(request.session, garden, member, request.source, request.now)
    told = Told(say, found.outlook.crops, request.now)
    if whole:
        await show(request, wording.batches(told, found.outlook, found.advice), ALL)
        return
    text, is_whole = wording.some(told, found.outlook, found.advice)
    await request.reply(text, [] if is_whole else [[(say.gettext("Show all plants"), ALL)]])
