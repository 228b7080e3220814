"""A message in pieces that are read one by one: sentences, with fragments joined to them, and dictation cut at its joints."""

from __future__ import annotations

from collections.abc import Iterator

import regex

from bot.chat.language.tokens import clear, first_of, sentences, starts, tokens, with_numbers
from bot.chat.language.verbs import deeds
from bot.chat.language.vocabulary import Vocabulary
from bot.crops.find import fold

#: The longest piece of dictation that is read in one.
PIECE_N = 600
_FRAGMENT_N = 6  # words
_SHORT_N = 120  # signs
#: A number and a short word that ends in a full stop, with small letters after it.
_SHORT = regex.compile(r"(\d\s?(\p{L}{1,4}))\.\s+(?=\p{Ll})")


def pieces(sentence: str, words: Vocabulary) -> Iterator[str]:
    """Dictation without a full stop, cut at a joint before it grows too long; what has no joint there is left out."""
    rest = clear(sentence) if len(sentence) > PIECE_N else sentence
    while len(rest) > PIECE_N:
        said = tokens(rest[:PIECE_N])
        joints = [token.start for n, token in enumerate(said) if n and (token.parts or starts(said, n, words.linking))]
        if joints:
            yield rest[: joints[-1]]
            rest = rest[joints[-1] + 1 :]
        else:
            rest = rest[PIECE_N:].partition(",")[2]
    yield rest


def _without_short_forms(text: str, words: Vocabulary) -> str:
    """Without the full stop of a unit's short form within a sentence: "3 pcs. planted in bed 2"."""

    def plain(found: regex.Match[str]) -> str:
        is_unit = any((fold(found[2]),) in phrases for phrases in words.units.values())
        return f"{found[1]} " if is_unit else found[0]

    return _SHORT.sub(plain, text)


def joined(text: str, words: Vocabulary) -> Iterator[str]:
    """Sentences; a fragment without a verb goes with the sentence before it: "Planted kale. Bed 4, 10 plants."."""
    before: str | None = None
    for sentence in sentences(_without_short_forms(text, words)):
        said = with_numbers(tokens(sentence[:_SHORT_N]), words.numbers, words.minus, words.tens, words.times)
        short = (
            len(sentence) <= _SHORT_N
            and len(said) <= _FRAGMENT_N
            and not first_of(said, (*words.blocked, *words.elsewhen, *words.elsewhere))
        )
        fragment = short and not deeds(said, words) and not any(first_of(said, each) for each in words.shows.values())
        if before is not None and fragment and "\n" not in before.rstrip(" "):
            before = f"{before.rstrip(' .!')}, {sentence.strip()}"
            continue
        if before is not None:
            yield before
        before = sentence
    if before is not None:
        yield before
