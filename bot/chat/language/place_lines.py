"""What a line says there is: "plot 3 Amira and Joe", "12 pots in the yard, 30 litres", "tunnel, locked".

Pure: a line becomes rows with the columns of docs/records.md, which the import then checks as it checks a spreadsheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache

from rapidfuzz.distance import OSA

from bot.chat.language.tokens import tokens
from bot.chat.language.verbs import deeds
from bot.chat.language.vocabulary import vocabulary
from bot.core.garden.snapshot import PlaceKind
from bot.core.growing.spacing import length_m
from bot.crops.find import alike, fold
from bot.i18n import Say

NAME_N, MOST_N = 60, 200
_NUMBER = r"\d+(?:[.,]\d+)?"
_LENGTH = rf"{_NUMBER}\s*(?:mm|cm|m|ft|in)\.?(?:\s*\d+\s*in\b)?"
_SIZE = re.compile(rf"({_NUMBER}\s*(?:mm|cm|m|ft|in)?(?:\s*\d+\s*in)?)\s*(?:x|×|by|na)\s*({_LENGTH})", re.IGNORECASE)
# Alone, "in" is the word before a place, not inches.
_ONE = re.compile(rf"(?<![\w.,])({_NUMBER}\s*(?:mm|cm|m|ft))\b", re.IGNORECASE)
_RANGE = re.compile(r"(\d{1,3})\s*(?:-|–|to|do)\s*(\d{1,3})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Item:
    """Rows of one file, all with the same columns, cells as text. people: names that the rows speak of."""

    file: str
    rows: tuple[Mapping[str, str], ...]
    people: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Words:
    """Folded words of one language, and English."""

    kinds: Mapping[str, PlaceKind]
    plot: frozenset[str]
    thermometer: frozenset[str]
    flags: Mapping[str, str]
    into: frozenset[str]
    joins: frozenset[str]
    talk: frozenset[str]
    litres: str
    kilos: str


def read(line: str, say: Say, places: Iterable[str] = (), houses: Mapping[str, PlaceKind] | None = None) -> Item | None:
    """The rows that a line describes; None for a line that describes none.

    places: names that there are, so that numbering goes on. houses: names of what a container can stand in.
    """
    words = _words(say)
    text = " ".join(line.split())[:300]
    cells, text = _measured(text, words)
    head, flags = _flags(text, words)
    said = head.split()
    folded = [fold(word) for word in said]
    if _tells(folded, words) or _goes_on(folded, tuple(places), words):
        return None
    if folded and folded[0] in words.plot:
        return _plot(said, folded, words)
    for at, word in enumerate(folded):
        if word in words.thermometer and not re.match(r"[-+\u2212]?\d", said[0]):  # that would be a reading
            return _thermometer(said, folded, at, cells, flags, words)
    for length in (2, 1):
        for at in range(len(folded) - length + 1):
            kind = words.kinds.get(" ".join(folded[at : at + length]))
            # "planted 12 lettuces in Bed 1" is about a place, and describes none.
            if kind is not None and at < 4 and not (words.into | _verbs(say.language)) & set(folded[:at]):
                tail = _Tail.of(said, folded, at, length, words)
                return _places(kind, tail, cells, flags, tuple(places), houses or {}, say)
    return None


def is_talk(text: str, say: Say) -> bool:
    """Whether a line tells what somebody did or saw ("watered bed 1", "bed 1 has slugs"), which names no place."""
    said = [fold(word) for word in text.split()]
    return _tells(said, _words(say)) or bool(deeds(tokens(text), vocabulary(say.language)))


def _tells(folded: list[str], words: _Words) -> bool:
    return bool(words.talk & set(folded))


@cache
def _verbs(language: str) -> frozenset[str]:
    """The first words of what is done on a plot, in the reader's language and in English."""
    return frozenset(phrase[0] for phrases in vocabulary(language).verbs.values() for phrase in phrases)


