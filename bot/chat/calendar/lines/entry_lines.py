"""Calendar entries as people write them, one a line: days, hours and a title, in any order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from bot.chat.calendar.lines.date_words import Words, plain, words
from bot.chat.calendar.lines.line_tokens import Tokens
from bot.chat.calendar.lines.meaning import with_meaning
from bot.chat.calendar.lines.mistakes import Mistaken, Note, Wrong
from bot.chat.calendar.lines.repeats import Repeat, repeat
from bot.chat.calendar.lines.written_days import Reader, Span
from bot.chat.calendar.lines.written_hours import find_hours
from bot.chat.language import spans
from bot.core.calendar.entry import MOST_TITLE_N, Entry, EntryKind, RuleError, checked
from bot.core.growing.crop import Crop
from bot.i18n import Say
from bot.services.calendar.remarks import plain_title
from bot.services.calendar.written_hours import timed

__all__ = ["MOST_LINES", "Mistake", "Written", "read_lines"]

MOST_LINES = 100
_EDGES = " \t-–—:,;.·•*"


@dataclass(frozen=True, slots=True)
class Written:
    """One line that was understood. line: from 1. notes: how it was read where it may be read otherwise."""

    line: int
    text: str
    entry: Entry
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Mistake:
    """One line that was not. value, likely: see Mistaken."""

    line: int
    text: str
    code: Mistaken
    value: str
    likely: str


def read_lines(text: str, say: Say, crops: Mapping[str, Crop], today: date) -> tuple[Written | Mistake, ...]:
    """Every line that says something; the first beyond MOST_LINES is a mistake, the rest is not read.

    today: of the garden; years are counted from it.
    """
    every = [(n, plain_title(line).strip("-•* ")) for n, line in enumerate(text.splitlines(), 1)]
    said = [(n, line) for n, line in every if line]
    heard = words(say)
    read = [_line(n, line, heard, say, crops, today) for n, line in said[:MOST_LINES]]
    over = [Mistake(n, line, Mistaken.TOO_MANY, str(MOST_LINES), "") for n, line in said[MOST_LINES : MOST_LINES + 1]]
    return (*read, *over)


def _line(n: int, line: str, heard: Words, say: Say, crops: Mapping[str, Crop], today: date) -> Written | Mistake:
    try:
        entry, notes = _entry(line, Reader(Tokens(line), heard, today))
    except Wrong as wrong:
        return Mistake(n, line, wrong.code, wrong.value, wrong.likely)
    return Written(n, line, with_meaning(entry, say, crops), notes)


def _entry(line: str, reader: Reader) -> tuple[Entry, tuple[Note, ...]]:
    at, when = _when(reader)
    start, end = _place(reader, at, when.end)
    _check_one(reader, at, when.end)
    rest = plain(line[:start]) + " " * (end - start) + plain(line[end:])
    found = find_hours(rest, start, reader.words)
    title = _title(line, [(start, end), *([found[1:]] if found else [])])
    entry, notes = _made(title, when), when.notes
    if found:
        several = not entry.rrule and entry.first_on != entry.last_on
        entry = timed(entry, found[0])
        notes += (*((Note.AFTERNOON,) if found[0].guessed else ()), *((Note.EACH_DAY,) if several else ()))
    try:
        entry = checked(entry)
    except RuleError:
        raise Wrong(Mistaken.NEVER) from None
    if not entry.rrule and entry.last_on < reader.today:
        raise Wrong(Mistaken.PAST, entry.last_on.isoformat())
    return entry, notes


def _when(reader: Reader) -> tuple[int, Span | Repeat]:
    """Where the days stand, and what they are: what can be nothing else anywhere, else a month or weekday at an end."""
    places = range(len(reader.tokens.all))
    for at in places:
        found = repeat(reader, at) or reader.span(at)
        if found is not None:
            return at, found
    for at in places:
        weak = _weak(reader, at)
        if weak is not None:
            return at, weak
    raise Wrong(Mistaken.NO_DATE)


def _weak(reader: Reader, at: int) -> Span | None:
    """ "May: weed the paths", "Sow peas in March", "Saturday work day"; not the sun, or what one may do."""
    tokens = reader.tokens
    opens = all(tokens.text(before) in reader.words.fill for before in range(at))
    inside = at > 0 and tokens.text(at - 1) in reader.words.of
    months = reader.months(at)
    if months is not None and (opens or inside):
        return months
    near = spans.near(reader, at)
    whole = near is not None and near.end == len(tokens.all) and len(tokens.text(at)) > 3
    return near if opens or whole else None


def _place(reader: Reader, at: int, end: int) -> tuple[int, int]:
    """Where the days stand in the line, with the small words before them."""
    tokens = reader.tokens
    while at > 0 and tokens.text(at - 1) in reader.words.fill:
        at -= 1
    return tokens.all[at].start, tokens.all[end - 1].end


def _check_one(reader: Reader, at: int, end: int) -> None:
    """One line is one entry: other days in it would be lost unsaid."""
    tokens = reader.tokens
    joint = tokens.phrase(end, reader.words.both | reader.words.to | {","})
    if joint is not None and reader.near(joint) is not None:
        raise Wrong(Mistaken.TWO_DATES, tokens.text(joint))
    for place in (*range(at), *range(end, len(tokens.all))):
        point = reader.point(place)
        if point is not None and (place >= end or point.end <= at) and 1 <= point.month <= 12 and 1 <= point.day <= 31:
            raise Wrong(Mistaken.TWO_DATES, f"{point.day}/{point.month}")


def _title(line: str, taken: list[tuple[int, int]]) -> str:
    """What is left of the line."""
    pieces, at = [], 0
    for start, end in sorted(taken):
        pieces.append(line[at:start])
        at = end
    pieces.append(line[at:])
    title = " ".join(piece.strip(_EDGES) for piece in pieces if piece.strip(_EDGES))
    if not title:
        raise Wrong(Mistaken.NO_TITLE)
    if len(title) > MOST_TITLE_N:
        raise Wrong(Mistaken.LONG_TITLE, str(len(title)))
    return title


def _made(title: str, when: Span | Repeat) -> Entry:
    if isinstance(when, Repeat):
        return Entry(title, EntryKind.OTHER, when.first_on, when.first_on, rrule=when.rrule)
    return Entry(title, EntryKind.OTHER, when.first_on, when.last_on)
