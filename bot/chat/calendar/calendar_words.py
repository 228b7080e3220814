"""The seasonal calendar in words: an entry in a line, a preview with its mistakes, the pinned message, reminders.

What a file would change in the calendar, and what of it could not be taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby

from babel import dates

from bot.chat.calendar.entry_lines import Mistake, Written
from bot.chat.html import bold, safe
from bot.chat.language.line_tokens import Mistaken, Note
from bot.chat.screen import within
from bot.core.calendar.entry import MOST_TITLE_N, Entry, Occurrence, first_occurrences
from bot.i18n import Say
from bot.services.calendar.entries import Changed, Compared
from bot.services.calendar.remarks import MOST_EVENTS, Remark, Remarked
from bot.services.garden.records.problems import Problem

#: In UTF-16 units, as the platform counts its 4096; the rest is for the closing line.
_MOST_N = 3700
_SHOWN_TIMES = 3
_DAY = timedelta(days=1)


def when(say: Say, one: Occurrence, today: date) -> str:
    """ "Tue 12 May to Wed 20 May", "Sat 2 May, 10:00–12:00"; with the year where it is not this one."""
    entry = one.entry
    over_night = entry.starts is not None and entry.ends is not None and entry.ends < entry.starts
    last_on = one.last_on - _DAY if over_night else one.last_on
    days = _day(say, one.first_on, today)
    if last_on > one.first_on:
        days = say.gettext("{first} to {last}", first=days, last=_day(say, last_on, today))
    if entry.starts is None:
        return days
    if entry.ends is None:
        return say.gettext("{days}, {time}", days=days, time=f"{entry.starts:%H:%M}")
    return say.gettext("{days}, {time}", days=days, time=f"{entry.starts:%H:%M}–{entry.ends:%H:%M}")


def line(say: Say, one: Occurrence, today: date) -> str:
    return say.gettext("{when}: {title}", when=when(say, one, today), title=safe(one.entry.title, MOST_TITLE_N))


def repeats(say: Say, entry: Entry, today: date) -> str | None:
    """The next times of what repeats: "Again on Tue 9 June, Tue 16 June and later."; None for once."""
    times = first_occurrences(entry, _SHOWN_TIMES + 2)[1:] if entry.rrule else ()
    if not times:
        return None
    days = [_day(say, one.first_on, today) for one in times]
    if len(days) > _SHOWN_TIMES:
        return say.gettext("Again on {days} and later.", days=", ".join(days[:_SHOWN_TIMES]))
    return say.gettext("Again on {days}.", days=say.and_list(days))


def preview(say: Say, read: Sequence[Written | Mistake], today: date) -> str:
    """What the lines would put into the calendar, and each mistake with its line and what to write."""
    wrong = [mistake(say, one) for one in read if isinstance(one, Mistake)]
    good = [_understood(say, one, today) for one in read if isinstance(one, Written)]
    head = say.ngettext("I read {n} entry:", "I read {n} entries:", len(good)) if good else None
    parts = [bold(head), *good] if head else []
    if wrong:
        count = say.ngettext("I could not read {n} line:", "I could not read {n} lines:", len(wrong))
        parts += [bold(count), *wrong]
    if not parts:
        parts = [say.gettext("Write one entry on each line, for example: 12-20 May plant out runner beans")]
    return bounded(say, parts)


def pinned(say: Say, garden: str, found: Iterable[Occurrence], today: date) -> str:
    """The calendar of the coming two months, by month; within what one message holds."""
    title, entries = _by_month(say, garden, found, today)
    return bounded(say, [title, *entries, say.gettext("Last changed: {day}.", day=say.day(today))])


def next_ones(say: Say, garden: str, found: Iterable[Occurrence], today: date) -> str:
    """As much of it from the front as a phone shows at once."""
    title, entries = _by_month(say, garden, found, today)
    return within([title], entries, lambda shown_n: [])[0]


def _by_month(say: Say, garden: str, found: Iterable[Occurrence], today: date) -> tuple[str, list[str]]:
    """(title, lines), a month's name above its entries."""
    entries = _merged(found)
    parts = []
    for (year, month), group in groupby(entries, key=lambda one: _month(one, today)):
        parts.append(bold(dates.format_skeleton("yMMMM", date(year, month, 1), locale=say.locale)))
        parts += [say.gettext("• {entry}", entry=line(say, one, today)) for one in group]
    title = bold(say.gettext("Calendar of {garden}", garden=safe(garden)))
    return title, parts or [say.gettext("Nothing in the next two months.")]


def reminder(say: Say, one: Occurrence, today: date) -> str:
    if one.first_on == today + _DAY:
        head = say.gettext("Tomorrow in the calendar:")
    else:
        head = say.gettext("Today in the calendar:") if one.first_on == today else say.gettext("In the calendar:")
    return f"{bold(head)}\n{line(say, one, today)}"


def history(say: Say, steps: Iterable[Changed], today: date) -> str:
    """Who changed an entry, and what it said before; the latest first."""
    return bounded(say, [_step(say, step, today) for step in steps])


