"""Which crop a person means: finds the names of crops in written phrases. Pure text, no rules needed."""

from __future__ import annotations

import unicodedata
from collections import defaultdict, deque
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import lru_cache

import regex
from rapidfuzz import process
from rapidfuzz.distance import OSA

__all__ = ["Found", "Words", "alike", "fold", "is_plural", "match", "singular"]

# What NFKD does not take apart, and the apostrophe, which people leave out.
# Arabic: ends of words that people write in two ways, letters of other keyboards, and the stroke that stretches a word.
_LETTERS = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "æ": "ae", "œ": "oe", "’": "", "'": ""}
    | {"ة": "ه", "ى": "ي", "ی": "ي", "ک": "ك", "\N{ARABIC TATWEEL}": ""}
)
_NEAR = 0.75  # share of letters right (optimal string alignment) from which a misspelt name is worth asking about
#: Between words: neither a letter nor a mark that belongs to one (a vowel sign is part of its cluster), nor a number.
_BETWEEN = regex.compile(r"[^\p{L}\p{M}\p{N}]+")
#: Combining classes of marks that people leave out: accents, and the vowel points of Hebrew and Arabic.
_ACCENTS = frozenset({*range(10, 37), *range(200, 241)})
_NOT_CROPS = frozenset(
    {"bulb", "bush", "crown", "leave", "plant", "root", "set", "tree", "tuber", "vine"}
)  # they end several names, but name no crop
# Crops that are no kind of what their names end with: "potatoes" are no sweet potatoes, "beans" no field beans.
_WHOLE_ONLY = frozenset({"chinese-cabbage", "field-bean", "sweet-potato", "yardlong-bean"})
_PLURAL_ONLY = frozenset({"early", "green"})  # "earlies" and "greens" are crops, "early" and "green" only adjectives
_SHORT = 4  # shorter words are too like each other to guess from
_ARABIC = regex.compile(r"\p{Arabic}")
_STEM, _ENDING, _LEAST = 4, 3, 3  # letters of a word that declension leaves, may put on or take off, leaves at least

Words = tuple[str, ...]
_Index = tuple[dict[Words, set[str]], dict[Words, set[str]], int]  # whole names, ends of several, words of the longest
#: The last mappings with their index; never changed once they are asked with.
_MADE: deque[tuple[Mapping[str, Sequence[str]], Mapping[str, str], _Index]] = deque(maxlen=4)
_NONE: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Found:
    """keys: of the crops that it can be, sorted; more than one when the words are ambiguous ("beans"); none for another
    plant, which is no crop at all ("sweet peas").

    words: the part of the phrase that named them. sure: False for a guess at a misspelling, which must be asked about.
    """

    keys: tuple[str, ...]
    words: str
    sure: bool = True


def match(
    text: str,
    names: Mapping[str, Sequence[str]],
    local: Mapping[str, str] | None = None,
    others: Set[Words] = frozenset(),
    *,
    guess: bool = True,
) -> Found | None:
    """The crop that an English phrase names, or one in the reader's language; None when there is nothing like one.

    names: crop key -> its English names and aliases. local: localised name -> crop keys, parted by spaces. The longest
    name wins, then the earliest. Case, accents, hyphens, and singular or plural do not matter. Words that end the names of
    several crops ("beans" of "runner beans") name all of those, unless they are a whole name themselves. others: names of plants
    that are no crops, folded and in the singular; where one stands, it is found and no crop within it. guess: whether to
    look for a misspelling, too.
    """
    said = fold(text).split()
    whole, ends, longest = _index(names, local or _NONE)
    for gram, plain in _grams(said, max(longest, *map(len, others), 0)):
        if gram[-1] in _PLURAL_ONLY:
            continue
        if keys := whole.get(gram) or whole.get(plain):
            return Found(tuple(sorted(keys)), " ".join(gram))
        if plain in others:
            return Found((), " ".join(gram))
        if keys := ends.get(plain):
            return Found(tuple(sorted(keys)), " ".join(gram))
    return None if not guess else _near(said, {**{name: set[str]() for name in others}, **whole})


