"""Slips of the thumb in words of days put right: "tomorow", "wensday"."""

from __future__ import annotations

import re
from functools import cache

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.chat.calendar.lines.date_words import plain, words
from bot.i18n import Say, say

__all__ = ["spelt"]

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
