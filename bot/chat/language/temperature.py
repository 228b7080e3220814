"""A reading of a thermometer in plain words: "-1 on the shed thermometer", "minus one", "1,5 in the tunnel"."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.chat.language import things
from bot.chat.language.day import past_day
from bot.chat.language.known import Known
from bot.chat.language.tokens import Token, first_of, starts, take
from bot.chat.language.vocabulary import Vocabulary
from bot.services.journal.note import Action, Note, Unit

__all__ = ["reading"]

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
