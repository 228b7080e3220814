"""Lists of the catalogue as phrases: alternatives parted by a sign, meanings in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from bot.chat.language.tokens import GAP, Listed, Phrase
from bot.crops.find import fold


def phrases_of(text: str, between: str = "|") -> tuple[Phrase, ...]:
    """Alternatives as folded words, the longest first."""
    found = {tuple(GAP if word == GAP else fold(word) or word for word in one.split()) for one in text.split(between)}
    return Listed(sorted(filter(None, found), key=lambda phrase: (-len(phrase), phrase)))


def counted_up(meanings: tuple[tuple[Phrase, ...], ...], first: int, step: int = 1) -> dict[Phrase, int]:
    return {phrase: first + n * step for n, phrases in enumerate(meanings) for phrase in phrases}


def numbered(meanings: tuple[tuple[Phrase, ...], ...]) -> dict[Phrase, int]:
    return {phrase: value for value, phrases in enumerate(meanings) for phrase in phrases}


def words_of(found: object) -> Iterator[str]:
    """Every word in lists of any depth."""
    if isinstance(found, str):
        yield found
    elif isinstance(found, Mapping):
        yield from words_of((*found.keys(), *found.values()))
    elif isinstance(found, Iterable):
        for one in found:
            yield from words_of(one)


def units_first(
    units: Mapping[Phrase, int], tens: Mapping[Phrase, int], hundred: Iterable[Phrase], joint: str
) -> dict[Phrase, int]:
    """ "Eight and twenty", "a hundred and eight", the joint a word of its own or grown onto what it joins."""
    ones = {phrase: value for phrase, value in units.items() if value > 0}
    joined = [(one, ten) for one in ones.items() if one[1] < 10 for ten in tens.items()]
    joined += [((phrase, 100), more) for phrase in hundred for more in (*ones.items(), *tens.items())]
    return {
        (*first, *after): value + more
        for (first, value), (second, more) in joined
        for after in ((joint, *second), (joint + second[0], *second[1:]))
    }
