"""A sentence as tokens: words without case and accents, numbers with their value, and what each was taken for."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import regex
from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.crops.find import fold

#: In a phrase: up to _GAP_N words that may stand between.
GAP = "*"
_GAP_N = 7
_NEAR = 0.75  # share of letters right (optimal string alignment) from which a misspelt word is worth asking about
_TYPED_N = 6
_NEAR_N = 4  # shorter words are too like each other to guess from

Phrase = tuple[str, ...]
Indices = tuple[int, ...]  # of tokens, ascending

_PLAIN = {
    ord("\N{MINUS SIGN}"): "-",
    ord("–"): "-",
    ord("،"): ",",
    ord("؛"): ";",
    ord("٫"): ".",
    ord("½"): " 1/2 ",
    ord("¼"): " 1/4 ",
    ord("¾"): " 3/4 ",
}
# A word is letters with the marks of their clusters, and the joiners that some scripts write within.
_TOKEN = regex.compile(
    r"""(?P<day>\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[/.]\d{1,2}[/.](?:\d{4}|\d{2}))(?!\d)
    |(?P<slash>\d{1,2}/\d{1,2})(?![\d/])
    |(?P<number>(?<![\w.,°-])[-+]\s?\d{1,9}(?:[.,]\d{1,3}(?![.,]?\d))?|(?<=\d,)\d{1,9}|\d{1,9}(?:[.,]\d{1,3}(?![.,]?\d))?)
    |(?P<word>\p{L}[\p{L}\p{M}\u200c\u200d]*(?:['’]\p{L}[\p{L}\p{M}\u200c\u200d]*)*)
    |(?P<sign>[°"%£€$,;&×])""",
    regex.VERBOSE,
)
_SEPARATORS = frozenset(",;&")
#: What may stand between the word for a place and its number: "bed number 5", "bed no. 5".
_NUMBER = re.compile(
    r"(?i)(?<=[^\W\d_] )(?:number|nr\.?|#|numer|número|numero|rhif) ?(?=\d)"
    r"|(?<=\bbed )no\.? ?(?=\d)|(?<=\bbeds )nos?\.? ?(?=\d)|(?<=\bpot )no\.? ?(?=\d)|(?<=\bpots )nos?\.? ?(?=\d)"
)
_ISH = re.compile(r"(?<=\d)-?ish\b")  # "30ish"
_APART = re.compile(r"[:()\[\]/.!?؟？।—|+*•]|\s-\s")
#: Of Latin, of Arabic and of wide letters.
QUESTION_MARKS = ("?", "؟", "？")
_SENTENCE = re.compile(r"[^\n.!?؟？।]*(?:\.(?=\S)[^\n.!?؟？।]*)*[\n.!?؟？।]*")


@dataclass(slots=True)
class Token:
    """word: folded, or the sign itself. value: of a number. signed: written with + or -. raw: as written.

    taken: what it was understood as; None while it is free. dashed: a dash and nothing else stands before it. apart: a colon,
    bracket or the like stands before it.
    start, end: where it stands in the text as `clear` leaves it.
    """

    word: str
    raw: str
    value: float | None = None
    signed: bool = False
    taken: str | None = None
    apart: bool = False
    dashed: bool = False
    start: int = 0
    end: int = 0

    @property
    def parts(self) -> bool:
        """Whether it parts clauses."""
        return self.word in _SEPARATORS

    def same(self, other: Token) -> bool:
        """Whether both say the same: numbers by value, words in the singular or plural."""
        if self.value is not None or other.value is not None:
            return self.value == other.value and self.signed == other.signed
        return _one(self.word) == _one(other.word)


def is_question(text: str) -> bool:
    """Whether a question mark stands in it."""
    return any(mark in text for mark in QUESTION_MARKS)


def sentences(text: str) -> Iterator[str]:
    """Lines and sentences that are no questions."""
    for part in _SENTENCE.findall(text):
        if part.strip(" \n.!।") and not is_question(part):
            yield part


def clear(text: str) -> str:
    """The text with plain signs for minus, commas and fractions, as tokens are read from it."""
    plain = unicodedata.normalize("NFC", text).translate(_PLAIN)
    return _NUMBER.sub(_blank, _ISH.sub(_blank, plain))


def _blank(found: re.Match[str]) -> str:
    return " " * len(found[0])


def tokens(text: str) -> list[Token]:
    plain = clear(text)
    found, end = [], 0
    for one in _TOKEN.finditer(plain):
        gap = plain[end : one.start()]
        plainly = gap in ("", " ")  # mostly, and soon told
        token = _token(one, not plainly and _APART.search(gap) is not None)
        token.dashed = not plainly and gap.strip() in ("-", "—")
        end = one.end()
        if token.word:
            found.append(token)
    return found


def _token(found: regex.Match[str], apart: bool) -> Token:
    raw = found[0]
    kind = found.lastgroup
    if kind == "number":
        digits = "".join(raw.split()).replace(",", ".")  # the space after a sign may be of any kind
        word, value, signed = digits.lstrip("+-"), float(digits), raw[0] in "+-"
    else:
        word, value, signed = fold(raw) if kind == "word" else raw, None, False
    return Token(word, raw, value, signed=signed, apart=apart, start=found.start(), end=found.end())


def with_numbers(
    said: list[Token],
    numbers: Mapping[Phrase, int],
    minus: Iterable[Phrase],
    tens: Mapping[Phrase, int] | None = None,
    times: Mapping[Phrase, int] | None = None,
) -> list[Token]:
    """The tokens with number words as numbers ("twenty four", "three hundred", "2 dozen"), and "minus" as their sign."""
    tens, times = tens or {}, times or {}
    out: list[Token] = []
    index = 0
    plain = {**times, **numbers, **tens}
    longest = max(map(len, plain), default=0)
    begun = {phrase[0] for phrase in plain}
    while index < len(said):
        for length in range(longest if said[index].word in begun else 0, 0, -1):
            phrase = tuple(token.word for token in said[index : index + length])
            value = plain.get(phrase)
            if value is not None:
                before = out[-1] if out else None
                joined = None if before is None or before.value is None else _joined(before, phrase, tens, times, plain)
                if joined is not None and before is not None:
                    before.value, before.raw, before.end = joined, f"{joined:g}", said[index : index + length][-1].end
                    break
                run = said[index : index + length]
                raw = " ".join(token.raw for token in run)
                out.append(Token(run[0].word, raw, float(value), start=run[0].start, end=run[-1].end))
                break
        else:
            length = 1
            out.append(said[index])
        index += length
    signs = {phrase[0] for phrase in minus}
    for before, number in pairwise(out):
        if before.word in signs and number.value is not None and not number.signed:
            before.taken, number.value, number.signed = "minus", -number.value, True
    return [token for token in out if token.taken != "minus"]


def _joined(
    before: Token,
    phrase: Phrase,
    tens: Mapping[Phrase, int],
    times: Mapping[Phrase, int],
    plain: Mapping[Phrase, int],
) -> float | None:
    """One number of the one before and this word; None for two numbers."""
    value = before.value or 0.0
    if phrase in times and value > 0 and not before.signed:
        return value * times[phrase]
    by_ten = not before.raw.isdecimal() and value in tens.values()
    return value + plain[phrase] if by_ten and 0 < plain[phrase] < 10 else None


class Listed(tuple[Phrase, ...]):
    """Phrases of a vocabulary, found by their first words, since each sentence is held against all of them."""

    _by_first: dict[str, list[tuple[int, Phrase]]]

    def begun_by(self, words: Collection[str]) -> Sequence[Phrase]:
        """Those that begin with one of the words, in their order."""
        try:
            by_first = self._by_first
        except AttributeError:
            by_first = self._by_first = {}
            for n, phrase in enumerate(self):
                by_first.setdefault(phrase[0], []).append((n, phrase))
        found = [one for word in words if word in by_first for one in by_first[word]]
        return [phrase for _, phrase in sorted(found)]


def single_words(phrases: Iterable[Phrase]) -> frozenset[str]:
    """The phrases that are one word."""
    return frozenset(phrase[0] for phrase in phrases if len(phrase) == 1)


def found_in(said: Sequence[Token], phrases: Iterable[Phrase], *, free: bool = True) -> Iterator[Indices]:
    """Where the phrases stand, the earlier ones of `phrases` first. free: only among tokens not taken for anything."""
    here = {token.word for token in said}
    for phrase in phrases.begun_by(here) if isinstance(phrases, Listed) else phrases:
        if phrase[0] in here:
            yield from where(said, here, phrase, free=free)


def where(said: Sequence[Token], here: Collection[str], phrase: Phrase, *, free: bool = True) -> Iterator[Indices]:
    """Where one phrase stands. here: the words of these tokens."""
    if all(word in here or word == GAP for word in phrase):
        for start, token in enumerate(said):
            if token.word == phrase[0] and (found := _match(said, start, phrase, free)):
                yield found


def first_of(said: Sequence[Token], phrases: Iterable[Phrase], *, free: bool = True) -> Indices:
    """Where the first of the phrases that is there stands; empty when none is."""
    return next(found_in(said, phrases, free=free), ())


def starts(said: Sequence[Token], start: int, phrases: Iterable[Phrase]) -> Indices:
    """The first of the phrases that stands at `start`, among free tokens; empty when none does."""
    if start >= len(said) or said[start].taken:
        return ()
    first = said[start].word
    for phrase in phrases.begun_by((first,)) if isinstance(phrases, Listed) else phrases:
        if phrase[0] == first and (found := _match(said, start, phrase, True)):
            return found
    return ()


def copied(said: Iterable[Token]) -> list[Token]:
    """The tokens anew, so that taking one leaves these as they are; `dataclasses.replace` takes five times as long."""
    return [Token(t.word, t.raw, t.value, t.signed, t.taken, t.apart, t.dashed, t.start, t.end) for t in said]


def take(said: Sequence[Token], indices: Iterable[int], what: str) -> None:
    for index in indices:
        said[index].taken = what


def _match(said: Sequence[Token], start: int, phrase: Phrase, free: bool) -> Indices:
    at: list[int] = []
    index = start
    for n, word in enumerate(phrase):
        if word == GAP:
            for gap in range(index + 1, min(index + _GAP_N, len(said)) + 1):
                if said[gap - 1].parts and not (gap < len(said) and said[gap].value is not None):
                    break
                if rest := _match(said, gap, phrase[n + 1 :], free):
                    return (*at, *rest)
            return ()
        if index >= len(said) or (free and said[index].taken) or said[index].word != word:
            return ()
        at.append(index)
        index += 1
    return tuple(at)


def near_word(word: str, known: Iterable[str]) -> str | None:
    """The known word that this one may be a slip for; it begins alike."""
    if len(word) < _NEAR_N:
        return None
    alike = [one for one in known if one and one[0] == word[0]]
    near = process.extractOne(word, alike, scorer=OSA.normalized_similarity, score_cutoff=_NEAR)
    return near[0] if near is not None else None


def same_but_typed(one: str, other: str, least: int = _TYPED_N) -> bool:
    """Whether two words of at least so many letters differ only by how they were typed: a letter doubled or not, or
    two changed round; with one letter for another they may be two words ("planned", "planted").
    """
    if min(len(one), len(other)) < least:
        return False
    if len(one) == len(other):
        return sorted(one) == sorted(other) and OSA.distance(one, other) == 1
    return without_doubles(one) == without_doubles(other)


def is_slip(word: str, meant: str) -> bool:
    """Whether it is the longer word as it is easily mistyped: as above, or with one of its letters left out, not the first."""
    if same_but_typed(word, meant):
        return True
    left_out = len(meant) == len(word) + 1 and len(meant) >= _TYPED_N and word[:1] == meant[:1]
    return left_out and OSA.distance(word, meant) == 1


def without_doubles(word: str) -> str:
    """With every letter that is doubled once."""
    return "".join(letter for n, letter in enumerate(word) if n == 0 or letter != word[n - 1])


def _one(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
