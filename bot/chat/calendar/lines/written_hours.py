"""Where in a line its hours stand: "10-12", "2pm-4pm", "from 10 to noon", "at 10"."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from bot.chat.calendar.lines.date_words import Words
from bot.chat.calendar.lines.mistakes import Mistaken, Wrong
from bot.services.calendar.written_hours import ClockError, Hours, hours

__all__ = ["find_hours"]

_CLOCK = r"\d{1,2}(?:[:.h]\d{2}(?!\d))?\s?(?:[ap]\.?m\b\.?)?"
_SURE = re.compile(r"\d[:.h]\d{2}|\d\s?[ap]\.?m\b")


def find_hours(rest: str, after: int, words: Words) -> tuple[Hours, int, int] | None:
    """The hours in a line without its days, and where they stand. rest: as `plain` leaves it; after: where the days were.

    Bare numbers are hours only after "at" or "from", at the end of the line, or beside the days. Raises Wrong.
    """
    for found in _pattern(words.at, words.noon | words.midnight, words.to | words.both).finditer(rest):
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
    if found["at"]:
        return True
    between = rest[after : found.start()] if found.start() >= after else rest[found.end() : after]
    beside = not between.strip(" ,:;-–—")
    last = not rest[found.end() :].strip(" .,;!")
    return found["to"] is not None and (beside or last)


@lru_cache(maxsize=16)
def _pattern(at: frozenset[str], named: frozenset[str], joints: frozenset[str]) -> re.Pattern[str]:
    one = rf"(?:{_CLOCK}|(?:{_any(named)})\b)"
    opening = rf"(?<![\w/.:,-])(?:(?P<at>{_any(at)})\s+)?"
    return re.compile(rf"{opening}(?P<hours>{one}(?P<to>\s?(?:{_any(joints)})\s?{one})?)(?![\w/:])")


def _in_signs(text: str, words: Words) -> str:
    text = re.sub(rf"\b(?:{_any(words.noon)})\b", "12pm", text)
    text = re.sub(rf"\b(?:{_any(words.midnight)})\b", "12am", text)
    return re.sub(rf"\s(?:{_any(words.to | words.both)})\s", "-", text)


def _any(phrases: Iterable[str]) -> str:
    return "|".join(re.escape(phrase) for phrase in sorted(phrases, key=len, reverse=True))
