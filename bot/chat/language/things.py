"""Which crops and which of the garden's places a sentence names, in any case, number, or with a slip of the thumb."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import takewhile

from bot.chat.language.known import Known
from bot.chat.language.matching import (
    HEAD_N,
    Hit,
    Names,
    Same,
    akin,
    as_tokens,
    by_id,
    counts_something,
    is_unit,
    more_numbers,
    name_tokens,
    near,
    nearly_same,
    small_words,
    stands_at,
    taken_as,
    where_in,
)
from bot.chat.language.place_numbers import numbered, ordinal_phrases
from bot.chat.language.tokens import Token, found_in, single_words, starts, take
from bot.chat.language.verbs import cause_words
from bot.chat.language.vocabulary import Vocabulary
from bot.core.garden.snapshot import Place, PlaceKind
from bot.crops.find import is_plural, match

__all__ = [
    "Hit", "crops", "declined_crops", "free_runs", "guessed_places", "named",
    "places", "unknown_plant", "with_company",
    "without_frames",
]  # fmt: skip

_LEAST = 3  # letters of a word that tells a place
_NAME_WORDS_N = 3  # of a plant's name


def named(
    said: Sequence[Token], names: Mapping[int, str], words: Vocabulary, what: str, known: Known | None = None
) -> list[Hit]:
    """Whole names, as their owners wrote them; several numbers after one name are as many places ("pots 3, 5 and 7").

    known: by which a number that counts plants is told from one more place.
    """
    listed = as_tokens(names, words)
    by_head: dict[str, dict[int, Sequence[Token]]] = defaultdict(dict)
    for id_, name in listed.items():
        by_head[_head(name[0], 1)][id_] = name
    hits: list[Hit] = []
    for start, token in enumerate(said):
        likely = by_head.get(_head(token, 1)) if not token.taken else None
        if not likely:
            continue
        fitting = {id_: name for id_, name in likely.items() if stands_at(said, start, name, Token.same)}
        longest = max(map(len, fitting.values()), default=0)
        # A place that is only a number counts only where a place is meant.
        meant = start > 0 and bool(starts(said, start - 1, (*words.where, *words.whence)))
        if not fitting or (longest == 1 and said[start].value is not None and not meant):
            continue
        ids = tuple(id_ for id_, name in fitting.items() if len(name) == longest)
        hits.append(taken_as(said, range(start, start + longest), ids, what))
        hits += more_numbers(said, start + longest, listed[ids[0]], listed, words, what, known)
    return hits


def places(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    """Places by a part of their name, or by their kind: "the tunnel". What is counted ("3 pots") is no place."""
    counted = [
        said[n]
        for n in range(1, len(said))
        if said[n - 1].value is not None
        and said[n].value is None
        and said[n].taken is None
        and (said[n - 1].word, said[n].word) not in ordinal_phrases(words)
        and not starts(said, n, (*words.linking, *words.ranging))
    ]
    for token in counted:
        token.taken = "counted"
    try:
        return _places(said, known, words)
    finally:
        for token in counted:
            token.taken = None


def _places(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    hits = numbered(said, known, words)
    hits += _parts(said, as_tokens(by_id(known.places), words), Token.same, known.places, words)
    pots = {PlaceKind.CONTAINER: words.numbered[PlaceKind.CONTAINER]}
    for kind, phrases in {**words.kinds, **pots}.items():
        ids = tuple(place.id for place in known.places if place.kind is kind)
        hits += [
            taken_as(said, at, ids, "place")
            for at in found_in(said, phrases)
            if not any(said[n].taken for n in at) and not _for_climbers(said, at, words)
        ]
    return hits


def guessed_places(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    """Places by a declined word of their name; a misspelt one is a guess."""
    names = as_tokens(by_id(known.places), words)
    if found := _parts(said, names, akin, known.places, words):
        return found
    guesses = _parts(said, names, near, known.places, words)
    return [Hit(hit.at, ids=hit.ids, sure=False) for hit in guesses]


def crops(said: Sequence[Token], known: Known) -> list[Hit]:
    """Crops by name, each once, in the order of the sentence; and plants that are none, without a crop."""
    hits = list(_declined_others(said, known))
    left = [one for run in free_runs(said) if (one := _crop(said, run, known)) is not None]
    while left:
        # The longest name first, of those the earliest; then what is left of its run.
        hit, run = max(left, key=lambda one: len(one[0].at))
        take(said, hit.at, "crop")
        hits.append(hit)
        rest = [[n for n in run if n < hit.at[0]], [n for n in run if n > hit.at[-1]]]
        n = left.index((hit, run))
        left[n : n + 1] = [one for part in rest if part and (one := _crop(said, part, known)) is not None]
    return sorted(hits, key=lambda hit: hit.at)


def take_names(said: Sequence[Token], known: Known) -> list[Hit]:
    """Take every crop's name, with the words of its own varieties right beside it."""
    hits = crops(said, known)
    for hit in hits:
        own = _own(hit, known)
        for beside in (range(hit.at[0] - 1, -1, -1), range(hit.at[-1] + 1, len(said))):
            ours = [*takewhile(own.__contains__, (said[n].word for n in beside))]
            take(said, beside[: len(ours)], "crop")
    return hits


