"""Corrections of what somebody else wrote, and what members differ about, which goes privately to organisers.

Corrections and disputes in words: to whoever wrote, and to organisers with every version.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.chat import names, rights
from bot.chat.garden.everyone import tell_organisers, voice
from bot.chat.html import bold, lines, safe
from bot.chat.journal import journal_words as journal_wording
from bot.chat.request import Request
from bot.chat.screen import within
from bot.chat.wire.message import Button, post
from bot.core.finding import TaskKind
from bot.i18n import Say
from bot.services import journal
from bot.services.growing import rules
from bot.services.journal import undoing
from bot.services.journal.disputing import Trace
from bot.services.journal.note import Action
from bot.services.journal.outcome import Undone
from bot.services.people.personal_data import NOBODY
from bot.services.tasks import completion
from bot.storage.garden import gardens
from bot.storage.models import Entry, Garden, Task, TaskReport


def latest(say: Say, entries: Sequence[tuple[Entry, str]], start: int = 0) -> tuple[str, list[list[Button]]]:
    """The last notes from number start+1 on, as many as a phone shows at once, each with what it is about; a button each,
    to say that it is not so.
    """
    if not entries[start:]:
        return say.gettext("There are no notes in the journal yet."), []
    numbered = list(enumerate(entries, 1))[start:]
    listed = [
        say.gettext(
            "{number}. {day}: {note}", number=say.number(n), day=say.day(entry.done_on), note=_what(say, entry, about)
        )
        for n, (entry, about) in numbered
    ]
    wrong = say.gettext("Is a note wrong? Tap it.")
    text, shown_n = within([bold(say.gettext("The last notes:"))], listed, lambda shown_n: [wrong])
    buttons: list[Button] = [
        (say.gettext("Note {n}", n=say.number(n)), f"notso:{entry.id}:ask") for n, (entry, _) in numbered[:shown_n]
    ]
    rows = [buttons[n : n + 4] for n in range(0, len(buttons), 4)]
    if shown_n < len(numbered):
        rows.append([(say.gettext("Show more notes"), f"notes:{start + shown_n}")])
    return text, rows


def _what(say: Say, entry: Entry, about: str) -> str:
    return say.gettext("“{words}”", words=safe(entry.words, 80)) if entry.words else about


def sure(say: Say, entry: Entry, about: str) -> tuple[str, list[list[Button]]]:
    """Asked before a note is taken back from the list, or one that somebody else wrote."""
    text = lines([
        say.gettext("Is this note wrong? {note}", note=_what(say, entry, about)),
        say.gettext("Then I take it back. Both versions stay in the journal. I name nobody."),
    ])  # fmt: skip
    yes: Button = (say.gettext("The note is wrong"), f"notso:{entry.id}:yes")
    return text, [[yes, (say.gettext("The note is right"), f"notso:{entry.id}:no")]]


def to_writer(say: Say, entry: Entry, about: str) -> str:
    return say.gettext(
        "Somebody saw it differently, so I took back your note: {note}. Both versions stay in the journal. If your "
        "note was right, write it again. If you disagree, the organisers will help.",
        note=_what(say, entry, about),
    )


def about_note(say: Say, trace: Trace) -> str:
    """To organisers: every version, in order, with its writer."""
    return lines([
        bold(say.gettext("Two members do not agree on a note. Please talk to them and find out together:")),
        *(_version(say, entry, name) for entry, name in trace.entries[-8:]),
        say.gettext("Then write the right version to me as a note. All versions stay in the journal."),
    ])  # fmt: skip


def _version(say: Say, entry: Entry, name: str | None) -> str:
    words = {"when": _when(say, entry.written_at), "name": safe(name or NOBODY, 40), "words": safe(entry.words, 80)}
    if entry.action == Action.UNDO.value:
        return say.gettext("• {when}, {name}: wrong, taken back.", **words)
    return say.gettext("• {when}, {name}: “{words}”", **words)


def duty_in_doubt(say: Say, task: TaskKind, place: str, reports: Sequence[tuple[TaskReport, str | None]]) -> str:
    """To organisers: a duty that was reported done and found not done more than once."""
    return lines([
        bold(say.gettext("Is it done or not? {task}: {place}.", task=names.task(say, task), place=safe(place, 40))),
        *(_report(say, row, name) for row, name in reports[-8:]),
        say.gettext("The job is open again. Can you check, or ask somebody who is there?"),
    ])  # fmt: skip


def _report(say: Say, row: TaskReport, name: str | None) -> str:
    when = _when(say, row.reported_at)
    if row.done:
        return say.gettext("• {when}, {name}: done.", when=when, name=safe(name or NOBODY, 40))
    return say.gettext("• {when}: somebody saw that it is not done.", when=when)


def _when(say: Say, at: datetime) -> str:
    return say.gettext("{day} {time}", day=say.day(say.local(at).date()), time=say.clock(at))


_DISPUTED_N = 2


async def about_entry(request: Request, say: Say, entry: Entry) -> str:
    """What a note without words is about: the crop and the place."""
    crops = await rules.of_garden(request.session, entry.garden_id)
    key, place = await undoing.about(request.session, entry)
    crop = names.crops(say, crops, [key]) if key is not None else ""
    parts = [part for part in (crop, safe(place, 40) if place is not None else "") if part]
    return say.and_list(parts) if parts else say.gettext("a note")


async def ask(request: Request, entry: Entry) -> None:
    """Privately, before a note of somebody else is taken back."""
    await request.whisper(*sure(request.say, entry, await about_entry(request, request.say, entry)))


async def press(request: Request, rest: str) -> None:
    """ "entry id:ask", "entry id:yes" or "entry id:no"; by a member of its garden who may change what it is about."""
    number, _, said = rest.partition(":")
    entry_id = rights.whole(number)
    entry = await undoing.entry(request.session, entry_id)
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
            text=to_writer(say, entry, await about_entry(request, say, entry)),
            now=request.now,
        )
    if undone.trace.disputed:
        trace = undone.trace
        key = f"dispute:{trace.root_id}:{trace.taken_back_n}"
        await tell_organisers(request.session, garden, key, lambda say: about_note(say, trace), request.now)


async def about_duty(request: Request, garden: Garden, duty: Task) -> None:
    """A duty found not done more than once goes to organisers with what was said of it."""
    reports = await completion.reports(request.session, duty)
    n = sum(not row.done for row, _ in reports)
    place = await gardens.place(request.session, duty.place_id)
    if n >= _DISPUTED_N and place is not None:
        await tell_organisers(
            request.session,
            garden,
            f"dispute:duty:{duty.id}:{n}",
            lambda say: duty_in_doubt(say, duty.kind, place.name, reports),
            request.now,
        )