def alike(left: str, right: str) -> bool:
    """The same word in another case or gender: alike up to an ending. Arabic does not decline: there, the very word."""
    if _ARABIC.match(left):
        return left == right
    common = next((n for n, (a, b) in enumerate(zip(left, right, strict=False)) if a != b), min(len(left), len(right)))
    rest = max(len(left), len(right)) - common
    if common == min(len(left), len(right)) == _LEAST:
        return rest < _ENDING
    return common >= _STEM and rest <= _ENDING


def stem(word: str) -> str:
    """What all words that are `alike` have in common."""
    return word[: min(_LEAST, _STEM)]


def is_plural(word: str) -> bool:
    """Whether an English word stands in the plural by its look; asparagus does not."""
    return _one(word) != word and not word.endswith("us")


def singular(words: Sequence[str]) -> Words:
    """Regular English plurals cut back, word by word."""
    return tuple(map(_one, words))


@lru_cache(4096)  # every name of every crop is asked for at each message
def fold(text: str) -> str:
    """Lower case without accents, every run of other signs one space."""
    lower = unicodedata.normalize("NFKD", text).casefold().translate(_LETTERS)
    apart = unicodedata.normalize("NFKD", lower)
    bare = "".join(sign for sign in apart if unicodedata.combining(sign) not in _ACCENTS)
    return _BETWEEN.sub(" ", bare).strip()


def _index(names: Mapping[str, Sequence[str]], local: Mapping[str, str]) -> _Index:
    """As made for the same two mappings before: they are asked for with every run of words of a message."""
    for given, others, index in _MADE:
        if given is names and others is local:
            return index
    index = _indexed(names, local)
    _MADE.append((names, local, index))
    return index


def _indexed(names: Mapping[str, Sequence[str]], local: Mapping[str, str]) -> _Index:
    """Whole names, and the ends that several English ones share, each to the crops that they can mean."""
    whole: dict[Words, set[str]] = defaultdict(set)
    ends: dict[Words, set[str]] = defaultdict(set)
    for key, own in names.items():
        for name in own:
            words = singular(fold(name).split())
            whole[words].add(key)
            for start in range(1, len(words) if key not in _WHOLE_ONLY else 0):
                ends[words[start:]].add(key)
    for name, key in local.items():
        whole[tuple(fold(name).split())].update(key.split())
    several = {words: keys for words, keys in ends.items() if len(keys) > 1 and words[-1] not in _NOT_CROPS}
    return whole, several, max(map(len, whole), default=0)


def _grams(said: Sequence[str], longest: int) -> Iterator[tuple[Words, Words]]:
    """Runs of words, the longest first and then the earliest, as they stand and in the singular."""
    for length in range(min(longest, len(said)), 0, -1):
        for start in range(len(said) - length + 1):
            gram = tuple(said[start : start + length])
            yield gram, singular(gram)


def _one(word: str) -> str:
    """A regular English plural cut back; both sides are cut alike, so a word that only looks plural still fits."""
    for plural, one in (("ies", "y"), ("oes", "o"), ("shes", "sh"), ("ches", "ch")):
        if word.endswith(plural) and len(word) > len(plural) + 1:
            return word.removesuffix(plural) + one
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def _near(said: Sequence[str], whole: Mapping[Words, set[str]]) -> Found | None:
    spelt = {" ".join(words): keys for words, keys in whole.items()}
    for gram, plain in _grams(said, max(map(len, whole), default=0)):
        phrase = " ".join(plain)
        near = process.extractOne(phrase, spelt.keys(), scorer=OSA.normalized_similarity, score_cutoff=_NEAR)
        if near is not None and len(phrase) >= _SHORT:
            return Found(tuple(sorted(spelt[near[0]])), " ".join(gram), sure=False)
    return None
