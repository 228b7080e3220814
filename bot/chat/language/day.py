"""The day a sentence speaks of, which `spans` reads, among words that mean something else already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from bot.chat.calendar.lines.mistakes import Wrong
from bot.chat.language import spans
from bot.chat.language.spans import Part
from bot.chat.language.spans_past import past
from bot.chat.language.tokens import Token, clear
from bot.i18n import say

__all__ = ["Said", "date_in", "past_day"]


@dataclass(frozen=True, slots=True)
class Said:
    """on: the day. sure: False when it was long ago, or in another year, which may be a slip. wrong: what was written, of
    a day that does not exist, or ISO of one to come. evening_on: of the night that is meant, where that is said.
    """

    on: date
    sure: bool = True
    wrong: str = ""
    evening_on: date | None = None


def past_day(said: Sequence[Token], text: str, language: str, today: date) -> Said:
    """The day on which something was done, today unless the sentence says; its words are taken."""
    try:
        found = past(clear(text), say(language, "UTC"), today, _free(said))
    except Wrong as wrong:
        return Said(today, sure=False, wrong=wrong.value)
    if found is None:
        return Said(today)
    for token in said:
        if token.taken is None and found.start <= token.start < found.end:
            token.taken = "day"
    on = found.first_on
    return Said(on, sure=found.sure and on.year == today.year, evening_on=_evening(found))


def date_in(said: Sequence[Token], text: str, language: str, today: date) -> tuple[int, int] | None:
    """(month, day) of a date in the sentence."""
    try:
        return spans.in_year(clear(text), say(language, "UTC"), today, _free(said))
    except Wrong:
        return None


def _evening(found: spans.Days) -> date | None:
    """Of the night that is meant: a morning's is the one that ends with it; None where only "at night" is said."""
    if found.part is Part.MORNING:
        return found.first_on - timedelta(days=1)
    return found.first_on if found.part is not None and found.named else None


def _free(said: Sequence[Token]) -> spans.Free:
    def free(start: int, end: int) -> bool:
        return not any(token.taken and token.start < end and start < token.end for token in said)

    return free
