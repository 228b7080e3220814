"""Why what sounds like a report is none: nobody says to what it was done, or it is not so."""

from __future__ import annotations

from enum import Enum

from bot.chat.language import things
from bot.chat.language.known import Known
from bot.chat.language.statements import take_harmless
from bot.chat.language.tokens import first_of, sentences, tokens, with_numbers
from bot.chat.language.verbs import cause, deeds
from bot.chat.language.vocabulary import vocabulary
from bot.i18n import Say

__all__ = ["Half", "half_said"]

_READ_N = 300  # signs
_FEW_N = 12  # words of a note
_CAUSE_N = 3  # words of a cry such as "slugs!"


class Half(Enum):
    TO_WHAT = "to what"
    NOT_SO = "not so"  # not done yet, not here, another year, or only heard


def half_said(text: str, say: Say, known: Known) -> Half | None:
    """Why what is told as done, or as taken by a pest, is no note: nobody says to what or where, or it is not so."""
    words = vocabulary(say.language)
    for sentence in sentences(text[:_READ_N]):
        said = with_numbers(tokens(sentence), words.numbers, words.minus, words.tens, words.times)
        things.take_names(said, known)
        take_harmless(said, words)
        if first_of(said, (*words.blocked, *words.elsewhen, *words.elsewhere, *words.doubted)):
            return Half.NOT_SO if deeds(said, words) else None
        if len(said) <= _FEW_N and (deeds(said, words) or (cause(said, words) and len(said) <= _CAUSE_N)):
            return Half.TO_WHAT
    return None
