"""Corrections of what somebody else wrote, and what members differ about, which goes privately to organisers."""

from __future__ import annotations

from bot.chat import names, rights
from bot.chat.html import safe
from bot.chat.journal import dispute_words as wording
from bot.chat.journal import journal_words as journal_wording
from bot.chat.request import Request
from bot.chat.warnings.announce import tell_organisers, voice
from bot.chat.wire.message import post
from bot.i18n import Say
from bot.services import journal
from bot.services.growing import rules
from bot.services.journal.outcome import Undone
from bot.services.tasks import completion
from bot.storage.models import Entry, Garden, Place, Planting, Task

__all__ = ["about_duty", "about_entry", "ask", "corrected", "press"]

_DISPUTED_N = 2


async def about_entry(request: Request, say: Say, entry: Entry) -> str:
    """What a note without words is about: the crop and the place."""
    crops = await rules.of_garden(request.session, entry.garden_id)
    planting = await request.session.get(Planting, entry.planting_id) if entry.planting_id is not None else None
    place = await request.session.get(Place, entry.place_id) if entry.place_id is not None else None
    crop = names.crops(say, crops, [planting.crop]) if planting is not None else ""
    parts = [part for part in (crop, safe(place.name, 40) if place is not None else "") if part]
    return say.and_list(parts) if parts else say.gettext("a note")


async def ask(request: Request, entry: Entry) -> None:
    """Privately, before a note of somebody else is taken back."""
    await request.whisper(*wording.sure(request.say, entry, await about_entry(request, request.say, entry)))


async def press(request: Request, rest: str) -> None:
    """ "entry id:ask", "entry id:yes" or "entry id:no"; by a member of its garden who may change what it is about."""
    number, _, said = rest.partition(":")
    entry_id = rights.whole(number)
    entry = await request.session.get(Entry, entry_id) if entry_id is not None else None
    member = await request.member_of(entry.garden_id) if entry is not None else None
    if entry is None or member is None:
        await rights.stale(request)
    elif said == "ask":
        await ask(request, entry)
    elif said == "yes":
        outcome = await journal.undo(request.session, member, request.now, entry.id)
        for text, _ in journal_wording.replies(
            request.say, await rules.of_garden(request.session, entry.garden_id), [outcome]
        ):
            await request.change(text)
        if isinstance(outcome, Undone):
            await corrected(request, outcome)
    else:
        await request.change(request.say.gettext("All right, it stays."))


async def corrected(request: Request, undone: Undone) -> None:
    """Whoever wrote it hears, and when two differ, the organisers do; nobody is named but to organisers."""
    writer, garden = undone.writer, request.garden
    if writer is None or garden is None or undone.trace is None:
        return
    entry = undone.entries[0]
    if writer.person.user_id is not None and writer.left_at is None:
        say = voice(garden, writer.person.language)
        await post(
            request.session,
            key=f"notso:{entry.id}:{request.update.update_id}",
            chat_id=writer.person.user_id,
            text=wording.to_writer(say, entry, await about_entry(request, say, entry)),
            now=request.now,
        )
    if undone.trace.disputed:
        trace = undone.trace
        key = f"dispute:{trace.root_id}:{trace.taken_back_n}"
        await tell_organisers(request.session, garden, key, lambda say: wording.about_note(say, trace), request.now)


async def about_duty(request: Request, garden: Garden, duty: Task) -> None:
    """A duty found not done more than once goes to organisers with what was said of it."""
    reports = await completion.reports(request.session, duty)
    n = sum(not row.done for row, _ in reports)
    place = await request.session.get(Place, duty.place_id)
    if n >= _DISPUTED_N and place is not None:
        await tell_organisers(
            request.session,
            garden,
            f"dispute:duty:{duty.id}:{n}",
            lambda say: wording.about_duty(say, duty.kind, place.name, reports),
            request.now,
        )
