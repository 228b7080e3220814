"""Which crops and which of the garden's places a sentence names, in any case, number, or with a slip of the thumb."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bot.chat.understand.known import Known
from bot.chat.understand.tokens import Indices, Token, found_in, near_word, starts, take, tokens, with_numbers
from bot.chat.understand.vocabulary import Vocabulary
from bot.core.garden import Place
from bot.crops.find import fold, match

__all__ = ["Hit", "crops", "declined_crop", "guessed_places", "misspelt_crop", "named", "places"]

_LONG = 4  # a stem shorter than this says too little
_ENDING = 3  # letters that declension may put on or take off
_LEAST = 3


@dataclass(frozen=True, slots=True)
class Hit:
    """at: where it stands. crops or ids: what it can be; nothing for a place that the garden does not have."""

    at: Indices
    crops: tuple[str, ...] = ()
    ids: tuple[int, ...] = ()
    sure: bool = True


Same = Callable[[Token, Token], bool]
Names = Mapping[int, Sequence[Token]]


def named(said: Sequence[Token], names: Mapping[int, str], words: Vocabulary, what: str) -> list[Hit]:
    """Whole names, as their owners wrote them; several numbers after one name are as many places ("pots 3, 5 and 7")."""
    known = _names(names, words)
    hits: list[Hit] = []
    for start in range(len(said)):
        fitting = {id_: name for id_, name in known.items() if _at(said, start, name, Token.same)}
        longest = max(map(len, fitting.values()), default=0)
        # A place that is only a number counts only where a place is meant.
        meant = start > 0 and bool(starts(said, start - 1, (*words.where, *words.whence)))
        if not fitting or (longest == 1 and said[start].value is not None and not meant):
            continue
        ids = tuple(id_ for id_, name in fitting.items() if len(name) == longest)
        hits.append(_taken(said, range(start, start + longest), ids, what))
        hits += _more_numbers(said, start + longest, known[ids[0]], known, words, what)
    return hits


def places(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    """Places by a part of their name, or by their kind: "the tunnel". What is counted ("3 pots") is no place."""
    counted = [after for before, after in pairwise(said) if before.value is not None and after.taken is None]
    for token in counted:
        token.taken = "counted"
    try:
        return _places(said, known, words)
    finally:
        for token in counted:
            token.taken = None


def _places(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    small = _small(words)
    hits = _parts(said, _names(_by_id(known.places), words), Token.same, small, known.places, words)
    for kind, phrases in words.kinds.items():
        ids = tuple(place.id for place in known.places if place.kind is kind)
        hits += [_taken(said, at, ids, "place") for at in found_in(said, phrases) if not any(said[n].taken for n in at)]
    return hits


def guessed_places(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    """Places by a declined word of their name; a misspelt one is a guess."""
    names, small = _names(_by_id(known.places), words), _small(words)
    found = _parts(said, names, _akin, small, known.places, words)
    if found:
        return found
    guesses = _parts(said, names, _near, small, known.places, words)
    return [Hit(hit.at, ids=hit.ids, sure=False) for hit in guesses]


def crops(said: Sequence[Token], known: Known) -> list[Hit]:
    """Crops by name, each once, in the order of the sentence."""
    hits: list[Hit] = []
    while hit := _crop(said, known):
        hits.append(hit)
    return sorted(hits, key=lambda hit: hit.at)


def _crop(said: Sequence[Token], known: Known) -> Hit | None:
    best: tuple[Indices, tuple[str, ...]] | None = None
    for run in _free_runs(said):
        found = match(" ".join(said[n].word for n in run), known.names, known.local)
        if found is not None and found.sure:
            at = _where(said, run, found.words.split())
            if best is None or len(at) > len(best[0]):
                best = at, found.keys
    if best is None:
        return None
    take(said, best[0], "crop")
    return Hit(best[0], crops=best[1])


def declined_crop(said: Sequence[Token], known: Known) -> list[Hit]:
    """The first crop by a declined name in the reader's language."""
    names = {n: tokens(name) for n, name in enumerate(known.local)}
    keys = list(known.local.values())
    for run in _free_runs(said):
        for length in range(len(run), 0, -1):
            for start in range(len(run) - length + 1):
                at = tuple(run[start : start + length])
                found = {keys[n] for n, name in names.items() if len(name) == length and _at(said, at[0], name, _akin)}
                if found:
                    take(said, at, "crop")
                    return [Hit(at, crops=tuple(sorted(found)))]
    return []


def misspelt_crop(said: Sequence[Token], known: Known) -> list[Hit]:
    """A guess at the first misspelt crop."""
    spelt = {word for own in (*known.names.values(), known.local) for name in own for word in fold(name).split()}
    for run in _free_runs(said):
        fixed = [near_word(said[n].word, spelt) or said[n].word for n in run]
        found = match(" ".join(fixed), known.names, known.local)
        if found is not None and found.sure:
            first = next(n for n in range(len(fixed)) if " ".join(fixed[n:]).startswith(found.words))
            at = tuple(run[first : first + len(found.words.split())])
            take(said, at, "crop")
            return [Hit(at, crops=found.keys, sure=False)]
    return []


