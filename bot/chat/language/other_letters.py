"""People's names in the letters of another script: "Оскар", "ليلى" and "কাসিয়া" of whoever the records call Oskar, Leila, Kasia.

By what is left of a name in Latin letters without its vowels, since few scripts write these alike; a word that a list of
the language holds is no name.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cache, lru_cache

from anyascii import anyascii
from rapidfuzz.distance import OSA

from bot.chat.language.concepts import concepts
from bot.chat.language.cue_words import cues_of
from bot.chat.language.known import Known
from bot.chat.language.vocabulary import words_in
from bot.chat.language.word_forms import begun
from bot.crops.find import fold
from bot.i18n import say

#: Letters that scripts confuse, and those that one of them does not write.
_ALIKE = str.maketrans({"c": "k", "q": "k", "z": "s", **dict.fromkeys("aeiouyjwvh")})
_NOT_LETTERS = re.compile(r"[^a-z]")
_DOUBLED = re.compile(r"(.)\1+")
#: A name has so many consonants; one with no more has so many of its letters, too. Measured on no corpus: names of a garden.
_LEAST_N, _FEW_N = 2, 2
_LIKE, _LIKE_WITHOUT_VOWELS = 0.5, 0.4
#: Short vowels are not written there.
_WITHOUT_VOWELS = ("ar",)
#: Cases at the end of a name.
_AFTER = {"bn": ("কেই", "দের", "কে", "রে", "ের", "র", "ই", "ও")}


def in_other_letters(text: str, people: Iterable[str], language: str) -> dict[str, str]:
    """Folded words of a text in another script than folded names, each with the one name that it stands for."""
    names = {name: _scripts(name) for name in people}
    like = _LIKE_WITHOUT_VOWELS if language in _WITHOUT_VOWELS else _LIKE
    found: dict[str, str] = {}
    for word in dict.fromkeys(fold(text).split()):
        scripts = _scripts(word)
        likely = [name for name, own in names.items() if scripts and own and not scripts & own]
        if not likely or word in _listed(language):
            continue
        hits = {name for name in likely for form in _forms(word, language) if _sounds_alike(form, name, like)}
        if len(hits) == 1:
            found[word] = hits.pop()
    return found


def heard(known: Known, text: str, language: str) -> Known:
    """With the names of people as this text spells them."""
    spelt = in_other_letters(text, known.people, language)
    return replace(known, people=known.people | spelt.keys(), called=spelt) if spelt else known


def _forms(word: str, language: str) -> Iterator[str]:
    yield word
    if language == "ar":
        yield from begun(word)
    yield from (word.removesuffix(one) for one in _AFTER.get(language, ()) if word.endswith(one))


@lru_cache(4096)
def _sounds_alike(word: str, name: str, like: float) -> bool:
    one, other = _latin(word), _latin(name)
    left = _consonants(one)
    if len(left) < _LEAST_N or left != _consonants(other):
        return False
    return len(left) > _FEW_N or OSA.normalized_similarity(one, other) >= like


def _latin(word: str) -> str:
    """In Latin letters, a p as the b that Arabic writes for both."""
    return _NOT_LETTERS.sub("", anyascii(word).casefold()).replace("p", "b")


def _consonants(latin: str) -> str:
    return _DOUBLED.sub(r"\1", latin).translate(_ALIKE)


@lru_cache(4096)
def _scripts(word: str) -> frozenset[str]:
    """The scripts of its letters, by the first word of their Unicode names."""
    return frozenset(unicodedata.name(sign, "").partition(" ")[0] for sign in word if sign.isalpha())


@cache
def _listed(language: str) -> frozenset[str]:
    lists = (*concepts(language).values(), *cues_of(say(language, "UTC")).values())
    return words_in(language).union(fold(" ".join(lists)).split())
