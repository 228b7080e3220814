"""Corrections and disputes in words: to whoever wrote, and to organisers with every version."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.screen import within
from bot.chat.wire.message import Button
from bot.core.warnings.hazards import TaskKind
from bot.i18n import Say
from bot.services.journal.disputing import Trace
from bot.services.journal.note import Action
from bot.services.people.personal_data import NOBODY
from bot.storage.models import Entry, TaskReport

__all__ = ["about_duty", "about_note", "latest", "sure", "to_writer"]


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


def about_duty(say: Say, task: TaskKind, place: str, reports: Sequence[tuple[TaskReport, str | None]]) -> str:
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
