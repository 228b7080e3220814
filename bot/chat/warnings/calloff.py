"""/calloff: an organiser calls a warning off, with a reason; everyone who was counted on hears of it."""

from __future__ import annotations

from datetime import timedelta

from bot.chat import rights
from bot.chat.request import Turn
from bot.chat.warnings import manual_words as wording
from bot.chat.warnings.announce import tell
from bot.chat.wire.message import Urgency, post
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.look import look
from bot.services.warnings import manual, settling
from bot.services.warnings.events import ToGroup, What
from bot.services.warnings.views import view
from bot.storage.models import Garden, Outbox, Warning
from bot.storage.states import WarningState
from bot.storage.warnings import warnings as store
from bot.storage.wire import said

WORD = "calloff"
FOR = Role.ORGANISER
#: A line written this soon after the question is its answer, unless something else was said in between.
_ANSWERED_IN = timedelta(hours=1)


def about(say: Say) -> str:
    return say.gettext("call a warning off")


async def answer(turn: Turn) -> None:
    found = await rights.organiser(turn)
    if found is None:
        return
    warnings = await manual.in_force(turn.session, found[0].id, turn.now)
    if warnings:
        await turn.whisper(*wording.in_force(turn.say, warnings))
    else:
        await turn.whisper(turn.say.gettext("No warning is in force."))


async def press(turn: Turn, rest: str) -> None:
    """ "warning id:ask", "warning id:go" or "warning id:keep"; by an organiser of its garden only."""
    number, _, deed = rest.partition(":")
    found = await _warning(turn, rights.whole(number))
    if found is None:
        return
    garden, warning = found
    if deed == "ask":
        await _ask(turn, warning)
    elif deed == "go":
        await _off(turn, garden, warning, "")
    else:
        await turn.change(turn.say.gettext("All right, the warning stays."))


async def is_asked(turn: Turn) -> bool:
    """Whether a line written now would be taken for the reason."""
    return turn.private and await _question(turn) is not None


async def reason(turn: Turn) -> bool:
    """Whether a line written in private is the reason that was asked for; if so, the warning is called off."""
    asked = await _question(turn) if turn.private else None
    if asked is None:
        return False
    found = await _warning(turn, rights.whole(asked.key.split(":")[1]))
    if found is not None:
        await _off(turn, *found, turn.text)
    return True


async def _question(turn: Turn) -> Outbox | None:
    """The question that this message answers: as a reply to it, or as the next thing that is written."""
    message, chat = turn.update.message, turn.update.effective_chat
    if message is None or chat is None:
        return None
    replied = message.reply_to_message
    row = (
        await said.at(turn.session, chat.id, replied.message_id)
        if replied is not None
        else await said.latest(turn.session, chat.id)
    )
    if row is None or not row.key.startswith("off:") or turn.now - row.queued_at > _ANSWERED_IN:
        return None
    return row


async def _warning(turn: Turn, warning_id: int | None) -> tuple[Garden, Warning] | None:
    """A warning, for an organiser of its garden."""
    warning = await store.by_id(turn.session, warning_id) if warning_id is not None else None
    found = await rights.organiser_of(turn, warning.garden_id) if warning else None
    return None if warning is None or found is None else (found[0], warning)


async def _ask(turn: Turn, warning: Warning) -> None:
    user = turn.update.effective_user
    if warning.state is WarningState.OVER:
        await turn.whisper(turn.say.gettext("That warning is over already."))
    elif user is not None:
        await post(
            turn.session,
            key=f"off:{warning.id}:{turn.update.update_id}",
            chat_id=user.id,
            text=wording.why(turn.say, warning),
            now=turn.now,
            buttons=wording.reasons(turn.say, warning.id),
            urgency=Urgency.REPLY,
        )


async def _off(turn: Turn, garden: Garden, warning: Warning, why: str) -> None:
    known = warning.state is not WarningState.DETECTED
    if not await manual.call_off(turn.session, garden, warning, why, turn.now):
        await turn.whisper(turn.say.gettext("That warning is over already."))
        return
    outlook = await look(turn.session, garden, turn.source, turn.now)
    await settling.undoing(turn.session, garden, outlook, turn.now)
    if known:
        shown = await view(turn.session, warning, outlook)
        told = [ToGroup(What.EDIT, shown), ToGroup(What.CALLED_OFF, shown)]  # the call that stands there, then anew
        await tell(turn.session, garden, outlook, told, turn.now)
    await turn.whisper(turn.say.gettext("Called off. The group and everyone who had said yes are told."))
