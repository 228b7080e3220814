"""Calendar entries as people write them, one a line: days, hours and a title, in any order.

What an entry is about, from the words of its title: the kind of work, and the crop.

What repeats, as people write it: "first Saturday of the month", "every Tuesday in June", "every other Friday".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from bot.chat.language import spans
from bot.chat.language.date_words import Words, plain, words
from bot.chat.language.line_tokens import Mistaken, Note, Tokens, Wrong, find_hours
from bot.chat.language.written_days import Reader, Span
from bot.core.calendar.entry import MOST_TITLE_N, WEEKDAYS, Entry, EntryKind, RuleError, checked
from bot.core.growing.crop import Crop
from bot.crops.everyday import everyday
from bot.crops.find import company, fold, match
from bot.i18n import Say, say
from bot.services.calendar.remarks import plain_title
from bot.services.calendar.written_hours import timed


def with_meaning(entry: Entry, voice: Say, crops: Mapping[str, Crop]) -> Entry:
    """The entry with kind and crop where its title names them; what is known already stays."""
    kind = _kind(entry.title, voice) if entry.kind is EntryKind.OTHER else entry.kind
    names = {key: (crop.name, *crop.aliases) for key, crop in crops.items()}
    local = everyday(voice, crops)
    beside = company(voice.language)
    found = match(entry.title, names, local, beside.others) if entry.crop is None else None
    another = beside.is_elsewhere(fold(entry.title).split())
    one = found.keys[0] if found is not None and found.sure and len(found.keys) == 1 and not another else None
    return replace(entry, kind=kind, crop=entry.crop or one)


def _kind(title: str, voice: Say) -> EntryKind:
    said = f" {fold(title)} "
    for each in (voice, say("en", "UTC")):
        for kind, phrases in _phrases(each).items():
            if any(f" {fold(phrase)} " in said for phrase in phrases.split("|")):
                return kind
    return EntryKind.OTHER


def _phrases(voice: Say) -> dict[EntryKind, str]:
    """Tried in this order: "plant out" before "plant"."""
    return {
        EntryKind.WORK: voice.pgettext("calendar kind", "work day|work party|working day|work morning|weeding"),
        EntryKind.HARDEN_OFF: voice.pgettext("calendar kind", "harden off|harden|hardening off"),
        EntryKind.PLANT_OUT: voice.pgettext("calendar kind", "plant out|planting out|transplant|set out"),
        EntryKind.CHIT: voice.pgettext("calendar kind", "chit|chitting"),
        EntryKind.SOW: voice.pgettext("calendar kind", "sow|sowing"),
        EntryKind.PLANT: voice.pgettext("calendar kind", "plant|planting"),
        EntryKind.HARVEST: voice.pgettext("calendar kind", "harvest|harvesting|lift|lifting|dig up|pick|picking"),
        EntryKind.WATER: voice.pgettext("calendar kind", "water|watering"),
    }


@dataclass(frozen=True, slots=True)
class Repeat:
    """rrule: an RRULE value, UNTIL included. first_on: from when on, which need not be a day that the rule falls on."""

    rrule: str
    first_on: date
    end: int
    notes: tuple[Note, ...]


def repeat(reader: Reader, at: int) -> Repeat | None:
    """The repetition at this place of the line, with its beginning and end where they follow."""
    ways = (_monthly, _on_weekdays, _daily, _on_day_of_month, _yearly)
    found = next((found for way in ways if (found := way(reader, at)) is not None), None)
    if found is None:
        return None
    rule, end, known_on = found
    first_on, until, end = _bounds(reader, end)
    begins = known_on or max(first_on or reader.today, reader.today)
    notes = () if until else (Note.NO_END,)
    return Repeat(f"{rule};UNTIL={until:%Y%m%d}" if until else rule, begins, end, notes)


_Found = tuple[str, int, date | None]


def _monthly(reader: Reader, at: int) -> _Found | None:
    tokens, words = reader.tokens, reader.words
    every = tokens.phrase(at, words.every)
    nth = reader.ordinal_weekday(at if every is None else every)
    if nth is None:
        return None
    which, weekday, end = nth
    closing = tokens.phrase(end, words.of_every_month)
    if every is None and closing is None:
        return None
    return f"FREQ=MONTHLY;BYDAY={which}{WEEKDAYS[weekday]}", closing or end, None


def _on_weekdays(reader: Reader, at: int) -> _Found | None:
    tokens, words = reader.tokens, reader.words
    other = tokens.phrase(at, words.every_other)
    start = other if other is not None else tokens.phrase(at, words.every)
    named = words.plurals if start is None else words.weekdays | words.plurals
    days: list[int] = []
    end = at if start is None else start
    while (found := tokens.meaning(end, named)) is not None:
        days.append(found[0])
        end = found[1]
        joint = tokens.phrase(end, words.both | {","})
        if joint is None or tokens.meaning(joint, named) is None:
            break
        end = joint
    if not days:
        return None
    listed = ",".join(WEEKDAYS[day] for day in sorted(set(days)))
    return f"FREQ=WEEKLY{';INTERVAL=2' if other is not None else ''};BYDAY={listed}", end, None


def _daily(reader: Reader, at: int) -> _Found | None:
    end = reader.tokens.phrase(at, reader.words.every_day)
    return ("FREQ=DAILY", end, None) if end is not None else None


def _on_day_of_month(reader: Reader, at: int) -> _Found | None:
    """ "every month on the 15th", "15th of every month"."""
    tokens, words = reader.tokens, reader.words
    opening = tokens.phrase(at, words.every_month_on)
    day = reader.number(at if opening is None else opening)
    if day is None or not 1 <= day[0] <= 31:
        return None
    end = day[1] if opening is not None else tokens.phrase(day[1], words.of_every_month)
    return (f"FREQ=MONTHLY;BYMONTHDAY={day[0]}", end, None) if end is not None else None


def _yearly(reader: Reader, at: int) -> _Found | None:
    """ "every year on 1 May", "1 May every year"."""
    opening = reader.tokens.phrase(at, reader.words.every_year)
    point = reader.point(at if opening is None else opening)
    end = point.end if point and opening is not None else None
    if point and opening is None:
        end = reader.tokens.phrase(point.end, reader.words.every_year)
    return ("FREQ=YEARLY", end, reader.dated(point, point).first_on) if point and end is not None else None


def _bounds(reader: Reader, at: int) -> tuple[date | None, date | None, int]:
    """(first, last, place after) of "in June", "from 3 May until 20 June", "May to September"."""
    tokens, words = reader.tokens, reader.words
    inside = tokens.phrase(at, words.of | words.since) or at
    both = reader.months(inside) or (reader.span(inside) if inside != at or tokens.number(at) is not None else None)
    if both is not None and (both.first_on != both.last_on or tokens.phrase(at, words.of) is not None):
        return both.first_on, both.last_on, both.end
    first_on, end = (both.first_on, both.end) if both is not None and inside != at else (None, at)
    closing = tokens.phrase(end, words.until)
    last = (reader.months(closing) or reader.span(closing)) if closing is not None else None
    return (first_on, last.last_on, last.end) if last else (first_on, None, end)


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