def _crop(said: Sequence[Token], run: list[int], known: Known) -> tuple[Hit, list[int]] | None:
    """The first name of those that stand in a run of free tokens, and the run."""
    text = " ".join(said[n].word for n in run)
    if text not in known.matched:
        known.matched[text] = match(text, known.names, known.local, known.company.others, guess=False)
    found = known.matched[text]
    if found is None or not found.sure:
        return None
    return Hit(where_in(said, run, found.words.split()), crops=found.keys), run


def _declined_others(said: Sequence[Token], known: Known) -> Iterator[Hit]:
    """Plants that are no crops, in any case, the adjective before or after."""
    heads = {token.word[:HEAD_N] for token in said}
    for name in known.company.declined:
        if not all(word[:HEAD_N] in heads for word in name):
            continue
        for order in {name, name[::-1]}:
            like = [Token(word, word) for word in order]
            for start in range(len(said) - len(like) + 1):
                if stands_at(said, start, like, akin if len(like) > 1 else nearly_same) and not any(
                    one.parts for one in said[start : start + len(like)]
                ):
                    at = tuple(range(start, start + len(like)))
                    take(said, at, "crop")
                    yield Hit(at)


def with_company(said: Sequence[Token], hits: Sequence[Hit], known: Known, words: Vocabulary) -> list[Hit]:
    """The crops with what stands beside their names, once everything else in the sentence is taken.

    A crop is sure only when the words beside it are ordinary or of a variety of its own; where one of them makes another
    plant of it, it is none. An English crop's name right before another's is a word beside that ("Rocket potatoes").
    """
    found: list[Hit] = []
    for hit in sorted(hits, key=lambda one: one.at):
        before = found[-1] if found else None
        if before is not None and hit.crops and _leads_into(said, before, hit, known):
            found[-1] = _joined(said, before, hit, known)
        else:
            found.append(_with_company(said, hit, known, words))
    return found


def _leads_into(said: Sequence[Token], before: Hit, hit: Hit, known: Known) -> bool:
    last = before.at[-1]
    near = last + 1 == hit.at[0] and not said[hit.at[0]].apart
    return known.company.cased is None and bool(before.crops) and near and not is_plural(said[last].word)


def _joined(said: Sequence[Token], before: Hit, hit: Hit, known: Known) -> Hit:
    own = _own(hit, known)
    sure = hit.sure and before.sure and all(said[n].word in own for n in before.at)
    return replace(hit, at=(*before.at, *hit.at), sure=sure, beside=_raw(said, before.at))


def _own(hit: Hit, known: Known) -> frozenset[str]:
    return frozenset[str]().union(*(known.varieties.get(key, frozenset()) for key in hit.crops))


def _with_company(said: Sequence[Token], hit: Hit, known: Known, words: Vocabulary) -> Hit:
    if not hit.crops:
        return replace(hit, beside=_raw(said, hit.at))
    before, after = _free_before(said, hit.at[0], known, words), _free_after(said, hit.at[-1], known, words)
    own = _own(hit, known)
    name = [said[n].word for n in hit.at]
    front, back = [said[n].word for n in before], [said[n].word for n in after]
    unknown = known.company.unknown(front, name, back, own)
    if known.company.is_elsewhere(unknown):
        strange = [n for n in (*before, *after) if said[n].word in unknown]
        return replace(hit, crops=(), beside=_raw(said, sorted((*hit.at, *strange))))
    telling = [n for n in (*before, *after) if said[n].word in unknown or said[n].word in own]
    return replace(hit, sure=hit.sure and not unknown, beside=_raw(said, telling))


def declined_crops(said: Sequence[Token], known: Known) -> list[Hit]:
    """Crops by declined names in the reader's language, the longest names first."""
    heads = {token.word[:HEAD_N] for token in said}
    by_head: dict[str, list[tuple[Sequence[Token], Sequence[str]]]] = defaultdict(list)
    for written, keys in known.local.items():
        name = name_tokens(written) if written in known.own else ()
        if name and all(token.word[:HEAD_N] in heads for token in name):
            by_head[name[0].word[:HEAD_N]].append((name, keys.split()))
    longest = max((len(name) for names in by_head.values() for name, _ in names), default=0)
    hits: list[Hit] = []
    for length in range(longest, 0, -1):
        for start, token in enumerate(said):
            run = said[start : start + length]
            if len(run) < length or any(one.taken or one.parts or one.value is not None for one in run):
                continue
            if length == 1 and token.word in known.company.nameless | known.company.bounds:  # "horta" is no "hortelã"
                continue
            likely = by_head.get(token.word[:HEAD_N], ())
            fits = [keys for name, keys in likely if len(name) == length and stands_at(run, 0, name, akin)]
            if found := {key for keys in fits for key in keys}:
                at = tuple(range(start, start + length))
                take(said, at, "crop")
                hits.append(Hit(at, crops=tuple(sorted(found))))
    return sorted(hits, key=lambda hit: hit.at)


