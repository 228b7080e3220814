"""Whether the words of a name stand at a place in a sentence, in any case or number, and what a number there counts."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from bot.chat.language.known import Known
from bot.chat.language.tokens import Indices, Phrase, Token, near_word, starts, take, tokens, with_numbers
from bot.chat.language.vocabulary import Vocabulary
from bot.core.garden.snapshot import Place
from bot.crops.find import alike, fold, is_plural, match

_MADE_N = 20_000
#: Letters that a word shares with every other form of it (`alike`).
HEAD_N = 3


@dataclass(frozen=True, slots=True)
class Hit:
    """at: where it stands. crops or ids: what it can be; nothing for a place that the garden does not have, or a plant
    that is no crop. beside: the words beside a crop's name that are of a variety or unknown; of a plant, all its words.
    plant: the name of one that nothing is known of.
    """

    at: Indices
    crops: tuple[str, ...] = ()
    ids: tuple[int, ...] = ()
    sure: bool = True
    beside: str = ""
    plant: str = ""


Same = Callable[[Token, Token], bool]


Names = Mapping[int, Sequence[Token]]


def taken_as(said: Sequence[Token], at: Sequence[int], ids: tuple[int, ...], what: str) -> Hit:
    take(said, at, what)
    return Hit(tuple(at), ids=ids)


def counts_something(said: Sequence[Token], index: int, words: Vocabulary, known: Known | None = None) -> bool:
    """Whether the number before `index` counts something: what follows is neither an end nor a joint."""
    if index < len(said) and said[index].taken == "counted":  # by `things.places`: "from bed 3 12 heads"
        return any((said[index].word,) in phrases for phrases in _units(words))
    if index >= len(said) or said[index].parts or said[index].taken or said[index].value is not None:
        return False
    if starts(said, index, words.linking):
        return False
    if known is not None and said[index].word not in words.bounds - words.counting:
        return is_unit(said, index, words) or said[index].word in words.counting or is_counted(said[index].word, known)
    if said[index].word in words.bounds and said[index].word not in words.counting and not is_unit(said, index, words):
        return False
    return not starts(said, index, (*words.linking, *words.where, *words.whence, *words.by, *words.on, *words.stand_in))


def is_counted(word: str, known: Known) -> bool:
    """Whether it belongs to a plant's name, or may stand before one."""
    return (
        word in known.company.plain
        or word.removesuffix("s") in known.company.plain
        or bool(match(word, known.names, known.local, known.company.others, guess=False))
        or any(alike(word, part) for name in known.own for part in fold(name).split())
    )


def is_unit(said: Sequence[Token], index: int, words: Vocabulary) -> bool:
    return any(starts(said, index, phrases) for phrases in _units(words))


@cache
def _units(words: Vocabulary) -> tuple[Sequence[Phrase], ...]:
    return (*words.units.values(), *words.containers.values(), words.cells, words.inches, words.metres, words.decagrams)


def stands_at(said: Sequence[Token], start: int, name: Sequence[Token], same: Same, length: int | None = None) -> bool:
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


def akin(one: Token, other: Token) -> bool:
    """The same word in another case: alike up to an ending."""
    if one.value is not None or other.value is not None:
        return one.value == other.value
    return alike(one.word, other.word)


def nearly_same(one: Token, other: Token) -> bool:
    """A single word in another case: but for its last letter, so that szałwia is no szalej."""
    return akin(one, other) and one.word.startswith(other.word[:-1])


def near(one: Token, other: Token) -> bool:
    if one.value is not None or other.value is not None:
        return one.value == other.value
    return near_word(one.word, (other.word,)) is not None


def as_tokens(names: Mapping[int, str], words: Vocabulary) -> Names:
    """Each name as tokens, number words as numbers; made once for each name and language, and never taken."""
    made = _made(words)
    if len(made) > _MADE_N:
        made.clear()
    for name in names.values():
        if name not in made:
            said = with_numbers(tokens(name), words.numbers, (), words.tens, words.times)
            made[name] = tuple(token for token in said if not token.parts)
    return {id_: made[name] for id_, name in names.items() if made[name]}


@cache
def _made(words: Vocabulary) -> dict[str, tuple[Token, ...]]:
    """Where a language's names are kept."""
    return {}


def by_id(known: Sequence[Place]) -> dict[int, str]:
    return {place.id: place.name for place in known}


@cache
def small_words(words: Vocabulary) -> frozenset[str]:
    """Words that name no place by themselves."""
    lists = (words.linking, words.where, words.whence, words.articles, words.filler, words.by, words.half)
    return frozenset(phrase[0] for phrases in lists for phrase in phrases if len(phrase) == 1)


