"""One written line in numbers, words and signs, and what stands at a place in it.

What can be wrong with a written line, and what is said of how it was read.

Where in a line its hours stand: "10-12", "2pm-4pm", "from 10 to noon", "at 10".
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, fields
from enum import StrEnum
from functools import cache, lru_cache
from typing import Any, TypeVar

import regex

from bot.chat.language.date_words import Words, plain
from bot.services.calendar.written_hours import ClockError, Hours, hours

#: Arabic words of one letter that grow onto a day with the article count as words: "to the", "and" before "the".
_TOKEN = regex.compile(r"\d+|لل(?=\p{L}{3})|و(?=ال\p{L}{2}|بعد\b|بكر|غد)|\p{L}[\p{L}\p{M}\u200c\u200d]*|[^\w\s]|_")
_TO_THE, _ARTICLE = "لل", "ال"
_Meaning = TypeVar("_Meaning")


@dataclass(frozen=True, slots=True)
class Token:
    """text: as `plain` leaves it. start, end: where it stands in the line."""

    text: str
    start: int
    end: int


class Tokens:
    """A line's tokens. Places are their numbers; past the end there is nothing."""

    def __init__(self, line: str) -> None:
        found = list(_TOKEN.finditer(plain(line)))
        texts = _with_article([_digits(each[0]) for each in found])
        self.all = [Token(text, each.start(), each.end()) for text, each in zip(texts, found, strict=True)]
        self._likely: dict[tuple[str, int], tuple[dict[str, Any], list[str]]] = {}

    def text(self, at: int) -> str:
        return self.all[at].text if at < len(self.all) else ""

    def joined(self, at: int) -> bool:
        """Whether nothing stands between this token and the one before it."""
        return 0 < at < len(self.all) and self.all[at - 1].end == self.all[at].start

    def number(self, at: int, digits: tuple[int, ...] = (1, 2)) -> int | None:
        text = self.text(at)
        return int(text) if text.isdecimal() and len(text) in digits else None

    def phrase(self, at: int, phrases: Iterable[str]) -> int | None:
        """The place after the longest of the phrases that stands here, None when none does."""
        text = self.text(at)
        if not text:
            return None
        ends = (self._ends(at, phrase) for phrase in phrases if phrase.startswith(text))
        return max((end for end in ends if end is not None), default=None)

    def meaning(self, at: int, phrases: dict[str, _Meaning]) -> tuple[_Meaning, int] | None:
        """What the longest of the phrases that stands here means, and the place after it; a dot may close it."""
        text = self.text(at)
        if not text:
            return None
        begun = _beginning(phrases).get(text[0])
        if begun is None:
            return None
        key = text, id(phrases)
        if key not in self._likely:  # with the list, so that its id stays its own
            self._likely[key] = phrases, [phrase for phrase in begun if phrase.startswith(text)]
        likely = self._likely[key][1]
        found = [(end, phrase) for phrase in likely if (end := self._ends(at, phrase)) is not None]
        if not found:
            return None
        end, phrase = max(found)
        dotted = self.text(end) == "." and self.joined(end)
        return phrases[phrase], end + dotted

    def _ends(self, at: int, phrase: str) -> int | None:
        for part in _parts(phrase):
            if self.text(at) != part:
                return None
            at += 1
        return at


def _with_article(texts: list[str]) -> list[str]:
    """With the article that "to the" has swallowed before the word after it."""
    return [_ARTICLE + text if n and texts[n - 1] == _TO_THE else text for n, text in enumerate(texts)]


def _digits(text: str) -> str:
    """A number in European digits, whatever script it is written in."""
    return "".join(str(unicodedata.decimal(sign)) for sign in text) if text.isdecimal() else text


#: By the list itself, which is held so that its id stays its own. A line of digits without end asks thousands of times.
_BEGINNINGS: dict[int, tuple[dict[str, Any], dict[str, list[str]]]] = {}
_LISTS_N = 512


def _beginning(phrases: dict[str, Any]) -> dict[str, list[str]]:
    """The phrases of a list by their first sign."""
    held = _BEGINNINGS.get(id(phrases))
    if held is None:
        if len(_BEGINNINGS) >= _LISTS_N:
            _BEGINNINGS.clear()
        found: dict[str, list[str]] = {}
        for phrase in filter(None, phrases):
            found.setdefault(phrase[0], []).append(phrase)
        held = _BEGINNINGS[id(phrases)] = phrases, found
    return held[1]


@lru_cache(4096)
def _parts(phrase: str) -> list[str]:
    return _with_article(_TOKEN.findall(phrase))


@cache
def beginnings(words: Words) -> frozenset[str]:
    """First tokens of all that is said of days and hours, figures aside."""
    lists: Iterable[Iterable[str]] = (getattr(words, field.name) for field in fields(words))
    return frozenset(_parts(phrase)[0] for listed in lists for phrase in listed if phrase)