def unknown_plant(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    """The first words left over that may be a plant's name, where a plant was sown or set out and none is known."""
    seeds = single_words(words.seeds)
    for run in free_runs(said):
        at: list[int] = []
        for index in run:
            word = said[index].word
            ends = word in known.company.bounds or word in seeds or word in known.company.nameless
            if ends or not _belongs(said, index, known, words):
                if at:
                    break
                continue
            at.append(index)
        telling = known.company.unknown([], [], [said[index].word for index in at], frozenset())
        if 0 < len(at) <= _NAME_WORDS_N and any(len(word) >= _LEAST for word in telling):
            take(said, tuple(at), "plant")
            return [Hit(tuple(at), plant=_raw(said, at))]
    return []


def free_runs(said: Sequence[Token]) -> Iterator[list[int]]:
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


def _free_before(said: Sequence[Token], first: int, known: Known, words: Vocabulary) -> list[int]:
    """The tokens before a crop's name that may belong to it, in order."""
    found: list[int] = []
    index = first
    while index > 0 and not said[index].apart and _belongs(said, index - 1, known, words):
        index -= 1
        found.insert(0, index)
    return found


def _free_after(said: Sequence[Token], last: int, known: Known, words: Vocabulary) -> list[int]:
    index = last + 1
    while index < len(said) and not said[index].apart and _belongs(said, index, known, words):
        index += 1
    return list(range(last + 1, index))


def _belongs(said: Sequence[Token], index: int, known: Known, words: Vocabulary) -> bool:
    token = said[index]
    if token.taken or token.parts or token.value is not None or token.word in small_words(words):
        return False
    if is_unit(said, index, words):
        return False
    return token.word not in known.people and token.word.removesuffix("s") not in known.people


def _raw(said: Sequence[Token], at: Iterable[int]) -> str:
    return " ".join(said[n].raw for n in at)


def without_frames(said: Sequence[Token], hits: Sequence[Hit], words: Vocabulary) -> list[Hit]:
    """The crops without those that only name a frame where they are named beside it, "tied the peas to the pea frame"."""
    found = list(hits)
    for hit in hits:
        if at := starts(said, hit.at[-1] + 1, words.framed):
            take(said, at, "frame")
            if any(one is not hit and one.crops == hit.crops for one in found):
                found.remove(hit)
    return found


def _for_climbers(said: Sequence[Token], at: Sequence[int], words: Vocabulary) -> bool:
    """A "pea frame" is no cold frame."""
    alone = len(at) == 1 and at[0] > 0 and said[at[0] - 1].taken == "crop"
    return alone and bool(starts(said, at[0], words.framed))


def _parts(said: Sequence[Token], names: Names, same: Same, known: Sequence[Place], words: Vocabulary) -> list[Hit]:
    """The longest runs of words that stand in a place's name, and say more than small words or the weather do."""
    small, causes = small_words(words), cause_words(words)
    head_n = 1 if same is near else HEAD_N
    by_head: dict[str, dict[int, None]] = defaultdict(dict)
    for id_, name in names.items():
        for token in name:
            by_head[_head(token, head_n)][id_] = None
    hits = []
    told: dict[tuple[tuple[str, float | None], ...], list[int]] = {}  # the same words mean the same places
    for length in range(max(map(len, names.values()), default=0), 0, -1):
        for start in range(len(said) - length + 1):
            run = said[start : start + length]
            telling = [token for token in run if len(token.word) >= _LEAST and token.value is None]
            if length == 1 and (run[0].word in causes or _for_climbers(said, (start,), words)):
                continue  # "how cold" is no cold frame, Welsh "barrug" (frost) no barrel
            if any(token.taken for token in run) or not [one for one in telling if one.word not in small]:
                continue
            key = tuple((token.word, token.value) for token in run)
            if key not in told:
                told[key] = [
                    id_
                    for id_ in by_head.get(_head(run[0], head_n), ())
                    if any(stands_at(run, 0, names[id_][n:], same, length) for n in range(len(names[id_])))
                ]
            if ids := told[key]:
                hits.append(_part(said, start, length, ids, known, words))
    return hits


def _head(token: Token, letters_n: int) -> str:
    """What tokens that can be the same share."""
    return f"{token.value}" if token.value is not None else token.word[:letters_n]


def _part(
    said: Sequence[Token], start: int, length: int, ids: list[int], known: Sequence[Place], words: Vocabulary
) -> Hit:
    """A part of a name; with a number after it that no such place has, it is a place that the garden does not have."""
    kind = next((kind for kind, phrases in words.kinds.items() if len(starts(said, start, phrases)) == length), None)
    number = start + length
    if number < len(said) and said[number].value is not None and not counts_something(said, number + 1, words):
        return taken_as(said, range(start, number + 1), (), "place")
    every = [*ids, *(place.id for place in known if kind is not None and place.kind is kind)]
    return taken_as(said, range(start, start + length), tuple(dict.fromkeys(every)), "place")