@lru_cache(4096)
def name_tokens(name: str) -> tuple[Token, ...]:
    """A crop's name as it is compared with what is said; none of them is ever taken."""
    return tuple(tokens(name))


def more_numbers(
    said: Sequence[Token],
    start: int,
    name: Sequence[Token],
    known: Names,
    words: Vocabulary,
    what: str,
    places: Known | None,
) -> list[Hit]:
    """The places with the numbers that follow a name, "pots 3, 5 and 7"; none where a number counts something."""
    hits: list[Hit] = []
    if name[-1].value is None:
        return hits
    index = start
    while index < len(said):
        ranging = (said[index].value is not None and said[index].dashed) or bool(starts(said, index, words.ranging))
        # "beds 1 2 and 3"
        bare = said[index].value is not None and not ranging and index > 1 and is_plural(said[start - 2].word)
        if not (ranging or bare or said[index].parts or starts(said, index, words.linking)):
            break
        joined = starts(said, index, (*words.linking, *words.ranging)) or (index,)
        number = index if said[index].dashed or bare else joined[-1] + 1
        if number < len(said) and (said[number].parts or starts(said, number, words.linking)):
            number = (starts(said, number, words.linking) or (number,))[-1] + 1
        if number >= len(said) or said[number].value is None or counts_something(said, number + 1, words, places):
            break
        many = any(one.value is not None and not one.taken for one in said[: max(start - len(name), 0)])
        if many and not ranging and starts(said, number + 1, words.where):  # "4 in bed 2 and 2 in the barrel"
            break
        first = said[index - 1].value if index else None
        at = start - len(name)
        ranging = ranging and not (at > 0 and starts(said, at - 1, words.whence))  # "from bed 3 to 6" is two places
        if ranging and first is not None and said[number].value is not None and first < (said[number].value or 0.0):
            hits += _between(said, number, first, name, known, what)
        like = [*name[:-1], said[number]]
        last = said[number].value
        ids = tuple(
            id_
            for id_, own in known.items()
            if own[-1].value == last and len(own) == len(like) and stands_at(like, 0, own, Token.same)
        )
        hits.append(taken_as(said, (number,), ids, what))
        index = number + 1
    return hits


def past_joints(said: Sequence[Token], index: int, words: Vocabulary) -> int:
    """The first index from here that is no comma, "and" or the like."""
    while index < len(said) and (said[index].parts or starts(said, index, words.linking)):
        index = (starts(said, index, words.linking) or (index,))[-1] + 1
    return index


def up_to(
    said: Sequence[Token], index: int, at: int, own: Names, words: Vocabulary, known: Known
) -> tuple[int, list[Hit]] | None:
    """Where the number stands that ends a range after the one before `index`, and the places between, "beds 1 to 3";
    between two that something moves from and to stands none. `at`: where the name begins. None without a range."""
    to = starts(said, index, words.ranging)
    last, first = to[-1] + 1 if to else index, int(said[index - 1].value or 0)
    if last >= len(said) or said[last].value is None or said[last].taken or not (to or said[last].dashed):
        return None
    if counts_something(said, last + 1, words, known):
        return None
    moves = at > 0 and bool(starts(said, at - 1, words.whence))
    between = range(first + 1, 0 if moves else min(int(said[last].value or 0), first + 60))
    return last, [Hit((last,), ids=(id_,)) for id_, name in own.items() if name and name[-1].value in between]


def _between(
    said: Sequence[Token], number: int, first: float, name: Sequence[Token], known: Names, what: str
) -> list[Hit]:
    """The places with the numbers between, "beds 1 to 3"."""
    hits = []
    for value in range(int(first) + 1, min(int(said[number].value or 0.0), int(first) + 60)):
        like = [*name[:-1], replace(said[number], value=float(value), taken=None)]
        ids = tuple(id_ for id_, own in known.items() if len(own) == len(like) and stands_at(like, 0, own, Token.same))
        if ids:
            hits.append(Hit((number,), ids=ids))
    return hits


def listed_in(token: Token, names: Mapping[int, Sequence[Token]]) -> list[int]:
    """The places of "1,2", which looks like a number with decimals."""
    parts = token.raw.split(",")
    by_number = {name[-1].value: id_ for id_, name in names.items() if name}
    found = [by_number.get(float(part)) for part in parts if part.isdecimal()]
    return [id_ for id_ in found if id_ is not None] if len(found) == len(parts) > 1 and None not in found else []


def where_in(said: Sequence[Token], run: Sequence[int], words: Sequence[str]) -> Indices:
    for start in range(len(run) - len(words) + 1):
        if [said[n].word for n in run[start : start + len(words)]] == list(words):
            return tuple(run[start : start + len(words)])
    return tuple(run)
