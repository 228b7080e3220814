"""/calloff: an organiser calls a warning off, with a reason; everyone who was counted on hears of it."""

from __future__ import annotations

from datetime import timedelta

from bot.chat import rights
from bot.chat.request import Request
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
    return say.gettext("cancel a warning")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    warnings = await manual.in_force(request.session, found[0].id, request.now)
    if warnings:
        await request.whisper(*wording.in_force(request.say, warnings))
    else:
        await request.whisper(request.say.gettext("There is no warning now."))


async def press(request: Request, rest: str) -> None:
    """ "warning id:ask", "warning id:go" or "warning id:keep"; by an organiser of its garden only."""
    number, _, deed = rest.partition(":")
    found = await _warning(request, rights.whole(number))
    if found is None:
        return
    garden, warning = found
    if deed == "ask":
        await _ask(request, warning)
    elif deed == "go":
        await _off(request, garden, warning, "")
    else:
        await request.change(request.say.gettext("All right, the warning stays."))


async def is_asked(request: Request) -> bool:
    """Whether a line written now would be taken for the reason."""
    return request.private and await _question(request) is not None


async def reason(request: Request) -> bool:
    """Whether a line written in private is the reason that was asked for; if so, the warning is called off."""
    asked = await _question(request) if request.private else None
    if asked is None:
        return False
    found = await _warning(request, rights.whole(asked.key.split(":")[1]))
    if found is not None:
        await _off(request, *found, request.text)
    return True


async def _question(request: Request) -> Outbox | None:
    """The question that this message answers: as a reply to it, or as the next thing that is written."""
    message, chat = request.update.message, request.update.effective_chat
    if message is None or chat is None:
        return None
    replied = message.reply_to_message
    row = (
        await said.at(request.session, chat.id, replied.message_id)
        if replied is not None
        else await said.latest(request.session, chat.id)
    )
    if row is None or not row.key.startswith("off:") or request.now - row.queued_at > _ANSWERED_IN:
        return None
    return row


async def _warning(request: Request, warning_id: int | None) -> tuple[Garden, Warning] | None:
    """A warning, for an organiser of its garden."""
    warning = await store.by_id(request.session, warning_id) if warning_id is not None else None
    found = await rights.organiser_of(request, warning.garden_id) if warning else None
    return None if warning is None or found is None else (found[0], warning)


async def _ask(request: Request, warning: Warning) -> None:
    user = request.update.effective_user
    if warning.state is WarningState.OVER:
        await request.whisper(request.say.gettext("That warning is already over."))
    elif user is not None:
        await post(
            request.session,
            key=f"off:{warning.id}:{request.update.update_id}",
            chat_id=user.id,
            text=wording.why(request.say, warning),
            now=request.now,
            buttons=wording.reasons(request.say, warning.id),
            urgency=Urgency.REPLY,
        )


async def _off(request: Request, garden: Garden, warning: Warning, why: str) -> None:
    known = warning.state is not WarningState.DETECTED
    if not await manual.call_off(request.session, garden, warning, why, request.now):
        await request.whisper(request.say.gettext("That warning is already over."))
        return
    outlook = await look(request.session, garden, request.source, request.now)
    await settling.undoing(request.session, garden, outlook, request.now)
    if known:
        shown = await view(request.session, warning, outlook)
        told = [ToGroup(What.EDIT, shown), ToGroup(What.CALLED_OFF, shown)]  # the call that stands there, then anew
        await tell(request.session, garden, outlook, told, request.now)
    await request.whisper(request.say.gettext("Cancelled. I will tell the group and everyone who said yes."))
