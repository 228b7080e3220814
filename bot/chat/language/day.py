"""The day a sentence speaks of, which `spans` reads, among words that mean something else already.

Slips of the thumb in words of days put right: "tomorow", "wensday".

The day on which something was done, as people write it: "yesterday", "on the 2nd", "last Sat", "3 days ago".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache, lru_cache

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.chat.language import spans
from bot.chat.language.date_words import plain, words
from bot.chat.language.day_numbers import day_count, is_ordinal
from bot.chat.language.day_spans import Days, Free, Part, Read
from bot.chat.language.line_tokens import Mistaken, Tokens, Wrong
from bot.chat.language.spans import found_in
from bot.chat.language.tokens import Token, clear
from bot.chat.language.written_days import Point, Reader
from bot.i18n import Say, say

#: Measured on the sentences in tests/understanding: below it other words are taken for days.
_NEAR, _LEAST_N = 0.75, 6


def spelt(text: str, voice: Say) -> str:
    """The text with each word that is nearly the name of a day or month, and means nothing else about days, as that."""
    listed, known = _days(voice.language)

    def right(found: re.Match[str]) -> str:
        word = plain(found[0])
        if len(word) < _LEAST_N or word in known:
            return found[0]
        near = process.extractOne(word, listed, scorer=OSA.normalized_similarity, score_cutoff=_NEAR)
        return near[0] if near is not None and near[0][0] == word[0] else found[0]

    return re.sub(r"[^\W\d_]+", right, text)


@cache
def _days(language: str) -> tuple[tuple[str, ...], frozenset[str]]:
    """Longer names of days, months and days told from today; and every word of dates, which is right as it stands."""
    own = words(say(language, "UTC"))
    names = {*own.weekdays, *own.months, *(name for name in own.relative if " " not in name)}
    known = {
        part
        for each in (names, own.plurals, own.stretches, own.units, own.fill, own.rest)
        for one in each
        for part in one.split()
    }
    return tuple(sorted(one for one in names if len(one) >= _LEAST_N)), frozenset(known)


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
        if on > today and tokens.phrase(at, own.either_way) == relative[1]:
            on = today - relative[0] * _DAY
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


@dataclass(frozen=True, slots=True)
class Said:
    """on: the day. sure: False when it was long ago, or in another year, which may be a slip. wrong: what was written, of
    a day that does not exist, or ISO of one to come. evening_on: of the night that is meant, where that is said.
    """

    on: date
    sure: bool = True
    wrong: str = ""
    evening_on: date | None = None


def past_day(said: Sequence[Token], text: str, language: str, today: date) -> Said:
    """The day on which something was done, today unless the sentence says; its words are taken."""
    try:
        found = past(clear(text), say(language, "UTC"), today, _free(said))
    except Wrong as wrong:
        return Said(today, sure=False, wrong=wrong.value)
    if found is None:
        return Said(today)
    for token in said:
        if token.taken is None and found.start <= token.start < found.end:
            token.taken = "day"
    on = found.first_on
    return Said(on, sure=found.sure and on.year == today.year, evening_on=_evening(found))


def date_in(said: Sequence[Token], text: str, language: str, today: date) -> tuple[int, int] | None:
    """(month, day) of a date in the sentence."""
    try:
        return spans.in_year(clear(text), say(language, "UTC"), today, _free(said))
    except Wrong:
        return None


def _evening(found: Days) -> date | None:
    """Of the night that is meant: a morning's is the one that ends with it; None where only "at night" is said."""
    if found.part is Part.MORNING:
        return found.first_on - timedelta(days=1)
    return found.first_on if found.part is not None and found.named else None


def _free(said: Sequence[Token]) -> Free:
    def free(start: int, end: int) -> bool:
        return not any(token.taken and token.start < end and start < token.end for token in said)

    return free


def named_on(text: str, say: Say, today: date) -> date | None:
    """The first of the days that a text names; None where it names none, or such as cannot be."""
    try:
        days = spans.coming(text, say, today, bare=False)
    except Wrong:
        return None
    return days.first_on if days is not None and days.named else None
