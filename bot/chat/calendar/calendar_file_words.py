"""What a file would change in the calendar, and what of it could not be taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from bot.chat.calendar.calendar_words import bounded, line
from bot.chat.html import bold, safe
from bot.core.calendar.entry import Entry, Occurrence
from bot.i18n import Say
from bot.services.calendar.entries import Compared
from bot.services.calendar.remarks import MOST_EVENTS, Remark, Remarked
from bot.services.garden.records.problems import Problem

__all__ = ["changes", "remark"]


def changes(
    say: Say,
    found: Compared,
    today: date,
    *,
    remarks: Sequence[Remark] = (),
    problems: Sequence[Problem] = (),
    withdrawn: Iterable[Entry] = (),
) -> str:
    """A preview, before anything is stored."""
    gone = list(withdrawn)
    parts: list[str] = []
    if found.new:
        parts.append(bold(say.ngettext("{n} new entry:", "{n} new entries:", len(found.new))))
        parts += [_line(say, entry, today) for entry in found.new]
    if found.changed:
        parts.append(bold(say.ngettext("{n} changed entry:", "{n} changed entries:", len(found.changed))))
        parts += [
            say.gettext("{before} → {after}", before=_line(say, before, today), after=_line(say, after, today))
            for before, after in found.changed
        ]
    if gone:
        parts.append(bold(say.ngettext("{n} entry taken out:", "{n} entries taken out:", len(gone))))
        parts += [_line(say, entry, today) for entry in gone]
    if found.same:
        parts.append(
            say.ngettext("{n} entry is the same as before.", "{n} entries are the same as before.", len(found.same))
        )
    if remarks or problems:
        parts.append(bold(say.gettext("What I changed or left out:")))
        parts += [remark(say, one) for one in remarks] + [safe(str(problem), 300) for problem in problems]
    return bounded(say, parts or [say.gettext("There is no entry in this file.")])


def remark(say: Say, one: Remark) -> str:
    words = {"title": safe(one.title, 60) or say.gettext("an event without a title"), "detail": safe(one.detail, 60)}
    return {
        Remarked.NO_CALENDAR: say.gettext(
            "I cannot read this file as a calendar. Please save it again as .ics. ({detail})", **words
        ),
        Remarked.TOO_MANY: say.gettext("It has {detail} events. I read only the first {most}.", most=MOST_EVENTS, **words),
        Remarked.NO_START: say.gettext("“{title}” has no day. I left it out.", **words),
        Remarked.NO_TITLE: say.gettext("An event has no title. I left it out."),
        Remarked.FAR_OFF: say.gettext("“{title}” is too far from today, or too long. I left it out.", **words),
        Remarked.BACKWARDS: say.gettext("“{title}” ends before it begins. I left it out.", **words),
        Remarked.RULE: say.gettext("“{title}” repeats in a way that I cannot use ({detail}). I left it out.", **words),
        Remarked.CHANGED_TIME: say.gettext(
            "“{title}”: one of its days was changed alone ({detail}). I left that change out.", **words
        ),
        Remarked.PAST: say.gettext("Events in the past, left out: {detail}.", **words),
        Remarked.OTHER_ZONE: say.gettext("“{title}” is in the time zone {detail}. I changed it to the garden's time.", **words),
        Remarked.STEPPED: say.gettext("“{title}” does not repeat on its own first day. I start it on {detail}.", **words),
        Remarked.LONG_TITLE: say.gettext("“{title}” has a long title. I made it shorter.", **words),
        Remarked.UNKEPT: say.gettext("I cannot keep {detail}. I left it out.", **words),
        Remarked.COMPONENT: say.gettext("The file also has {detail}. That is not an event, so I left it out.", **words),
    }[one.code]  # fmt: skip


def _line(say: Say, entry: Entry, today: date) -> str:
    return say.gettext("• {entry}", entry=line(say, Occurrence(entry, entry.first_on, entry.last_on), today))
