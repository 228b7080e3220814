"""What only tells which is meant, and reports nothing: "mice ate the peas I sowed last week"."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from bot.chat.language.matching import Hit
from bot.chat.language.tokens import Phrase, Token, starts, take
from bot.chat.language.verbs import Deed
from bot.chat.language.vocabulary import Vocabulary

#: Words between a crop and a verb that tells which.
_WORDS_N = 3


def without_told_which(
    said: Sequence[Token], found: Sequence[Deed], crops: Sequence[Hit], words: Vocabulary
) -> list[Deed]:
    """The deeds without those right after a crop and "I" or "which", where something else is reported; what is said beside
    these, such as their day, is taken. Where another crop follows it is a report of its own, "watered the peas I sowed kale".
    """
    after_crops = {hit.at[-1] + 1 for hit in crops}
    told = {deed.at: begin for deed in found if (begin := _begins(said, deed, after_crops, words)) is not None}
    if not told or len(found) < 2:
        return list(found)
    joints = [n for n, token in enumerate(said) if token.parts or starts(said, n, _joining(words))]
    crops_at = sorted(hit.at[0] for hit in crops)
    kept: list[Deed] = []
    for n, deed in enumerate(found):
        end = _next(joints, deed.at[-1], len(said)) if deed.at in told else 0
        alone = not kept and n + 1 == len(found)
        if deed.at not in told or alone or _next(crops_at, deed.at[-1], end) < end:
            kept.append(deed)
            continue
        take(said, [at for at in range(told[deed.at], end) if said[at].taken is None], "told which")
    return kept


def _begins(said: Sequence[Token], deed: Deed, after_crops: set[int], words: Vocabulary) -> int | None:
    """Where the words between a crop and the verb begin that make it tell which."""
    at = deed.at[0] if deed.at else 0
    for first in range(at - 1, max(-1, at - 1 - _WORDS_N), -1):
        if first in after_crops and starts(said, first, words.telling) == tuple(range(first, at)):
            return first
    return None


def _joining(words: Vocabulary) -> tuple[Phrase, ...]:
    return (*words.linking, *words.turning, *words.because)


def _next(places: Sequence[int], after: int, end: int) -> int:
    """The first of the places, which ascend, behind another; `end` where none is."""
    index = bisect_right(places, after)
    return places[index] if index < len(places) else end
