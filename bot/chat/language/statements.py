"""A sentence taken apart into what is done, what is seen, and what is not so: "watered bed 1, the peas are up, not bed 2".

Why what sounds like a report is none: nobody says to what it was done, or it is not so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from bot.chat.language import things
from bot.chat.language.known import Known
from bot.chat.language.matching import is_unit
from bot.chat.language.openings import begins_question
from bot.chat.language.tokens import (
    Token,
    clear,
    copied,
    first_of,
    found_in,
    sentences,
    single_words,
    starts,
    take,
    tokens,
    with_numbers,
)
from bot.chat.language.verbs import cause, deeds, denials_within
from bot.chat.language.vocabulary import Vocabulary, vocabulary
from bot.crops.find import fold
from bot.i18n import Say

_READ_N = 300  # signs
_FEW_N = 12  # words of a note
_CAUSE_N = 3  # words of a cry such as "slugs!"


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
    copy = copied(said)
    hits = things.take_names(copy, known)
    take_harmless(copy, words)
    blocked = {at[0] for at in found_in(copy, (*words.blocked, *words.excepted))}
    shown = sorted({at[0]: at[-1] for phrases in words.shows.values() for at in found_in(copy, phrases)}.items())
    if not blocked and not shown:
        return [Statement(text)]
    deeds_at = {deed.at[0] for deed in deeds(copied(said), words) if deed.at}
    cuts = [
        n
        for n, token in enumerate(copy)
        if token.parts or starts(copy, n, (*words.linking, *words.turning, *words.because))
    ]
    cuts += [at[0] for at in found_in(copy, words.denying) if at[0] and _names(copy, at[-1] + 1, words)]  # "not bed 4"
    asking = single_words(words.asking)  # "sowed radish where the garlic was"
    cuts += [n for n in blocked if copy[n].word in asking and n + 1 < len(copy) and any(at < n for at in deeds_at)]
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


def _names(said: Sequence[Token], at: int, words: Vocabulary) -> bool:
    """Whether a crop or a place is named there, after small words."""
    while at < len(said) and not said[at].taken and said[at].word in words.bounds:
        at += 1
    kinds = (*words.kinds.values(), *words.numbered.values())
    return at < len(said) and (said[at].taken == "crop" or any(starts(said, at, phrases) for phrases in kinds))


def take_harmless(said: Sequence[Token], words: Vocabulary) -> None:
    """Take what looks like a denial or a plan and is none: "for tonight", "nearly 2 kg", "didn't make it"."""
    for at in found_in(said, (*words.nightly, *words.daily, *words.no_plan, *denials_within(words))):
        take(said, at, "nightly")
    for n, token in enumerate(said):  # English "well" is no "we'll" before a pause
        if token.raw.casefold() == "well" and (n + 1 == len(said) or said[n + 1].parts):
            token.taken = token.taken or "nightly"
    for at in found_in(said, words.roughly):
        after = at[-1] + 1
        measured = bool(starts(said, after, words.articles)) and is_unit(said, after + 1, words)  # "nearly a kilo"
        if after < len(said) and (said[after].value is not None or measured):
            take(said, at, "roughly")


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


class Half(Enum):
    TO_WHAT = "to what"
    NOT_SO = "not so"  # not done yet, not here, another year, or only heard


def half_said(text: str, say: Say, known: Known) -> Half | None:
    """Why what is told as done, or as taken by a pest, is no note: nobody says to what or where, or it is not so."""
    words = vocabulary(say.language)
    for sentence in sentences(text[:_READ_N]):
        if begins_question(fold(sentence).split(), say.language):
            return None
        said = with_numbers(tokens(sentence), words.numbers, words.minus, words.tens, words.times)
        things.take_names(said, known)
        take_harmless(said, words)
        if first_of(said, (*words.unreal, *words.blocked, *words.elsewhen, *words.elsewhere, *words.doubted)):
            return Half.NOT_SO if deeds(said, words) else None
        if len(said) <= _FEW_N and (deeds(said, words) or (cause(said, words) and len(said) <= _CAUSE_N)):
            return Half.TO_WHAT
    return None
