"""What people type, found by the phrases that a language's catalogue lists, parted by |.

In a phrase "*" stands for up to five words between, and at the end of a word for any ending of it.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from bot.crops.find import fold
from bot.i18n import Say
from bot.i18n import say as spoken

_GAP = "(?: [^ ]+){0,5}"


def pattern(phrases: str) -> str:
    """The phrases as alternatives of a pattern for folded text, the longest first."""
    listed = sorted((phrase for phrase in phrases.split("|") if phrase.strip()), key=len, reverse=True)
    return "|".join(map(_one, listed))


def _one(phrase: str) -> str:
    out = ""
    for word in phrase.split():
        if word == "*":
            out += _GAP
        else:
            out += (" " if out else "") + re.escape(fold(word)) + ("[^ ]*" if word.endswith("*") else "")
    return out


def stands_in(words: str, phrases: str) -> bool:
    """Whether one of the phrases stands anywhere in folded text, as whole words."""
    return found(words, phrases) is not None


def found(words: str, phrases: str) -> re.Match[str] | None:
    """Where the first of them stands."""
    return _compiled(phrases).search(words)


@lru_cache(1024)
def _compiled(phrases: str) -> re.Pattern[str]:
    return re.compile(rf"(?:^|(?<= ))(?:{pattern(phrases)})(?= |$)")  # \b knows no vowel signs


def voices(say: Say) -> tuple[Say, ...]:
    """People mix their own language with English."""
    return (say,) if say.language == "en" else (say, replace(say, language="en"))


@cache
def _no_english(language: str) -> frozenset[str]:
    """English words that are others in the language: "do" is "to" in Polish, "todo" is "all" in Portuguese."""
    listed = spoken(language, "UTC").pgettext("words of your language that look like English question words", "-")
    return frozenset(fold(word) for word in listed.split("|"))


def with_english(language: str, own: str, english: str) -> str:
    """A list of phrases with the English ones beside, but for those that are others in the language."""
    if language == "en":
        return own
    return "|".join([own, *(one for one in english.split("|") if one not in _no_english(language))])


def says(say: Say, words: str, listed: Callable[[Say], str]) -> bool:
    """Whether folded words hold one of the phrases of a list, in the person's language or in English."""
    return any(stands_in(words, listed(voice)) for voice in voices(say))


#: A phrase of folded words; one that ends with "*" stands for all that begin so, "*" alone for up to _GAP_N words.
_Phrase = tuple[str, ...]
_GAP_N = 5


@dataclass(frozen=True, slots=True)
class Cues:
    """Phrases of several meanings, found by their first words, or by the first letter of those that may go on."""

    by_first: Mapping[str, Sequence[tuple[_Phrase, str]]]
    by_beginning: Mapping[str, Sequence[tuple[_Phrase, str]]]

    @classmethod
    def with_english(cls, language: str, own: Mapping[str, str], english: Mapping[str, str]) -> Cues:
        """meaning -> its phrases, in the language and in English."""
        return cls.of({meaning: with_english(language, listed, english[meaning]) for meaning, listed in own.items()})

    @classmethod
    def of(cls, listed: Mapping[str, str]) -> Cues:
        """listed: meaning -> its phrases."""
        by_first: dict[str, list[tuple[_Phrase, str]]] = defaultdict(list)
        by_beginning: dict[str, list[tuple[_Phrase, str]]] = defaultdict(list)
        for meaning, phrases in listed.items():
            for one in phrases.split("|"):
                phrase = _folded(one)
                if phrase and phrase[0].endswith("*"):
                    by_beginning[phrase[0][:1]].append((phrase, meaning))
                elif phrase:
                    by_first[phrase[0]].append((phrase, meaning))
        return cls(by_first, by_beginning)

    def knows(self, word: str) -> bool:
        """Whether a folded word begins one of the phrases."""
        return word in self.by_first or any(
            word.startswith(one[0][0][:-1]) for one in self.by_beginning.get(word[:1], ())
        )

    def within(self, words: str) -> list[tuple[str, int, int]]:
        """(meaning, start, end) in the order of folded text: at each place the longest phrase, and none within it.

        The same phrase under two meanings means the first.
        """
        said, starts = words.split(), _starts(words)
        out: list[tuple[str, int, int]] = []
        at = 0
        while at < len(said):
            ends = [(end, meaning) for end, meaning in self._at(said, at)]
            if not ends:
                at += 1
                continue
            longest = max(end for end, _ in ends)
            meaning = next(meaning for end, meaning in ends if end == longest)
            out.append((meaning, starts[at], starts[longest - 1] + len(said[longest - 1])))
            at = longest
        return out

    def meanings(self, words: str) -> set[str]:
        """Every meaning of which a phrase stands anywhere."""
        said = words.split()
        return {meaning for at in range(len(said)) for _, meaning in self._at(said, at)}

    def _at(self, said: Sequence[str], at: int) -> Iterator[tuple[int, str]]:
        likely = self.by_beginning.get(said[at][:1], ()) if said[at] else ()
        begun = (one for one in likely if said[at].startswith(one[0][0][:-1]))
        for phrase, meaning in (*self.by_first.get(said[at], ()), *begun):
            end = _end(said, at, phrase)
            if end is not None:
                yield end, meaning


def _folded(phrase: str) -> _Phrase:
    out: list[str] = []
    for word in phrase.split():
        if word == "*":
            out.append("*")
        else:
            parts = fold(word).split()
            out += [*parts[:-1], parts[-1] + ("*" if word.endswith("*") else "")] if parts else []
    return tuple(out)


def _starts(words: str) -> list[int]:
    found, at = [], 0
    for word in words.split():
        found.append(at)
        at += len(word) + 1
    return found


def _end(said: Sequence[str], at: int, phrase: _Phrase) -> int | None:
    """The place after the phrase that begins here."""
    for n, word in enumerate(phrase):
        if word == "*":
            rest = phrase[n + 1 :]
            ends = (_end(said, after, rest) for after in range(at, min(at + _GAP_N, len(said)) + 1))
            return next((end for end in ends if end is not None), None)
        if at >= len(said) or not (said[at].startswith(word[:-1]) if word.endswith("*") else said[at] == word):
            return None
        at += 1
    return at
