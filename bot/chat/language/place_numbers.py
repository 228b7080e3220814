"""Places by their numbers: "beds 1 to 3", "the fifth bed", "number four", "on 6"."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from bot.chat.language.known import Known
from bot.chat.language.matching import (
    Hit,
    Names,
    as_tokens,
    by_id,
    counts_something,
    listed_in,
    past_joints,
    taken_as,
    up_to,
)
from bot.chat.language.tokens import Indices, Token, found_in, single_words, starts
from bot.chat.language.vocabulary import Vocabulary
from bot.core.garden.snapshot import PlaceKind


def numbered(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    """ "raised bed 3", whatever its name begins with, when it is the only one of its kind with that number."""
    names = as_tokens(by_id(known.places), words)
    hits: list[Hit] = []
    for kind, phrases in words.numbered.items():
        own = {place.id: names[place.id] for place in known.places if place.kind is kind and place.id in names}
        for at in found_in(said, phrases):
            hits += _by_ordinals(said, at, own, words)
            hits = _after(said, at, hits, own, words, known)
    beds = {place.id: names[place.id] for place in known.places if place.kind is PlaceKind.BED and place.id in names}
    for number, phrases in enumerate(words.number_names, 1):
        for at in found_in(said, phrases):
            if said[at[-1]].value is not None and not _ends(said, at[-1] + 1, words):
                continue  # "on 4 plants"
            ids = _with_number(beds, number)
            if len(ids) == 1:
                hits.append(taken_as(said, at, ids, "place"))
                hits += _listed_after(said, at, beds, words)
    return hits


def _listed_after(said: Sequence[Token], at: Indices, beds: Names, words: Vocabulary) -> list[Hit]:
    """The numbers that go on after one, "on 1 and 6"."""
    hits: list[Hit] = []
    index = at[-1] + 1
    while said[at[-1]].value is not None:
        number = past_joints(said, index, words)
        free = number > index and number < len(said) and said[number].value is not None and not said[number].taken
        ids = _with_number(beds, said[number].value) if free and _ends(said, number + 1, words) else ()
        if len(ids) != 1:
            break
        hits.append(taken_as(said, (number,), ids, "place"))
        index = number + 1
    return hits


@cache
def ordinals(words: Vocabulary) -> dict[str, int]:
    """Words that stand beside a bed for its number, "fifth", in all their cases."""
    bed = single_words(words.numbered[PlaceKind.BED])
    pairs = ((n, phrase) for n, phrases in enumerate(words.number_names, 1) for phrase in phrases)
    return {
        word: n
        for n, phrase in pairs
        for word in phrase
        if len(phrase) == 2 and set(phrase) & bed and word not in bed and word.isalpha()
    }


@cache
def ordinal_phrases(words: Vocabulary) -> frozenset[tuple[str, ...]]:
    """A number with the word after it that is not counted by it, where cases tell: Polish "3 grządkę" is the third bed."""
    return frozenset(phrase for phrases in words.number_names for phrase in phrases if phrase[0].isdecimal())


def _after(
    said: Sequence[Token], at: Indices, hits: list[Hit], own: Names, words: Vocabulary, known: Known
) -> list[Hit]:
    """The hits with the numbers after the word for the kind, "beds 3, 5 and 7", "pots 1 to 6"."""
    index = at[-1] + 1
    if index + 1 < len(said) and said[index].parts and starts(said, index + 2, words.ranging):
        index += 1  # "all the pots, 1 to 12"
    whence = starts(said, index, words.whence)  # "beds from 1 to 3"
    if whence and whence[-1] + 2 < len(said) and starts(said, whence[-1] + 2, words.ranging):
        index = whence[-1] + 1
    while (
        index < len(said)
        and said[index].value is not None
        and not counts_something(said, index + 1, words, known)
        and not (index > at[-1] + 1 and _counts_crop(said, index))
    ):
        several = listed_in(said[index], own)
        if len(several) > 1 and not said[index].taken:
            hits += [taken_as(said, (index,), (id_,), "place") for id_ in several]
            index += 1
            continue
        ids = _with_number(own, said[index].value)
        if len(ids) != 1 or said[index].taken:
            break
        hits.append(taken_as(said, range(at[0] if not hits else index, index + 1), ids, "place"))
        index += 1
        if ranged := up_to(said, index, at[0], own, words, known):
            hits, index = [*hits, *ranged[1]], ranged[0]
            continue
        index = past_joints(said, index, words)
    return hits


def _by_ordinals(said: Sequence[Token], at: Indices, own: Names, words: Vocabulary) -> list[Hit]:
    """ "The fifth bed", "the fifth and sixth bed": ordinals right beside the word for the kind, joined to each other."""
    told = ordinals(words)
    beside = (at[-1] + 1, at[0] - 1)
    first = next((n for n in beside if 0 <= n < len(said) and said[n].word in told and not said[n].taken), None)
    if first is None or any(said[n].taken for n in at):
        return []
    run, index = [*_ordinals_before(said, first, words), first], max(first, at[-1]) + 1
    while True:
        joined = past_joints(said, index, words)
        joined = joined + 1 if starts(said, joined, words.where) else joined
        if joined == index or joined >= len(said) or said[joined].word not in told or said[joined].taken:
            break
        run.append(joined)
        index = joined + 1
    hits: list[Hit] = []
    for n in run:
        ids = _with_number(own, told[said[n].word])
        if len(ids) != 1:
            return hits
        hits.append(taken_as(said, sorted((*at, n)) if n == first else (n,), ids, "place"))
    return hits


def _ordinals_before(said: Sequence[Token], first: int, words: Vocabulary) -> list[int]:
    """Those that are joined to the one at `first`, "the first and second bed"."""
    run: list[int] = []
    while True:
        index = first - 1
        while index > 0 and (said[index].parts or starts(said, index, words.linking)):
            index -= 1
        if index == first - 1 or index < 0 or said[index].word not in ordinals(words) or said[index].taken:
            return run
        run.insert(0, index)
        first = index


def _with_number(own: Names, number: float | None) -> tuple[int, ...]:
    return tuple(id_ for id_, name in own.items() if name and name[-1].value == number)


def _counts_crop(said: Sequence[Token], index: int) -> bool:
    """Whether a number after a place's has a crop behind it: "pot 5 3 peppers", "in bed 2 and 4 tomatoes in bed 6"."""
    return index + 1 < len(said) and said[index + 1].taken == "crop"


def _ends(said: Sequence[Token], index: int, words: Vocabulary) -> bool:
    """Whether a number before `index` counts nothing: there is the end, a joint, a verb, or a word for a place."""
    if index >= len(said) or said[index].parts or said[index].taken == "verb":
        return True
    return bool(starts(said, index, (*words.linking, *words.turning, *words.because, *words.where, *words.whence)))