def _measured(text: str, words: _Words) -> tuple[dict[str, str], str]:
    """Sizes, litres and kilos, and the text without them."""
    cells: dict[str, str] = {}
    if found := _SIZE.search(text):
        second = found[2]
        first = found[1] if re.search(r"[A-Za-z]", found[1]) else found[1] + re.sub(r"[\d.,\s]", "", second)
        cells |= {"length_m": _metres(first), "width_m": _metres(second)}
        text = text[: found.start()] + text[found.end() :]
    for column, units in (("volume_l", words.litres), ("wet_kg", words.kilos)):
        if found := re.search(rf"({_NUMBER})\s*-?\s*(?:{units})\b", text, re.IGNORECASE):
            cells[column] = f"{float(found[1].replace(',', '.')):g}"
            text = text[: found.start()] + text[found.end() :]
    if found := _ONE.search(text):
        cells["height_m"] = _metres(found[1])
        text = text[: found.start()] + text[found.end() :]
    return cells, text


def _metres(text: str) -> str:
    return f"{length_m(text.lower().rstrip('.')):.2f}"


def _flags(text: str, words: _Words) -> tuple[str, set[str]]:
    """What single words say ("locked"), and the text without them and without signs that part it."""
    flags: set[str] = set()
    kept = []
    for part in re.split(r"[,;](?!\d)", text):
        flag = words.flags.get(fold(part))
        if flag is not None:
            flags.add(flag)
        else:
            kept.append(part)
    text = " , ".join(part.strip() for part in kept if part.strip())
    return text, flags


def _plot(said: list[str], folded: list[str], words: _Words) -> Item | None:
    """ "plot 3 Amira and Joe": the word after it is its name, the rest its holders."""
    if len(said) < 2:
        return None
    name = f"{said[0][:1].upper()}{said[0][1:]} {said[1].rstrip(':')}"[:NAME_N]
    parts: list[list[str]] = [[]]
    for word, plain in zip(said[2:], folded[2:], strict=True):
        if plain in words.joins or not plain:
            parts.append([])
        else:
            parts[-1].append(word.strip(":"))
    people = tuple(" ".join(part)[:NAME_N] for part in parts if part)
    row = {"name": name} | ({"holders": ";".join(people)} if people else {})
    return Item("plots", (row,), people)


def _thermometer(
    said: list[str], folded: list[str], at: int, cells: Mapping[str, str], flags: set[str], words: _Words
) -> Item:
    """ "thermometer on the shed, 1.5 m, shaded": called after where it hangs. 1.5 m and shaded where nothing is said."""
    rest = [word for n, (word, plain) in enumerate(zip(said, folded, strict=True)) if n != at and plain]
    while rest and fold(rest[0]) in words.into:
        rest = rest[1:]
    name = " ".join(rest) or said[at]
    row = {
        "name": f"{name[:1].upper()}{name[1:]}"[:NAME_N],
        "height_m": cells.get("height_m", "1.5"),
        "shaded": "no" if "sun" in flags else "yes",
    }
    return Item("thermometers", (row | ({"momentary": "yes"} if "momentary" in flags else {}),))


@dataclass(frozen=True, slots=True)
class _Tail:
    """count: "12 pots". numbers: "pots 1 to 12". name: as written. where: "the yard". plot: "Plot 3"."""

    count: int | None
    numbers: tuple[int, ...]
    name: str
    where: str
    plot: str

    @classmethod
    def of(cls, said: list[str], folded: list[str], at: int, length: int, words: _Words) -> _Tail:
        count = int(folded[at - 1]) if at and folded[at - 1].isdecimal() and len(folded[at - 1]) < 4 else None
        before = said[: at - 1] if count is not None else said[:at]
        after = list(zip(said[at + length :], folded[at + length :], strict=True))
        cut = next((n for n, (_, plain) in enumerate(after) if plain in words.into), len(after))
        own = [word for word, plain in after[:cut] if plain and plain not in ("is", "are", "jest")]
        rest, plot = after[cut:], ""
        for n, (word, plain) in enumerate(rest[:-1]):
            if plain in words.plot:
                plot = f"{word[:1].upper()}{word[1:]} {rest[n + 1][0]}"
                rest = [*(rest[: n - 1] if n else []), *rest[n + 2 :]]
                break
        name = " ".join([*before, *said[at : at + length], *own, *(word for word, plain in rest if plain)])
        where = " ".join(word for word, plain in rest if plain and plain not in words.into)
        return cls(count, _numbers(" ".join(own)), name, where, plot)


