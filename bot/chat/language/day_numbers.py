"""Numbers at a place in a text as days: how many, which of the month, and what may stand around them."""

from __future__ import annotations

import calendar
from dataclasses import replace
from datetime import date, timedelta

from bot.chat.language.day_spans import Part, Read
from bot.chat.language.line_tokens import Mistaken, Wrong
from bot.chat.language.written_days import Reader, Span

_DAY = timedelta(days=1)
_MOST_N = 366
#: Days without a month that began no longer ago are those of this month.
_LATELY_N = 4
#: Numbers of stretches: this week, the next, the one after it; and next month.
_WEEKS, _NEXT_MONTH, _WEEK_N = (0, 1, 5), 6, 7
#: The days that a month counts as, where so many days are meant.
MONTH_N = 30


def day_count(reader: Reader, at: int) -> tuple[int, int] | None:
    """(days, place after) of "3 days", "a week", "two weeks"."""
    tokens = reader.tokens
    number = tokens.number(at, (1, 2, 3))
    spelt = tokens.meaning(at, reader.words.numbers)
    n, end = (number, at + 1) if number is not None else spelt if spelt is not None else (1, at)
    unit = tokens.meaning(end, reader.words.units)
    if unit is None or (number is None and spelt is None and unit[0] == 1):
        return None
    days_n = n * unit[0]
    if not 1 <= days_n <= _MOST_N:
        raise Wrong(Mistaken.TOO_LONG, str(days_n))
    return days_n, unit[1]


def bare_day(reader: Reader, at: int, first_on: date) -> tuple[date, int] | None:
    """ "the 10th": the first day of that number from first_on on."""
    number = reader.number(at)
    if number is None or reader.tokens.meaning(number[1], reader.words.units):
        return None
    if not 1 <= number[0] <= 31:
        raise Wrong(Mistaken.NO_SUCH_DAY, str(number[0]))
    on = first_on
    while on.day != number[0]:
        on += _DAY
    return on, number[1]


def is_ordinal(reader: Reader, at: int) -> bool:
    """ "10th"; where the word "day" stands before it, "dia 10"."""
    number = reader.number(at)
    if number is None or reader.tokens.number(at) is None:
        return False
    named = at > 0 and reader.tokens.text(at - 1) in reader.words.day_before
    return named or reader.tokens.text(number[1] - 1) in reader.words.suffixes


def leads_ordinal(reader: Reader, at: int) -> bool:
    """Whether a bare number is the first of two of which the second is an ordinal: "10 to 15th", "8 and 9th"."""
    if reader.tokens.number(at) is None:
        return False
    joints = (reader.tokens.phrase(at + 1, reader.words.to), reader.tokens.phrase(at + 1, reader.words.both))
    return any(joint is not None and is_ordinal(reader, past_fill(reader, joint)) for joint in joints)


def dashed(reader: Reader, at: int) -> bool:
    """ "16-23", and nothing else with it."""
    tokens = reader.tokens
    first, last = tokens.number(at), tokens.number(at + 2)
    if (
        first is None
        or last is None
        or tokens.text(at + 1) not in reader.words.to
        or tokens.text(at + 3) not in ("", ".", ",", "!", ")")
    ):
        return False
    return 0 < first <= 31 and 0 < last <= 31


def part_of(reader: Reader, at: int) -> Read | None:
    """ "The end of the month", "the start of next month". Raises Wrong for a part of a week, which says no days."""
    tokens, own = reader.tokens, reader.words
    part = tokens.meaning(at, own.parts)
    if part is None:
        return None
    start = part[1] + (tokens.text(part[1]) == "-")
    stretch = tokens.meaning(start, own.stretches)
    unit = tokens.meaning(past_fill(reader, start), own.units)
    if (stretch is not None and stretch[0] in _WEEKS) or (stretch is None and unit is not None and unit[0] == _WEEK_N):
        raise Wrong(Mistaken.NO_DATE)
    first = reader.today.replace(day=1)
    if stretch is not None and stretch[0] == _NEXT_MONTH:
        first, end = month_end(reader.today) + _DAY, stretch[1]
    elif stretch is None and unit is not None and unit[0] == MONTH_N:
        end = unit[1]
    else:
        return None
    opens, closes = part[0]
    last_on = first.replace(day=closes) if closes else month_end(first)
    return Read(first.replace(day=opens), last_on, end) if last_on >= reader.today else None


def is_bare(reader: Reader, at: int) -> bool:
    """Whether a number alone stands there, after no "the"."""
    return reader.tokens.number(at) is not None and reader.tokens.text(at - 1) not in reader.words.fill


def slashed(reader: Reader, at: int) -> tuple[date, date, int] | None:
    """ "16/17": two days one after the other, where neither number is a month."""
    tokens = reader.tokens
    first, last = tokens.number(at), tokens.number(at + 2)
    if first is None or last is None or tokens.text(at + 1) != "/" or not 12 < first < last == first + 1 <= 31:
        return None
    found = bare_day(reader, at, reader.today)
    return None if found is None or tokens.text(at + 3) == "/" else (found[0], found[0] + _DAY, at + 3)


