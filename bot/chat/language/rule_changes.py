"""A change of a crop rule in plain words: "beans not out before 20 May here"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from bot.chat.language import things
from bot.chat.language.day import date_in
from bot.chat.language.known import Known
from bot.chat.language.misspelt import misspelt_crop
from bot.chat.language.tokens import Token, first_of
from bot.chat.language.vocabulary import Vocabulary
from bot.services.journal.note import Action, Note


def rule_changes(
    said: Sequence[Token], known: Known, words: Vocabulary, language: str, today: date, text: str
) -> list[Note]:
    """A note for each crop whose window's first or last day is changed; none when the sentence changes no rule."""
    before, after = first_of(said, words.rule_before), first_of(said, words.rule_after)
    if not first_of(said, words.rule_not) or not (before or after):
        return []
    window = _window(said, words)
    on = date_in(said, text, language, today)
    if window is None or on is None:
        return []
    month, day = on
    key, value = f"{window}.{'from' if before else 'to'}", f"{month:02}-{day:02}"
    note = Note(Action.RULE, text, today, rule_key=key, rule_value=value)
    hits = things.crops(said, known) or things.declined_crops(said, known) or misspelt_crop(said, known, words)
    hits = things.with_company(said, hits, known, words)
    return [replace(note, crops=hit.crops, beside=hit.beside, sure=hit.sure) for hit in hits]


def _window(said: Sequence[Token], words: Vocabulary) -> str | None:
    """The window's key in the crop's file; sowing is out of doors unless the sentence says."""
    if first_of(said, words.rule_sow):
        if first_of(said, words.rule_under_cover):
            return "sowing.under_cover"
        return "sowing.indoors" if first_of(said, words.rule_indoors) else "sowing.outdoors"
    return "planting.out" if first_of(said, words.rule_out) else None