def _numbers(text: str) -> tuple[int, ...]:
    """Several numbers: "1 to 12", "3, 5 and 7"; none for a single one, which is part of a name."""
    if found := _RANGE.fullmatch(text.strip()):
        first, last = int(found[1]), int(found[2])
        return tuple(range(first, min(last, first + MOST_N - 1) + 1)) if first < last else ()
    alone = [int(word) for word in re.findall(r"\d{1,3}", text)]
    return tuple(dict.fromkeys(alone)) if len(alone) > 1 else ()


def _places(
    kind: PlaceKind,
    tail: _Tail,
    cells: Mapping[str, str],
    flags: set[str],
    known: tuple[str, ...],
    houses: Mapping[str, PlaceKind],
    say: Say,
) -> Item:
    row = {"kind": kind.value} | dict(cells)
    if tail.plot:
        row["plot"] = tail.plot
    if "locked" in flags:
        row["needs_key"] = "yes"
    fresh = tail.count is not None or bool(tail.numbers)
    where = _own_name(tail.where, known, say)
    if kind is PlaceKind.CONTAINER:
        house = houses.get(fold(where)) if where else None
        if house is not None:
            row["inside"], where = house.value, ""
        if fresh or "fixed" in flags:
            row["movable"] = "no" if "fixed" in flags else "yes"
    if "shared" in flags or (fresh and kind is PlaceKind.CONTAINER and not tail.plot):
        row["shared"] = "yes"
    singular = _singular(kind, say)
    stem = say.gettext("{place} {thing}", place=where, thing=singular) if where else singular
    stem = stem[:1].upper() + stem[1:]
    if tail.numbers:
        names = [f"{stem} {n}" for n in tail.numbers]
    elif tail.count is not None:
        first = 1 + max((_last_number(name, stem) for name in known), default=0)
        names = [f"{stem} {n}" for n in range(first, first + min(tail.count, MOST_N))]
    else:
        names = [tail.name[:1].upper() + tail.name[1:]]
    return Item("places", tuple({"name": name[:NAME_N], **row} for name in names))


def _own_name(where: str, known: tuple[str, ...], say: Say) -> str:
    """The name itself of where pots stand, which a case may have changed after "in": as places that there are have it, else
    as it is listed ("na podwórku" is the yard, podwórko); as it was written where it is neither.
    """
    listed = [
        each.partition("=") for each in say.pgettext("where pots stand, and forms of it before =", "-").split("|")
    ]
    if listed == [("-", "", "")] or not where or " " in where:
        return where
    word, names = fold(where), [own or form for form, _, own in listed]
    names = [*dict.fromkeys(name.split()[0] for name in known if name), *names]
    exact = [*(own or form for form, _, own in listed if fold(form) == word), *(n for n in names if fold(n) == word)]
    return next(iter(exact), None) or max(
        (name for name in names if alike(word, fold(name))),
        key=lambda name: OSA.normalized_similarity(word, fold(name)),
        default=where,
    )


def _last_number(name: str, stem: str) -> int:
    rest = fold(name).removeprefix(fold(stem)).strip()
    return int(rest) if fold(name).startswith(fold(stem)) and rest.isdecimal() and len(rest) < 5 else 0


