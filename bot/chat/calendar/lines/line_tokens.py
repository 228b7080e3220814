"""One written line in numbers, words and signs, and what stands at a place in it."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeVar

import regex

from bot.chat.calendar.lines.date_words import plain

__all__ = ["Token", "Tokens"]

#: Arabic words of one letter that grow onto a day with the article count as words: "to the", "and" before "the".
_TOKEN = regex.compile(r"\d+|لل(?=\p{L}{3})|و(?=ال\p{L}{2}|بعد\b|بكر|غد)|\p{L}[\p{L}\p{M}\u200c\u200d]*|[^\w\s]|_")
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
        self.all = [Token(_digits(each[0]), each.start(), each.end()) for each in _TOKEN.finditer(plain(line))]
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
    return _TOKEN.findall(phrase)
