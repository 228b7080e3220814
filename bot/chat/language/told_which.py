"""What only tells which is meant, and reports nothing: "mice ate the peas I sowed last week"."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.language.matching import Hit
from bot.chat.language.tokens import Token, starts, take
from bot.chat.language.verbs import Deed
from bot.chat.language.vocabulary import Vocabulary


def without_told_which(
    said: Sequence[Token], found: Sequence[Deed], crops: Sequence[Hit], words: Vocabulary
) -> list[Deed]:
    """The deeds without those right after a crop and "I" or "which", where something else is reported; what is said beside
    these, such as their day, is taken. Where another crop follows it is a report of its own, "watered the peas I sowed kale".
    """
    kept = list(found)
    for deed in found:
        begin = _begins(said, deed, crops, words)
        end = (
            next((n for n in range(deed.at[-1] + 1, len(said)) if _parts(said, n, words)), len(said)) if deed.at else 0
        )
        another = any(deed.at[-1] < hit.at[0] < end for hit in crops) if deed.at else False
        if begin is not None and not another and len(kept) > 1:
            take(said, [n for n in range(begin, end) if said[n].taken is None], "told which")
            kept.remove(deed)
    return kept


def _begins(said: Sequence[Token], deed: Deed, crops: Sequence[Hit], words: Vocabulary) -> int | None:
    """Where the words between a crop and the verb begin that make it tell which."""
    at = deed.at[0] if deed.at else 0
    for hit in crops:
        first = hit.at[-1] + 1
        between = starts(said, first, words.telling) if first < at else ()
        if between and between[-1] + 1 == at:
            return first
    return None


def _parts(said: Sequence[Token], n: int, words: Vocabulary) -> bool:
    return said[n].parts or bool(starts(said, n, (*words.linking, *words.turning, *words.because)))
