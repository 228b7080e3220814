"""What a file would change in the calendar, and what of it could not be taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from bot.chat.calendar.calendar_words import bounded, line
from bot.chat.html import bold, safe
from bot.core.calendar.entry import Entry, Occurrence
from bot.i18n import Say
from bot.services.calendar.entries import Compared
from bot.services.calendar.ical_in import MOST_EVENTS, Remark, Remarked
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
        parts.append(bold(say.ngettext("{n} entry withdrawn:", "{n} entries withdrawn:", len(gone))))
        parts += [_line(say, entry, today) for entry in gone]
    if found.same:
        parts.append(say.ngettext("{n} entry is as before.", "{n} entries are as before.", len(found.same)))
    if remarks or problems:
        parts.append(bold(say.gettext("What I could not take as it stands:")))
        parts += [remark(say, one) for one in remarks] + [safe(str(problem), 300) for problem in problems]
    return bounded(say, parts or [say.gettext("There is no entry in it.")])


def remark(say: Say, one: Remark) -> str:
    words = {"title": safe(one.title, 60) or say.gettext("an event without a title"), "detail": safe(one.detail, 60)}
    return {
        Remarked.NO_CALENDAR: say.gettext(
            "This is not a calendar file that I can read; export it anew as .ics. ({detail})", **words
        ),
        Remarked.TOO_MANY: say.gettext("It holds {detail} events; I read the first {most}.", most=MOST_EVENTS, **words),
        Remarked.NO_START: say.gettext("“{title}” has no day; not taken.", **words),
        Remarked.NO_TITLE: say.gettext("An event has no title; not taken."),
        Remarked.FAR_OFF: say.gettext("“{title}” lies too far from today, or lasts too long; not taken.", **words),
        Remarked.BACKWARDS: say.gettext("“{title}” ends before it begins; not taken.", **words),
        Remarked.RULE: say.gettext("“{title}” repeats in a way that I can't keep ({detail}); not taken.", **words),
        Remarked.CHANGED_TIME: say.gettext(
            "“{title}”: one of its times was changed by itself ({detail}); that change is not taken.", **words
        ),
        Remarked.PAST: say.gettext("Events that are over, not taken: {detail}.", **words),
        Remarked.OTHER_ZONE: say.gettext("“{title}” goes by the clock of {detail}; I take it by the garden's.", **words),
        Remarked.STEPPED: say.gettext("“{title}” does not repeat on its own first day; it begins on {detail}.", **words),
        Remarked.LONG_TITLE: say.gettext("“{title}” has a long title; it is cut.", **words),
        Remarked.UNKEPT: say.gettext("I have no place for {detail}; it is left out.", **words),
        Remarked.COMPONENT: say.gettext("The file also holds {detail}, which is no event; left out.", **words),
    }[one.code]  # fmt: skip


def _line(say: Say, entry: Entry, today: date) -> str:
    return say.gettext("• {entry}", entry=line(say, Occurrence(entry, entry.first_on, entry.last_on), today))