def mistake(say: Say, one: Mistake) -> str:
    """The line, what is wrong with it, and what to write."""
    words = {"value": safe(one.value, 40), "likely": safe(one.likely, 40)}
    what = {
        Mistaken.NO_DATE: say.gettext("it has no day; start with a day, like 12-20 May or every Tuesday in June"),
        Mistaken.NO_TITLE: say.gettext("it has only a day; write the job after it"),
        Mistaken.LONG_TITLE: say.gettext("the text has {value} letters; the most is {most}", **words, most=MOST_TITLE_N),
        Mistaken.NO_SUCH_DAY: say.gettext("there is no {value}; check the month", **words),
        Mistaken.MONTH_FIRST: say.gettext("{value} is not a date: write the day first, like {likely}", **words),
        Mistaken.BACKWARDS: say.gettext("{likely} is before {value}; write the earlier day first", **words),
        Mistaken.WRONG_WEEKDAY: _weekday(say, one),
        Mistaken.NO_SUCH_TIME: say.gettext("{value} is not a time; write it like 10-12 or 14:00", **words),
        Mistaken.TWO_DATES: say.gettext("it has a second day, {value}; write each on its own line", **words),
        Mistaken.PAST: say.gettext("{value} is in the past; write a day in the future", **words),
        Mistaken.TOO_MANY: say.gettext("I read only {value} lines at a time; send the lines from here again", **words),
        Mistaken.NO_LAST: say.gettext("it starts {value}, but has no end", **words),
        Mistaken.TOO_LONG: say.gettext("{value} days are too many; write one year at most", **words),
        Mistaken.TO_COME: say.gettext("{value} is in the future", **words),
        Mistaken.NEVER: say.gettext("it has no day between its first and last day; check both"),
    }[one.code]  # fmt: skip
    return say.gettext("Line {line}, “{written}”: {what}.", line=one.line, written=safe(one.text, 60), what=what)


def bounded(say: Say, parts: Sequence[str]) -> str:
    """Parts as lines, as many as one message holds; the rest is counted, never dropped unsaid."""
    kept: list[str] = []
    size_n = 0
    for part in parts:
        size_n += len(part.encode("utf-16-le")) // 2 + 1
        if size_n > _MOST_N:
            rest = len(parts) - len(kept)
            kept.append(say.ngettext("And {n} line more.", "And {n} lines more.", rest))
            break
        kept.append(part)
    return "\n".join(kept)


def _understood(say: Say, read: Written, today: date) -> str:
    (first,) = first_occurrences(read.entry, 1) or (Occurrence(read.entry, read.entry.first_on, read.entry.last_on),)
    notes = [_note(say, note) for note in read.notes]
    again = repeats(say, read.entry, today)
    return " ".join([say.gettext("• {entry}.", entry=line(say, first, today)), *([again] if again else []), *notes])


def _note(say: Say, note: Note) -> str:
    return {
        Note.PART: say.gettext("(Early: day 1 to 10. Mid: 11 to 20. Late: from 21.)"),
        Note.NEXT_YEAR: say.gettext("(I took next year. This year it is over.)"),
        Note.AFTERNOON: say.gettext("(I took the afternoon.)"),
        Note.EACH_DAY: say.gettext("(The same hours on each day.)"),
        Note.NO_END: say.gettext("(It has no end.)"),
    }[note]


def _weekday(say: Say, one: Mistake) -> str:
    if one.code is not Mistaken.WRONG_WEEKDAY:
        return ""
    on = date.fromisoformat(one.value)
    weekday = dates.format_date(on, "EEEE", locale=say.locale)
    return say.gettext("{day} is a {weekday}; write the right day", day=say.long_day(on), weekday=weekday)


def _step(say: Say, step: Changed, today: date) -> str:
    words = {
        "day": say.day(say.local(step.at).date()),
        "time": say.clock(step.at),
        "name": safe(step.by, 40) if step.by else say.gettext("somebody who left the garden"),
    }
    if step.before is None:
        return say.gettext("{day}, {time}: written by {name}.", **words)
    before = line(say, Occurrence(step.before, step.before.first_on, step.before.last_on), today)
    return say.gettext("{day}, {time}: changed by {name}; before: {before}", **words, before=before)


def _day(say: Say, on: date, today: date) -> str:
    return say.day(on) if on.year == today.year else say.day_and_year(on)


def _month(one: Occurrence, today: date) -> tuple[int, int]:
    """What has begun already stands under this month."""
    begins = max(one.first_on, today)
    return begins.year, begins.month


def _merged(found: Iterable[Occurrence]) -> list[Occurrence]:
    """One line for what repeats day by day."""
    kept: list[Occurrence] = []
    open_ends: dict[str, int] = {}
    for one in found:
        at = open_ends.get(one.entry.uid)
        if at is not None and kept[at].last_on + _DAY == one.first_on == one.last_on:
            kept[at] = replace(kept[at], last_on=one.last_on)
            continue
        open_ends[one.entry.uid] = len(kept)
        kept.append(one)
    return kept


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
