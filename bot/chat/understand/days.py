"""The day a sentence speaks of: today, yesterday, a weekday that has been, or a date."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from babel import Locale

from bot.chat.understand.tokens import Indices, Token, starts, take
from bot.chat.understand.vocabulary import Vocabulary
from bot.core.seasons import on_day
from bot.crops.find import fold

__all__ = ["Said", "date_in", "past_day"]

_LONG_AGO = timedelta(days=60)
_ENDINGS = frozenset({"st", "nd", "rd", "th"})
_STEM_N = 4  # letters that a declined weekday or month keeps


@dataclass(frozen=True, slots=True)
class Said:
    """on: the day, or (month, day) without a year. sure: False when it was long ago, which may be a slip."""

    on: date
    sure: bool = True


def past_day(said: Sequence[Token], words: Vocabulary, language: str, today: date) -> Said:
    """The day on which something was done, today unless the sentence says; its words are taken."""
    for days, phrases in enumerate(words.days_ago):
        for start in range(len(said)):
            if at := starts(said, start, phrases):
                take(said, at, "day")
                return Said(today - timedelta(days=days))
    written = date_in(said, words, language)
    if written is not None:
        return _latest(*written, today)
    on = _weekday(said, words, language)
    return Said(today if on is None else today - timedelta(days=(today.weekday() - on) % 7))


def date_in(said: Sequence[Token], words: Vocabulary, language: str) -> tuple[int, int, int | None] | None:
    """(month, day, year or None) of a date in the sentence, which is taken: 3 May, May 3rd, 3/5, 2026-05-03, 3.5.2026."""
    months = _names(language, "months")
    for index, token in enumerate(said):
        if token.taken:
            continue
        found = _written(said, index, words) or _named(said, index, months)
        if found and (valid := _valid(*found[1])):
            take(said, found[0], "day")
            return valid
    return None


Parts = tuple[Indices, tuple[int, int, int | None]]


def _written(said: Sequence[Token], index: int, words: Vocabulary) -> Parts | None:
    raw = said[index].raw
    parts = [int(part) for part in raw.replace("-", "/").replace(".", "/").split("/") if part.isdecimal()]
    if said[index].value is not None or len(parts) not in (2, 3) or not raw[0].isdecimal():
        return None
    if len(parts) == 3:
        year, month, day = parts if parts[0] > 31 else reversed(parts)
        return (index,), (month, day, year + 2000 if year < 100 else year)
    after_on = index > 0 and bool(starts(said, index - 1, (*words.on, *words.rule_before, *words.rule_after)))
    small = parts[0] < parts[1] <= 4  # a half, a third, a quarter
    return ((index,), (parts[1], parts[0], None)) if after_on or not small else None


def _named(said: Sequence[Token], index: int, months: dict[str, int]) -> Parts | None:
    """A month's name beside a number of 1 to 31."""
    month = _meaning(said[index].word, months) if said[index].value is None else None
    if month is None:
        return None
    before = index - 1
    skipped = []
    while before >= 0 and said[before].value is None and (said[before].word in _ENDINGS or said[before].word == "of"):
        skipped.append(before)
        before -= 1
    if before >= 0 and (day := _day_number(said[before])):
        return (before, *reversed(skipped), index), (month, day, None)
    after = index + 1
    if after < len(said) and (day := _day_number(said[after])):
        ending = (after + 1,) if after + 1 < len(said) and said[after + 1].word in _ENDINGS else ()
        return (index, after, *ending), (month, day, None)
    return None


def _day_number(token: Token) -> int | None:
    if token.taken or token.value is None or token.signed or not token.value.is_integer():
        return None
    return int(token.value) if 1 <= token.value <= 31 else None


def _valid(month: int, day: int, year: int | None) -> tuple[int, int, int | None] | None:
    try:
        date(year or 2024, month, day)
    except ValueError:
        return None
    return month, day, year


def _latest(month: int, day: int, year: int | None, today: date) -> Said:
    """That date; without a year the latest that has been. Days to come, and long ago, are doubted."""
    on = on_day(year or today.year, (month, day))
    if year is None and on > today:
        on = on_day(today.year - 1, (month, day))
    return Said(min(on, today), sure=on <= today and today - on <= _LONG_AGO)


def _weekday(said: Sequence[Token], words: Vocabulary, language: str) -> int | None:
    """A weekday by its name; by its short name only after a word such as "on", since "sun" and "sat" mean more."""
    whole, short = _names(language, "days"), _names(language, "days", "abbreviated")
    for index, token in enumerate(said):
        after_on = index > 0 and bool(starts(said, index - 1, words.on))
        on = None if token.taken else _meaning(token.word, whole)
        if on is None and after_on and not token.taken:
            on = short.get(token.word)
        if on is not None:
            take(said, (index - 1, index) if after_on else (index,), "day")
            return on
    return None


def _meaning(word: str, names: dict[str, int]) -> int | None:
    """The name's number; declined forms differ in the last letter alone."""
    if word in names:
        return names[word]
    if len(word) <= _STEM_N:
        return None
    alike = {n for name, n in names.items() if len(name) == len(word) and name[:-1] == word[:-1]}
    return alike.pop() if len(alike) == 1 else None


@cache
def _names(language: str, what: str, *widths: str) -> dict[str, int]:
    """Months 1-12 with short names, or weekdays from 0 for Monday by whole names unless a width is given."""
    locale = Locale.parse(language)
    wanted = widths or (("wide", "abbreviated") if what == "months" else ("wide",))
    return {
        fold(name): number
        for context in ("format", "stand-alone")
        for width in wanted
        for number, name in getattr(locale, what)[context][width].items()
    }
