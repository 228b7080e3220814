"""/out: may it go out yet, for each batch that waits under cover."""

from __future__ import annotations

from bot.chat.growing import outdoors_words as wording
from bot.chat.request import Turn
from bot.chat.warnings.told import Told
from bot.i18n import Say
from bot.services.growing import week

WORD = "out"


def about(say: Say) -> str:
    return say.gettext("what may go out yet, and what must wait")


async def answer(turn: Turn) -> None:
    say, garden, member = turn.say, turn.garden, turn.member
    if garden is None or member is None:
        await turn.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    found = await week.answer(turn.session, garden, member, turn.source, turn.now)
    told = Told(say, found.outlook.crops, turn.now)
    await turn.reply(wording.batches(told, found.outlook, found.advice))
