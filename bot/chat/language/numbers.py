"""What the numbers of a clause count: an amount with its unit, trays and their cells, a length, or plants.

A reading of a thermometer in plain words: "-1 on the shed thermometer", "minus one", "1,5 in the tunnel".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from bot.chat.language import things
from bot.chat.language.day import past_day
from bot.chat.language.known import Known
from bot.chat.language.matching import is_unit
from bot.chat.language.tokens import Indices, Phrase, Token, first_of, single_words, starts, take
from bot.chat.language.vocabulary import Vocabulary
from bot.crops.find import is_plural
from bot.services.journal.note import Action, Container, Note, Unit

_CM_PER_INCH, _CM_PER_METRE = 2.54, 100.0  # exact by definition
_FRACTIONS = {"1/2": 0.5, "1/4": 0.25, "3/4": 0.75, "1/3": 1 / 3, "2/3": 2 / 3}
_THOUSANDS_N = 3


@dataclass(frozen=True, slots=True)
class Counted:
    """amount in unit; count of plants; share of the batch; containers of a kind with so many cells; length_cm.

    sure: False when a number is left over, or could be read in two ways.
    """

    amount: float | None = None
    unit: Unit = Unit.NONE
    count: int | None = None
    share: float | None = None
    containers: float | None = None
    container: Container | None = None
    cells: int | None = None
    length_cm: float | None = None
    sure: bool = True


def counted(said: Sequence[Token], words: Vocabulary) -> Counted:
    """Everything that is counted in the clause; the numbers and their units are taken."""
    _join_fractions(said, words)
    _take_wholes(said, words)
    found = _lengths(said, words, Counted())
    found = _cells(said, words, found)
    found = _containers(said, words, found)
    found = _amounts(said, words, found)
    return _plants(said, words, found)


def _join_fractions(said: Sequence[Token], words: Vocabulary) -> None:
    """1 1/2, one and a half, half a, three quarters: one number each."""
    for index, token in enumerate(said):
        if token.taken:
            continue
        part = next(((at, share) for share, phrases in words.fractions if (at := starts(said, index, phrases))), None)
        if part is not None:  # which may begin with a number, "three quarters"
            joint = index - 1 if index > 1 and starts(said, index - 1, words.linking) else 0
            joint = 0 if is_unit(said, part[0][-1] + 1, words) else joint  # "a bag and a quarter kilo"
            if not joint or not _with_part(said, joint, (joint, *part[0]), part[1], words):
                _add(said, index, *part, words)
            continue
        if token.value is not None:
            continue
        if (half := starts(said, index, words.and_half)) and _with_part(said, index, half, 0.5, words):
            continue
        after_number = index > 0 and said[index - 1].value is not None
        half = (starts(said, index, words.and_half) if after_number else ()) or starts(said, index, words.half)
        if half:
            _add(said, index, half, 0.5, words)
        elif token.raw in _FRACTIONS:
            _add(said, index, (index,), _FRACTIONS[token.raw], words)


def _with_part(said: Sequence[Token], index: int, part: Indices, share: float, words: Vocabulary) -> bool:
    """ "2 kilos and a half", "a kilo and a quarter", "kilo and a half" (where a language has no article): the number then
    stands before its unit."""
    if not index or said[index - 1].value is not None or not is_unit(said, index - 1, words):
        return False
    number = said[index - 2] if index > 1 else None
    if number is not None and number.value is None and starts(said, index - 2, words.articles) == (index - 2,):
        number.value = 1 + share
    elif number is not None and number.value is not None and not number.taken:
        number.value += share
    else:
        unit, last = said[index - 1], said[index]
        last.word, last.raw, unit.word, unit.raw, unit.value = unit.word, unit.raw, last.word, last.raw, 1 + share
        take(said, part[1:], "fraction")
        return True
    take(said, part, "fraction")
    return True


def _add(said: Sequence[Token], index: int, at: Indices, part: float, words: Vocabulary) -> None:
    """The part joins the number before it, or becomes one."""
    before = said[index - 1] if index else None
    whole = before is not None and before.value is not None and not before.taken and before.value.is_integer()
    take(said, at, "fraction")
    last = said[at[-1]]
    last.taken, last.value = None, part
    if whole and before is not None and before.value is not None:
        times = words.times.get((before.raw.casefold().split()[-1],))  # "a dozen and a half"
        before.taken, last.value = "fraction", before.value + part * (times or 1)


def _take_wholes(said: Sequence[Token], words: Vocabulary) -> None:
    """Of "5 out of the 6" the 6."""
    for index, token in enumerate(said):
        joint = starts(said, index + 1, words.whence) if _free_number(token) else ()
        end = joint[-1] + 1 if joint else 0
        if joint and end < len(said) and said[end].value is None and said[end].word in words.bounds:
            end += 1
        if joint and end < len(said) and _free_number(said[end]):
            take(said, (*joint, end), "whole")


def _lengths(said: Sequence[Token], words: Vocabulary, found: Counted) -> Counted:
    for index, factor, phrases in (
        (n, factor, phrases)
        for n, token in enumerate(said)
        for factor, phrases in (
            (1.0, words.units[Unit.CM]),
            (_CM_PER_INCH, (*words.inches, ('"',))),
            (_CM_PER_INCH * 12, words.feet),
            (_CM_PER_METRE, words.metres),
        )
        if _free_number(token) or starts(said, n, words.articles) == (n,)
    ):
        if at := starts(said, index + 1, phrases):
            value = said[index].value or 1.0
            take(said, (index, *at), "length")
            more = said[at[-1] + 1] if factor == _CM_PER_METRE and at[-1] + 1 < len(said) else None
            if more is not None and more.raw.isdecimal() and len(more.raw) == 2:  # "1 m 10"
                value, more.taken = value + float(more.raw) / _CM_PER_METRE, "length"
            found = replace(found, length_cm=value * factor)
    return found


def _cells(said: Sequence[Token], words: Vocabulary, found: Counted) -> Counted:
    """24 cells, 24-cell trays, trays of 24, 2 x 24."""
    for index, token in enumerate(said):
        if not _free_number(token) or not (token.value or 0.0).is_integer():
            continue
        after = starts(said, index + 1, words.cells)
        rows = (*words.containers[Container.TRAY], *words.containers[Container.ROW])
        of = index > 1 and bool(starts(said, index - 2, rows)) and said[index - 1].word in words.counting
        times = index > 1 and said[index - 1].word in ("x", "×") and _free_number(said[index - 2])
        if times and not any(first_of(said, phrases) for phrases in words.containers.values()):
            take(said, (index - 2, index - 1, index), "product")
            return replace(found, count=int((said[index - 2].value or 0.0) * (token.value or 0.0)))
        if after and not (of or times or _of_trays(said, words)):  # "30 modules of beetroot"
            take(said, (index, *after), "cells")
            return replace(found, count=int(token.value or 0))
        if after or of or times:
            take(said, (index, *(at for at in after if said[at].word not in _singles(words))), "cells")
            return replace(found, cells=int(token.value or 0))
    return found


def _of_trays(said: Sequence[Token], words: Vocabulary) -> bool:
    return any(first_of(said, phrases) for phrases in words.containers.values())


def _singles(words: Vocabulary) -> frozenset[str]:
    """Words of trays, which must stay free to be counted even within "cell trays"."""
    return single_words(words.containers[Container.TRAY])


def _containers(said: Sequence[Token], words: Vocabulary, found: Counted) -> Counted:
    for kind, phrases in words.containers.items():
        at = first_of(said, phrases)
        if not at:
            continue
        number = _before(said, at[0], words)
        take(said, at, "container")
        return replace(found, container=kind, containers=1.0 if number is None else number)
    return found


def _before(said: Sequence[Token], index: int, words: Vocabulary) -> float | None:
    """The number up to four words before, taken: "2 big seed trays", "2 x 24 cells"; an article is one."""
    for at in range(index - 1, max(-1, index - 5), -1):
        token = said[at]
        if _free_number(token):
            token.taken = "container"
            return token.value
        if token.parts or (token.taken and token.taken not in ("cells", "fraction")):
            return None
    return 1.0 if index and starts(said, index - 1, words.articles) else None


def _amounts(said: Sequence[Token], words: Vocabulary, found: Counted) -> Counted:
    """A number or an article before a unit; pounds and ounces together become pounds."""
    end = -1  # of the amount before
    for index, token in enumerate(said):
        article, alone = starts(said, index, words.articles), _one_alone(said, index, words)
        if not _free_number(token) and not article and not alone:
            continue
        start = index if alone else (article or (index,))[-1] + 1
        unit, at = _unit(said, start, words.units)
        if unit is Unit.NONE and starts(said, start, words.side):  # "a big bunch"
            unit, at = _unit(said, start + 1, words.units)
        joined = end == index or (end == index - 1 and bool(starts(said, end, words.linking)))
        goes_on = joined and found.unit is Unit.KG
        if unit is Unit.NONE and (tens := starts(said, index + 1, words.decagrams)):
            take(said, (index, *tens), "amount")
            grams = (token.value or 0.0) * 10
            found = _with_grams(found, grams) if goes_on else replace(found, amount=grams, unit=Unit.G)
        elif unit is Unit.NONE and end == index and goes_on and token.value is not None:
            found = replace(found, sure=False)  # in Polish, "a kilo twenty" is 1.2 kg
        if unit is Unit.NONE:
            continue
        value, sure = (1.0, True) if token.value is None else _value(token, unit)
        take(said, (index, *at), "amount")
        end = at[-1] + 1
        if unit is Unit.PIECE:
            found = replace(found, count=int(value), sure=found.sure and sure and value.is_integer())
        elif found.unit is Unit.LB and unit is Unit.OZ and found.amount is not None:
            found = replace(found, amount=found.amount + value / 16)
        elif found.unit is Unit.KG and unit is Unit.G and found.amount is not None:
            found = _with_grams(found, value)
        else:
            value += _grams_after(said, at[-1] + 1, unit, words)
            found = replace(found, amount=value, unit=unit, sure=found.sure and sure and found.amount is None)
    return found


def _grams_after(said: Sequence[Token], index: int, unit: Unit, words: Vocabulary) -> float:
    """The kilograms of the grams right after whole ones, "1 kg 200"."""
    if unit is not Unit.KG or index >= len(said) or not _free_number(said[index]) or is_unit(said, index + 1, words):
        return 0.0
    if not said[index].raw.isdecimal() or len(said[index].raw) != _THOUSANDS_N:
        return 0.0
    take(said, (index,), "amount")
    return (said[index].value or 0.0) / 1000


def _one_alone(said: Sequence[Token], index: int, words: Vocabulary) -> bool:
    """Whether a measure stands there that counts one of it by itself, in languages without an article."""
    return not (index and said[index - 1].value is not None) and bool(starts(said, index, words.alone))


def _with_grams(found: Counted, grams: float) -> Counted:
    """Of "1 kg 200 g"."""
    return replace(found, amount=(found.amount or 0.0) + grams / 1000)


def _unit(said: Sequence[Token], start: int, units: Mapping[Unit, Sequence[Phrase]]) -> tuple[Unit, Indices]:
    for unit, phrases in units.items():
        if at := starts(said, start, phrases):
            return unit, at
    return Unit.NONE, ()


def _value(token: Token, unit: Unit) -> tuple[float, bool]:
    """The number, and whether it can be read in one way only: "1,200 g" is either a little or much."""
    decimals = token.raw.replace(",", ".").partition(".")[2]
    if len(decimals) == _THOUSANDS_N and unit in (Unit.G, Unit.OZ, Unit.PIECE):
        return (token.value or 0.0) * 1000, False
    return token.value or 0.0, len(decimals) != _THOUSANDS_N


def _plants(said: Sequence[Token], words: Vocabulary, found: Counted) -> Counted:
    """The first number left counts plants, one below 1 is a share; any more make the whole doubtful."""
    for index, token in enumerate(said):  # "a packet" says nothing of how many
        if _free_number(token) and (at := starts(said, index + 1, words.vague)):
            take(said, (index, *at), "vague")
    left = [index for index, token in enumerate(said) if _free_number(token)]
    if not left and found.count is None and first_of(said, words.every):
        return replace(found, share=1.0)
    if not left and found == Counted() and _one_of_a_crop(said, words):
        return replace(found, count=1)
    if not left:
        return found
    value = said[left[0]].value or 0.0
    take(said, left, "number")
    sure = found.sure and len(left) == 1 and found.count is None and not said[left[0]].signed
    if 0.0 < value < 1.0:
        return replace(found, share=value, sure=sure)
    count = int(value) if value.is_integer() and value > 0 else None
    return replace(found, count=found.count or count, sure=sure and count is not None)


def _one_of_a_crop(said: Sequence[Token], words: Vocabulary) -> bool:
    """ "A lettuce", not "a lettuces" or "a row of lettuce"."""
    return any(
        starts(said, n, words.articles) == (n,) and after.taken == "crop" and not is_plural(after.word)
        for n, after in enumerate(said[1:])
    )


def _free_number(token: Token) -> bool:
    return token.value is not None and not token.taken


_LOW_C, _HIGH_C = -40.0, 60.0
_METRES = (("m",), ("mm",), ("ft",))
_STRANGE_N = 2  # words that have no place beside a reading


def reading(
    said: Sequence[Token], known: Known, words: Vocabulary, language: str, today: date, text: str
) -> Note | None:
    """The reading, or None when the sentence is none."""
    if any(token.word in ("%", "£", "€", "$") for token in said):
        return None
    hits = things.named(said, known.thermometers, words, "thermometer")
    spoken = bool(first_of(said, words.thermometer))
    here = things.named(said, {place.id: place.name for place in known.places}, words, "place")
    here += things.places(said, known, words)
    day = past_day(said, text, language, today)
    found = _number(said, words, named=bool(hits) or spoken or _measured(here, known))
    alone = all(token.taken or token.parts or token.word in ("c", "°") for token in said)  # which is answered
    if found is None or not (known.thermometers or spoken or alone):
        return None
    value_c, sure = found
    if not _LOW_C <= value_c <= _HIGH_C or _strange(said, words) > _STRANGE_N:
        return None
    place_ids = {id_ for hit in here for id_ in hit.ids}
    standing = [id_ for id_ in known.thermometers if known.standing.get(id_) in place_ids]
    ids = tuple(dict.fromkeys([id_ for hit in hits for id_ in hit.ids] or standing))
    return Note(
        Action.READING,
        text,
        day.on,
        thermometers=ids,
        amount=value_c,
        unit=Unit.CELSIUS,
        evening_on=day.evening_on,
        wrong_day=day.wrong,
        sure=day.sure and sure and not (place_ids and not ids),
    )


def _measured(here: Sequence[things.Hit], known: Known) -> bool:
    """Whether a thermometer stands in one of these places."""
    return any(place in known.standing.values() for hit in here for place in hit.ids)


def _number(said: Sequence[Token], words: Vocabulary, *, named: bool) -> tuple[float, bool] | None:
    """The one number that is a temperature, degrees C; not sure when others are left."""
    measures = [phrase for phrases in words.units.values() for phrase in phrases if phrase not in words.degrees]
    numbers = [
        index
        for index, token in enumerate(said)
        if token.value is not None and not token.taken and not starts(said, index + 1, (*_METRES, *measures))
    ]
    with_unit = [index for index in numbers if starts(said, index + 1, (*words.degrees, *words.fahrenheit))]
    signed = [index for index in numbers if said[index].signed]
    chosen = with_unit or signed or (numbers if named else [])
    if not chosen:
        return None
    index = chosen[0]
    value = said[index].value or 0.0
    take(said, (index,), "reading")
    if at := starts(said, index + 1, words.fahrenheit):
        take(said, at, "unit")
        return (value - 32.0) / 1.8, len(numbers) == 1
    take(said, starts(said, index + 1, words.degrees), "unit")
    return value, len(numbers) == 1


def _strange(said: Sequence[Token], words: Vocabulary) -> int:
    known = {phrase[0] for phrases in (words.filler, words.thermometer, words.where) for phrase in phrases}
    return sum(not (token.taken or token.parts or token.word in known) for token in said)
