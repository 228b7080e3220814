"""What somebody saw of a crop: that it is up, in flower or ready, or that it is not so far yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cache

from bot.chat.language import things
from bot.chat.language.day import past_day
from bot.chat.language.known import Known
from bot.chat.language.openings import in_both
from bot.chat.language.tokens import Indices, Token, copied, first_of, starts, take
from bot.chat.language.vocabulary import Vocabulary
from bot.core.garden.snapshot import Stage
from bot.services.journal.note import Action, Note


def seen(said: Sequence[Token], known: Known, words: Vocabulary, language: str, today: date, text: str) -> list[Note]:
    """A note for each crop that is said to have come so far, or not yet; none when the sentence says neither.

    "The beans are up", "peas in flower in bed 2", "the carrots are not up yet"; no questions, and no plans.
    """
    found = next(((stage, at) for stage, phrases in words.shows.items() if (at := first_of(said, phrases))), None)
    found = found or _right_after(said, known, words)
    if found is None:
        return []
    stage, at = found
    take(said, at, "shows")
    asked = said[0].word in {phrase[0] for phrase in words.asking} or first_of(said, words.shows_not_now)
    not_yet = first_of(said, words.not_yet, free=False)
    take(said, not_yet, "not yet")
    if asked or first_of(said, words.seen_apart, free=False):
        return []
    places = things.named(said, {place.id: place.name for place in known.places}, words, "place", known)
    hits = [*things.crops(said, known), *things.declined_crops(said, known)]
    if not hits:
        return []
    places += things.places(said, known, words)
    none = any(hit.at[0] and said[hit.at[0] - 1].word in _none(language) for hit in hits)  # "no carrots came up"
    not_yet = not_yet or ((-1,) if none else ())
    day = past_day(said, text, language, today)
    ids = tuple(id_ for hit in places for id_ in hit.ids)
    note = Note(
        Action.SEEN, text, day.on, places=ids, stage=stage, not_yet=bool(not_yet), sure=day.sure, wrong_day=day.wrong
    )
    hits = things.with_company(said, hits, known, words)
    # "Ready to harvest the garlic" may be said of oneself.
    theirs = stage is not Stage.READY or any(hit.at[0] < at[0] for hit in hits)
    return [replace(note, crops=hit.crops, beside=hit.beside, sure=note.sure and hit.sure and theirs) for hit in hits]


@cache
def _none(language: str) -> frozenset[str]:
    return in_both(
        language,
        lambda voice: voice.pgettext("words right before a crop of which nothing has come", "no|zero|none|nil"),
    )


def _right_after(said: Sequence[Token], known: Known, words: Vocabulary) -> tuple[Stage, Indices] | None:
    """ "Beetroot's up": right after a crop, and as the last word, or the last before a place or a joint."""
    if not any(first_of(said, phrases) for phrases in words.shows_after.values()):
        return None
    copy = copied(said)
    for hit in things.crops(copy, known):
        for stage, phrases in words.shows_after.items():
            at = starts(copy, hit.at[-1] + 1, phrases)
            after = at[-1] + 1 if at else 0
            if at and (after == len(said) or said[after].parts or starts(said, after, words.where)):
                return stage, at
    return None