def _free_runs(said: Sequence[Token]) -> Iterator[list[int]]:
    run: list[int] = []
    for index, token in enumerate(said):
        if token.taken or token.parts or token.value is not None:
            if run:
                yield run
            run = []
        else:
            run.append(index)
    if run:
        yield run


def _where(said: Sequence[Token], run: Sequence[int], words: Sequence[str]) -> Indices:
    for start in range(len(run) - len(words) + 1):
        if [said[n].word for n in run[start : start + len(words)]] == list(words):
            return tuple(run[start : start + len(words)])
    return tuple(run)


def _parts(
    said: Sequence[Token], names: Names, same: Same, small: frozenset[str], known: Sequence[Place], words: Vocabulary
) -> list[Hit]:
    """The longest runs of words that stand in a place's name."""
    hits = []
    for length in range(max(map(len, names.values()), default=0), 0, -1):
        for start in range(len(said) - length + 1):
            run = said[start : start + length]
            telling = [token for token in run if len(token.word) >= _LEAST and token.value is None]
            if any(token.taken for token in run) or not [one for one in telling if one.word not in small]:
                continue
            ids = [
                id_ for id_, name in names.items() if any(_at(run, 0, name[n:], same, length) for n in range(len(name)))
            ]
            if ids:
                hits.append(_part(said, start, length, ids, known, words))
    return hits


def _part(
    said: Sequence[Token], start: int, length: int, ids: list[int], known: Sequence[Place], words: Vocabulary
) -> Hit:
    """A part of a name; with a number after it that no such place has, it is a place that the garden does not have."""
    kind = next((kind for kind, phrases in words.kinds.items() if len(starts(said, start, phrases)) == length), None)
    number = start + length
    if number < len(said) and said[number].value is not None and not _measure(said, number + 1, words):
        return _taken(said, range(start, number + 1), (), "place")
    every = [*ids, *(place.id for place in known if kind is not None and place.kind is kind)]
    return _taken(said, range(start, start + length), tuple(dict.fromkeys(every)), "place")


def _taken(said: Sequence[Token], at: Sequence[int], ids: tuple[int, ...], what: str) -> Hit:
    take(said, at, what)
    return Hit(tuple(at), ids=ids)


def _more_numbers(
    said: Sequence[Token], start: int, name: Sequence[Token], known: Names, words: Vocabulary, what: str
) -> list[Hit]:
    hits: list[Hit] = []
    if name[-1].value is None:
        return hits
    index = start
    while index < len(said) and (said[index].parts or starts(said, index, words.linking)):
        number = index + 1
        if (number < len(said) and said[number].parts) or starts(said, number, words.linking):
            number += 1
        if number >= len(said) or said[number].value is None or _measure(said, number + 1, words):
            break
        like = [*name[:-1], said[number]]
        ids = tuple(id_ for id_, own in known.items() if len(own) == len(like) and _at(like, 0, own, Token.same))
        hits.append(_taken(said, (number,), ids, what))
        index = number + 1
    return hits


def _measure(said: Sequence[Token], index: int, words: Vocabulary) -> bool:
    """Whether the number before `index` counts something: what follows is neither an end nor a joint."""
    if index >= len(said) or said[index].parts or said[index].taken:
        return False
    return not starts(said, index, (*words.linking, *words.where, *words.whence, *words.by, *words.on, *words.stand_in))


def _at(said: Sequence[Token], start: int, name: Sequence[Token], same: Same, length: int | None = None) -> bool:
    """Whether the name's first `length` tokens (all of them, unless given) stand free at `start`."""
    part = name if length is None else name[:length]
    if length is not None and len(part) < length:
        return False
    there = said[start : start + len(part)]
    return (
        bool(part)
        and len(there) == len(part)
        and all(not one.taken and same(one, other) for one, other in zip(there, part, strict=True))
    )


def _akin(one: Token, other: Token) -> bool:
    """The same word in another case: alike up to an ending."""
    if one.value is not None or other.value is not None:
        return one.value == other.value
    left, right = one.word, other.word
    common = next((n for n, (a, b) in enumerate(zip(left, right, strict=False)) if a != b), min(len(left), len(right)))
    rest = max(len(left), len(right)) - common
    if common == min(len(left), len(right)) == _LEAST:
        return rest < _ENDING
    return common >= _LONG and rest <= _ENDING


def _near(one: Token, other: Token) -> bool:
    if one.value is not None or other.value is not None:
        return one.value == other.value
    return near_word(one.word, (other.word,)) is not None


def _names(names: Mapping[int, str], words: Vocabulary) -> Names:
    said = {
        id_: [token for token in with_numbers(tokens(name), words.numbers, ()) if not token.parts]
        for id_, name in names.items()
    }
    return {id_: name for id_, name in said.items() if name}


def _by_id(known: Sequence[Place]) -> dict[int, str]:
    return {place.id: place.name for place in known}


def _small(words: Vocabulary) -> frozenset[str]:
    """Words that name no place by themselves."""
    lists = (words.linking, words.where, words.whence, words.articles, words.filler, words.by)
    return frozenset(phrase[0] for phrases in lists for phrase in phrases if len(phrase) == 1)