class Mistaken(StrEnum):
    NO_DATE = "no date"
    NO_TITLE = "no title"
    LONG_TITLE = "long title"  # value: its length
    NO_SUCH_DAY = "no such day"  # value: what was written
    MONTH_FIRST = "month first"  # value: what was written; likely: the day that was meant
    BACKWARDS = "backwards"  # value: first day; likely: last day
    WRONG_WEEKDAY = "wrong weekday"  # value: the day, ISO
    NO_SUCH_TIME = "no such time"  # value: what was written
    TWO_DATES = "two dates"  # value: the second
    PAST = "past"  # value: the last day, ISO
    TOO_MANY = "too many"  # value: how many lines are read
    NEVER = "never"  # it repeats, but on no day
    TO_COME = "to come"  # value: the day, ISO, of something that is said to be done
    NO_LAST = "no last"  # value, likely: the first day, and what may be the last
    TOO_LONG = "too long"  # value: how many days


class Note(StrEnum):
    """How something was read that may be read otherwise."""

    PART = "part"  # early, mid, late: days 1 to 10, 11 to 20, 21 to the end
    NEXT_YEAR = "next year"
    AFTERNOON = "afternoon"
    EACH_DAY = "each day"  # the hours are of each of its days
    NO_END = "no end"  # repeats without an end


class Wrong(Exception):
    """A line cannot be taken."""

    def __init__(self, code: Mistaken, value: str = "", likely: str = "") -> None:
        super().__init__(code)
        self.code, self.value, self.likely = code, value, likely


_CLOCK = r"\d{1,2}(?:[:.h]\d{2}(?!\d))?\s?(?:[ap]\.?m\b\.?)?"
_SURE = re.compile(r"\d[:.h]\d{2}|\d\s?[ap]\.?m\b")


def find_hours(rest: str, after: int, words: Words) -> tuple[Hours, int, int] | None:
    """The hours in a line without its days, and where they stand. rest: as `plain` leaves it; after: where the days were.

    Bare numbers are hours only after "at" or "from", at the end of the line, or beside the days. Raises Wrong.
    """
    for found in _pattern(words).finditer(rest):
        if _is_meant(rest, after, found, words):
            try:
                return hours(_in_signs(found["hours"], words)), found.start(), found.end()
            except ClockError:
                raise Wrong(Mistaken.NO_SUCH_TIME, found["hours"].strip()) from None
    return None


def _is_meant(rest: str, after: int, found: re.Match[str], words: Words) -> bool:
    text = found["hours"]
    if _SURE.search(text) or any(word in text for word in words.noon | words.midnight):
        return True
    if found["at"] or text.endswith(tuple(words.clock_ends)):
        return True
    between = rest[after : found.start()] if found.start() >= after else rest[found.end() : after]
    beside = not between.strip(" ,:;-–—")
    last = not rest[found.end() :].strip(" .,;!")
    return found["to"] is not None and (beside or last)


@lru_cache(maxsize=16)
def _pattern(words: Words) -> re.Pattern[str]:
    ends = rf"(?:{_any(words.clock_ends)})?" if words.clock_ends else ""
    named = _any(words.noon | words.midnight)
    one = rf"(?:(?:(?:{_any(words.beside_hour)})\s)?{_CLOCK}{ends}|(?:{named})\b)"
    opening = rf"(?<![\w/.:,-])(?:(?P<at>{_any(words.at)})\s+)?"
    joints = _any(words.to | words.both)
    return re.compile(rf"{opening}(?P<hours>{one}(?P<to>\s?(?:{joints})\s?{one})?)(?![\w/:])")


def _in_signs(text: str, words: Words) -> str:
    text = re.sub(rf"(?<=\d)(?:{_any(words.clock_ends)})", "", text) if words.clock_ends else text
    text = re.sub(rf"\b(?:{_any(words.noon)})\b", "12pm", text)
    text = re.sub(rf"\b(?:{_any(words.midnight)})\b", "12am", text)
    beside = rf"(?<!\w)({_any(words.beside_hour)})\s(\d{{1,2}})(?![\d:.h])"
    text = re.sub(beside, lambda found: _moved(int(found[2]), words.beside_hour[found[1]]), text)
    return re.sub(rf"\s(?:{_any(words.to | words.both)})\s", "-", text)


def _moved(hour: int, minutes: int) -> str:
    """ "Quarter to 1" is 12:45."""
    at = (hour * 60 + minutes) % (24 * 60)
    return f"{at // 60 or 12}:{at % 60:02}"


def _any(phrases: Iterable[str]) -> str:
    return "|".join(re.escape(phrase) for phrase in sorted(phrases, key=len, reverse=True))