def _singular(kind: PlaceKind, say: Say) -> str:
    return {
        PlaceKind.BED: say.pgettext("name of a place", "bed"),
        PlaceKind.CONTAINER: say.pgettext("name of a place", "pot"),
        PlaceKind.TUNNEL: say.pgettext("name of a place", "tunnel"),
        PlaceKind.FRAME: say.pgettext("name of a place", "cold frame"),
        PlaceKind.GREENHOUSE: say.pgettext("name of a place", "greenhouse"),
        PlaceKind.INDOORS: say.pgettext("name of a place", "windowsill"),
    }[kind]


def _words(say: Say) -> _Words:
    """The reader's own words and English ones, which people mix."""
    own = _of(say)
    if say.language == "en":
        return own
    english = _of(replace(say, language="en"))
    return _Words(
        {**english.kinds, **own.kinds},
        english.plot | own.plot,
        english.thermometer | own.thermometer,
        {**english.flags, **own.flags},
        english.into | own.into,
        english.joins | own.joins,
        english.talk | own.talk,
        f"{own.litres}|{english.litres}",
        english.kilos,
    )


def _of(say: Say) -> _Words:
    kinds = {
        PlaceKind.BED: say.pgettext("words for places", "bed|beds|border|borders|raised bed|raised beds"),
        PlaceKind.CONTAINER: say.pgettext(
            "words for places",
            "pot|pots|container|containers|tub|tubs|planter|planters|grow bag|grow bags|bucket|buckets",
        ),
        PlaceKind.TUNNEL: say.pgettext("words for places", "tunnel|tunnels|polytunnel|polytunnels"),
        PlaceKind.FRAME: say.pgettext("words for places", "cold frame|cold frames|frame|frames"),
        PlaceKind.GREENHOUSE: say.pgettext("words for places", "greenhouse|greenhouses|glasshouse|glasshouses"),
        PlaceKind.INDOORS: say.pgettext("words for places", "windowsill|windowsills|indoors|porch"),
    }
    flags = {
        "locked": say.pgettext("words for places", "locked|needs a key|behind a lock|with a lock"),
        "shared": say.pgettext("words for places", "shared|for everybody|common"),
        "fixed": say.pgettext("words for places", "fixed|can't be moved|not movable|too heavy to move"),
        "shade": say.pgettext("words for places", "shaded|in the shade|in a screen"),
        "sun": say.pgettext("words for places", "in the sun|not shaded|unshaded"),
        "momentary": say.pgettext("words for places", "shows only now|without memory"),
    }
    return _Words(
        {word: kind for kind, words in kinds.items() for word in _listed(words)},
        _listed(say.pgettext("words for places", "plot|allotment")),
        _listed(say.pgettext("words for places", "thermometer")),
        {word: flag for flag, words in flags.items() for word in _listed(words)},
        _listed(say.pgettext("words before a place", "in|on|at|by|of|the|near")),
        _listed(say.pgettext("words that join names", "and|with|for")),
        _listed(
            say.pgettext(
                "words that tell something, and stand in no name of a place",
                "has|have|had|needs|need|looks|look|seems|smells|got|gets|from|was|were|been|i|i've|we|we've|they|he|she|"
                "it|it's|my|our|not|full|dry|wet|empty|broken",
            )
        ),
        say.pgettext("units of volume", "litres|litre|liters|liter|ltr|l"),
        "kg|kilos?",
    )


def _goes_on(folded: list[str], places: tuple[str, ...], words: _Words) -> bool:
    """Whether a numbered place that there is opens the line and something is told of it: "bed 1 slugs everywhere"."""
    parting = words.into | words.joins | {"", "is", "are", "jest"}
    for name in places:
        own = fold(name).split()
        after = folded[len(own) : len(own) + 1]
        if own and own[-1].isdecimal() and folded[: len(own)] == own and after and after[0] not in parting:
            return not any(word in words.plot for word in after)
    return False


def _listed(words: str) -> frozenset[str]:
    return frozenset(fold(word) for word in words.split("|") if word)
