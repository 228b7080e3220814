"""The day on which something was done, as people write it: "yesterday", "on the 2nd", "last Sat", "3 days ago"."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache

from bot.chat.calendar.lines.date_words import words
from bot.chat.calendar.lines.line_tokens import Tokens
from bot.chat.calendar.lines.mistakes import Mistaken, Wrong
from bot.chat.calendar.lines.written_days import Point, Reader
from bot.chat.language.day_numbers import day_count, is_ordinal
from bot.chat.language.spans import Days, Free, Read, found_in
from bot.i18n import Say

__all__ = ["past"]

_DAY = timedelta(days=1)
_LONG_AGO = timedelta(days=60)
#: A day without a year that is so near is meant as one to come, not as last year's: this project's own choice.
_SOON = timedelta(days=60)


def past(text: str, say: Say, today: date, free: Free = lambda start, end: True) -> Days | None:
    """The day on which something was done. free: whether no letter between two places means something else already.

    Raises Wrong for days that cannot be, and for days to come (Mistaken.TO_COME).
    """
    if not any(
        letter.isalpha() or letter in "./-–" for letter in text
    ):  # figures alone, without end perhaps, name no day
        return None
    reader, known = _begun(text, say, today)

    def read(reader: Reader, at: int) -> Read | None:
        if at not in known:
            known[at] = _past_day(reader, at)
        return known[at]

    return next(found_in(reader, read, free), None)


@lru_cache(2)
def _begun(text: str, say: Say, today: date) -> tuple[Reader, dict[int, Read | None]]:
    """A sentence is asked several times, each time with more of its words taken; what was read of it at each place."""
    return Reader(Tokens(text), words(say), today), {}


def _past_day(reader: Reader, at: int) -> Read | None:
    today, tokens, own = reader.today, reader.tokens, reader.words
    relative = tokens.meaning(at, own.relative)
    if relative is not None:
        on = today + relative[0] * _DAY
        if on > today:
            raise Wrong(Mistaken.TO_COME, on.isoformat())
        return Read(on, on, relative[1])
    stretch = tokens.meaning(at, own.stretches)
    if stretch is not None and stretch[0] == 4:
        return Read(today - 7 * _DAY, today - 7 * _DAY, stretch[1], sure=False)
    counted = day_count(reader, at)
    ago = tokens.phrase(counted[1], own.ago) if counted is not None else None
    if counted is not None and ago is not None:
        on = today - counted[0] * _DAY
        return Read(on, on, ago, sure=counted[0] < 7)
    point = reader.point(at)
    if point is not None and not _fraction(reader, at, point) and not _too_many(reader, at, point):
        on, sure = _latest(reader, point)
        return Read(on, on, point.end, sure=sure)
    if is_ordinal(reader, at) and (number := reader.number(at)) is not None and 1 <= number[0] <= 31:
        on = today
        while on.day != number[0]:
            on -= _DAY
        return Read(on, on, number[1], sure=today - on < timedelta(days=21))
    return _past_weekday(reader, at)


def _past_weekday(reader: Reader, at: int) -> Read | None:
    """The latest of that name; a short name only after a word such as "on", since "sun" and "sat" mean more."""
    weekday = reader.tokens.meaning(at, reader.words.weekdays)
    if weekday is None or (len(reader.tokens.text(at)) <= 4 and not _stands_alone(reader, at, weekday[1])):
        return None
    on = reader.today - (reader.today.weekday() - weekday[0]) % 7 * _DAY
    return Read(on, on, weekday[1])


def _latest(reader: Reader, point: Point) -> tuple[date, bool]:
    """That day; without a year the latest that has been. Days to come are refused, long ago is doubted."""
    unknown = replace(point, weekday=None)
    if point.year is None:
        for year in (reader.today.year, reader.today.year - 1):
            on = _in(reader, unknown, year)
            if on is not None and on <= reader.today:
                return on, reader.today - on <= _LONG_AGO
            if on is not None and on - reader.today <= _SOON:
                raise Wrong(Mistaken.TO_COME, on.isoformat())
    else:
        on = reader.dated(unknown, unknown).first_on
        if on > reader.today:
            raise Wrong(Mistaken.TO_COME, on.isoformat())
        return on, reader.today - on <= _LONG_AGO
    on = reader.dated(unknown, unknown).first_on  # raises for what is in no year
    return on, False


def _in(reader: Reader, point: Point, year: int) -> date | None:
    try:
        return date(year, point.month, point.day)
    except ValueError:
        return None


def _after_on(reader: Reader, at: int) -> bool:
    before = reader.tokens.text(at - 1) if at else ""
    return bool(before) and before in reader.words.fill | reader.words.since | reader.words.of


def _stands_alone(reader: Reader, at: int, end: int) -> bool:
    """Whether a short name is a day: after "on", as the last word, or as the first with a colon after it."""
    last = not reader.tokens.text(end).strip(".!") and at > 0 and reader.tokens.text(at - 1) not in reader.words.fill
    return _after_on(reader, at) or last or (at == 0 and reader.tokens.text(end) in (":", ",", "-"))


def _fraction(reader: Reader, at: int, point: Point) -> bool:
    """A half, a third or a quarter, unless a word such as "on" stands before it."""
    bare = point.end == at + 3 and reader.tokens.text(at + 1) == "/"
    return bare and point.day < point.month <= 4 and not _after_on(reader, at)


def _too_many(reader: Reader, at: int, point: Point) -> bool:
    """ "50 May Queen": a number that is no day counts as one only where a day must stand."""
    follows = reader.tokens.text(point.end)
    told_on = not follows.isalpha() or follows in reader.words.fill | reader.words.of
    return point.day > 31 and not told_on and not _after_on(reader, at) and not is_ordinal(reader, at)
