"""/turns: what I have been asked for, and what I have said yes to."""

from __future__ import annotations

from bot.chat import daily, keyboards, through
from bot.chat.turn import Turn
from bot.chat.wording import duties
from bot.i18n import Say
from bot.services.events import What
from bot.services.outlook import look
from bot.services.views import view
from bot.storage import warnings
from bot.storage.states import AskState

WORD = "turns"


def about(say: Say) -> str:
    return say.gettext("what you have been asked for")


async def answer(turn: Turn) -> None:
    say, garden, member = turn.say, turn.garden, turn.member
    if garden is None or member is None:
        await turn.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    pairs = await warnings.open_of_member(turn.session, member.id)
    theirs = await daily.mine(turn, garden, member)
    helped = await through.turns(turn, member)
    if not pairs and not theirs and not helped:
        await turn.reply(say.gettext("You have nothing open. Thank you for being there."))
    if not pairs:
        return
    outlook = await look(turn.session, garden, turn.source, turn.now)
    for warning_id in dict.fromkeys(duty.cause_id for _, duty in pairs):
        warning = await warnings.by_id(turn.session, warning_id)
        if warning is None:
            continue
        shown = await view(turn.session, warning, outlook)
        said_yes = all(ask.state is AskState.ACCEPTED for ask, duty in pairs if duty.cause_id == warning_id)
        text = (
            duties.yours(say, outlook.crops, shown, member.id, turn.now)
            if said_yes
            else duties.ask(say, outlook.crops, shown, member.id, turn.now, What.ASK)
        )
        rows = keyboards.taken(say, warning_id) if said_yes else keyboards.ask(say, warning_id)
        await turn.whisper(text, rows)