def under_way(reader: Reader, first_on: date, end: int) -> date:
    """The first of "3rd-9th" where that began some days ago and is not over yet; else first_on, in the month to come."""
    joint = reader.tokens.phrase(end, reader.words.to)
    last = reader.number(past_fill(reader, joint)) if joint is not None else None
    ago_n = reader.today.day - first_on.day
    if last is None or not 0 < ago_n <= _LATELY_N or not reader.today.day <= last[0] <= 31:
        return first_on
    return reader.today - ago_n * _DAY


def weekday_number(reader: Reader, at: int) -> Span | None:
    """ "Sat 16th"."""
    weekday = reader.tokens.meaning(at, reader.words.weekdays)
    start = past_fill(reader, weekday[1]) if weekday is not None else at
    if weekday is None or reader.tokens.number(start) is None or reader.tokens.meaning(start + 1, reader.words.months):
        return None
    sure = is_ordinal(reader, start)
    if not sure and (
        not 0 < (reader.tokens.number(start) or 0) <= 31 or reader.tokens.text(start + 1) in ("/", ".", ":", "-")
    ):
        return None
    found = bare_day(reader, start, reader.today)
    if found is None or (not sure and found[0].weekday() != weekday[0]):  # "Sat 16", where that is a Saturday
        return None
    if found[0].weekday() != weekday[0]:
        raise Wrong(Mistaken.WRONG_WEEKDAY, found[0].isoformat())
    return Span(found[0], found[0], found[1])


def after_in(reader: Reader, at: int) -> bool:
    """ "In June"."""
    return at > 0 and reader.tokens.text(at - 1) in reader.words.of


def is_all(reader: Reader, at: int) -> bool:
    """Whether a month opens the text: within a sentence "may" is more often a verb."""
    return all(reader.tokens.text(before) in reader.words.fill | reader.words.of for before in range(at))


def past_fill(reader: Reader, at: int) -> int:
    while reader.tokens.text(at) in reader.words.fill:
        at += 1
    return at


def month_end(on: date) -> date:
    """The last day of its month."""
    return on.replace(day=calendar.monthrange(on.year, on.month)[1])


def to_end_of(reader: Reader, at: int, first_on: date) -> tuple[date, int] | None:
    """ "Until the end of the week", "of the month", "of May", after a first day."""
    until = reader.tokens.phrase(at, reader.words.until)
    at = past_fill(reader, until) if until is not None else at
    unit = reader.tokens.meaning(at_unit(reader, until), reader.words.units) if until is not None else None
    if unit is not None and unit[0] == MONTH_N:
        return month_end(first_on), unit[1]
    if unit is not None and unit[0] == 7:
        return first_on + (6 - first_on.weekday()) * _DAY, unit[1]
    month = replace(reader, today=first_on).months(at) if until is not None else None
    return (month.last_on, month.end) if month is not None else None


def at_unit(reader: Reader, at: int) -> int:
    """The place of a unit after small words: in Welsh "month" is a small word, too."""
    while reader.tokens.text(at) in reader.words.fill and reader.tokens.meaning(at, reader.words.units) is None:
        at += 1
    return at


def letters(reader: Reader, at: int, end: int) -> tuple[int, int]:
    return reader.tokens.all[at].start, reader.tokens.all[end - 1].end


def opened(reader: Reader, at: int) -> int:
    """With the small words before it."""
    while at > 0 and reader.tokens.text(at - 1) in reader.words.fill:
        at -= 1
    return at


def with_part(reader: Reader, start: int, end: int) -> tuple[int, int, Part | None]:
    """The part of the day that is named within, after or before the days, and the place of both."""
    tokens, named = reader.tokens, reader.words.hours
    for at in range(start, end + 2):
        found = tokens.meaning(at, named)
        if found is not None and all(tokens.text(n) in reader.words.fill for n in range(end, at)):
            return start, max(end, found[1]), Part(found[0])
    for at in range(max(0, start - 3), start):
        found = tokens.meaning(at, named)
        if found is not None and all(
            tokens.text(n) in reader.words.fill | reader.words.of for n in range(found[1], start)
        ):
            return at, end, Part(found[0])
    return start, end, None


def whole_month(reader: Reader, at: int) -> Read | None:
    """ "all of June", "the rest of May"."""
    tokens, own = reader.tokens, reader.words
    whole, rest = tokens.phrase(at, own.whole), tokens.phrase(at, own.rest)
    start = rest if rest is not None else whole
    month = reader.months(start) if start is not None else None
    if month is None:
        return None
    return Read(reader.today if rest is not None else month.first_on, month.last_on, month.end)
