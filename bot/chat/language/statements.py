"""A sentence taken apart into what is done, what is seen, and what is not so: "watered bed 1, the peas are up, not bed 2"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from bot.chat.language import things
from bot.chat.language.known import Known
from bot.chat.language.tokens import Token, clear, first_of, found_in, starts, take
from bot.chat.language.verbs import deeds
from bot.chat.language.vocabulary import Vocabulary

__all__ = ["Statement", "statements"]


@dataclass(frozen=True, slots=True)
class Statement:
    """sure: False for what stands beside something that is not so, and may hang on it."""

    text: str
    sure: bool = True


@dataclass(frozen=True, slots=True)
class _Piece:
    """Between two joints. start, end: places among the tokens. turns: "but" stands before it."""

    start: int
    end: int
    turns: bool
    is_blocked: bool
    wavers: bool
    shows: bool


def statements(text: str, said: Sequence[Token], words: Vocabulary, known: Known) -> list[Statement]:
    """The statements that may be reports, in order; the whole where it is one. said: the tokens of the text, which stay as
    they are.
    """
    copy = [replace(token) for token in said]
    hits = things.take_names(copy, known)
    for at in found_in(copy, (*words.nightly, *words.daily)):
        take(copy, at, "nightly")  # "for tonight" is no plan
    found = deeds([replace(token) for token in said], words)
    worded = {n for deed in found if len(deed.at) > 1 for n in deed.at}  # "did not survive" is a verb that reports
    blocked = {at[0] for at in found_in(copy, (*words.blocked, *words.excepted))} - worded
    shown = sorted({at[0]: at[-1] for phrases in words.shows.values() for at in found_in(copy, phrases)}.items())
    if not blocked and not shown:
        return [Statement(text)]
    deeds_at = {deed.at[0] for deed in found if deed.at}
    cuts = [
        n
        for n, token in enumerate(copy)
        if token.parts or starts(copy, n, (*words.linking, *words.turning, *words.because))
    ]
    for first, last in shown:  # dictation runs on: "the peas are up fed the tomatoes"
        crop = max((hit.at[0] for hit in hits if hit.at[-1] < first), default=None)
        if crop is None or any(crop < cut < first for cut in cuts):
            continue
        begin, end = _with_small(copy, crop, words), _after(copy, last + 1, words)
        opened, closed = (
            max((cut for cut in cuts if cut < first), default=0),
            min((n for n in cuts if n > last), default=len(copy)),
        )
        if any(opened <= at < begin for at in deeds_at):
            cuts.append(begin)
        if any(end <= at < closed for at in deeds_at):
            cuts.append(end)
    edges = sorted({0, *cuts, len(copy)})
    pieces = [_piece(copy, start, end, words, blocked, shown, deeds_at) for start, end in pairwise(edges)]
    return list(_kept(text, copy, pieces, deeds_at))


def _piece(
    said: Sequence[Token],
    start: int,
    end: int,
    words: Vocabulary,
    blocked: set[int],
    shown: Sequence[tuple[int, int]],
    deeds_at: set[int],
) -> _Piece:
    here = range(start, end)
    shows = any(first in here for first, _ in shown) and not deeds_at & set(here)
    return _Piece(
        start,
        end,
        bool(starts(said, start, words.turning)),
        bool(blocked & set(here)) and not shows,
        bool(first_of(said[start:end], words.wavering)),
        shows,
    )


def _kept(text: str, said: Sequence[Token], pieces: Sequence[_Piece], deeds_at: set[int]) -> Iterator[Statement]:
    """Runs of pieces that go together. What follows something that is not so may hang on it, but for a "but"; what stands
    before it is asked about where it wavers.
    """
    run: list[_Piece] = []
    sure = open_ = True
    plain = clear(text)

    def flush(certain: bool) -> Iterator[Statement]:
        if run:
            start = said[run[0].start].start
            end = said[run[-1].end].start if run[-1].end < len(said) else len(plain)
            yield Statement(plain[start:end].strip(" ,;"), certain)
            run.clear()

    for piece in pieces:
        if piece.is_blocked:
            works = any(deeds_at & set(range(one.start, one.end)) for one in run)
            yield from flush(sure and works and not piece.wavers)
            sure, open_ = False, False
        elif piece.turns and not open_:
            open_ = True
            run.append(piece)
        elif not open_:
            continue
        elif piece.shows:
            yield from flush(sure)
            run.append(piece)
            yield from flush(sure)
        else:
            run.append(piece)
    yield from flush(sure)


def _with_small(said: Sequence[Token], at: int, words: Vocabulary) -> int:
    """With the small words and numbers before a crop's name."""
    while at > 0 and (
        said[at - 1].value is not None or said[at - 1].word in words.counting or starts(said, at - 1, words.articles)
    ):
        at -= 1
    return at


def _after(said: Sequence[Token], at: int, words: Vocabulary) -> int:
    """Past the place that is named right after: "in bed 2"."""
    if starts(said, at, words.where):
        at += 1
        while at < len(said) and not said[at].parts and (said[at].value is not None or _place_word(said[at], words)):
            at += 1
    return at


def _place_word(token: Token, words: Vocabulary) -> bool:
    lists = (*words.kinds.values(), *words.numbered.values(), words.articles)
    return token.word in {phrase[-1] for phrases in lists for phrase in phrases} or token.word == "the"
