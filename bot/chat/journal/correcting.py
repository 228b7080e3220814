"""The last record put right in one step: "no I meant bed 3", "not 60, 40"; taken back and kept anew, and both shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from bot.chat.journal.note import answered, known_of
from bot.chat.language import things, understand
from bot.chat.language.day import past_day
from bot.chat.language.known import Known
from bot.chat.language.numbers import counted
from bot.chat.language.tokens import Token, first_of, take, tokens, with_numbers
from bot.chat.language.vocabulary import Vocabulary, vocabulary
from bot.chat.request import Request
from bot.i18n import Say
from bot.services import journal
from bot.services.journal.note import WORDS_N, Action, Note, Unit
from bot.services.journal.outcome import Recorded, Refused
from bot.services.look import look

__all__ = ["corrected"]

#: How many words put something right, and for how long after it was written without saying that it was meant otherwise.
_WORDS_N, _SOON = 14, timedelta(minutes=30)
_OF_COUNTS = frozenset({Action.SOWED, Action.POTTED_ON, Action.PLANTED_OUT, Action.LOST, Action.MOVED, Action.COVERED})


async def corrected(request: Request, *, said_so: bool) -> bool:
    """Whether the message put the writer's last record right. said_so: it says that it was meant otherwise; else a plain
    "not 60, 40" does so only right after the record.
    """
    garden, member = request.garden, request.member
    if garden is None or member is None or len(request.text.split()) > _WORDS_N or "?" in request.text:
        return False
    entry = await journal.last(request.session, member, request.now)
    if entry is None or (not said_so and request.now - entry.written_at > _SOON):
        return False
    seen = await look(request.session, garden, request.source, request.now)
    known = await known_of(request, seen)
    first, *later = entry.words.split("\n")
    notes = understand(first, request.say, known, request.say.local(entry.written_at).date())
    if len(notes) != 1:
        return False
    note: Note | None = notes[0]
    today = request.say.local(request.now).date()
    for each in (*later, request.text):
        note = _put_right(note, each, request.say, known, today) if note is not None else None
    if note is None:
        return False
    note = replace(note, words=f"{entry.words}\n{request.text}"[:WORDS_N])
    async with request.session.begin_nested() as step:
        undone = await journal.undo(request.session, member, request.now, entry.id)
        made = await journal.record(
            request.session, garden, member, note, seen.crops, request.now, forecast=seen.forecast
        )
        if isinstance(undone, Refused) or not isinstance(made, Recorded):
            await step.rollback()  # what would be asked about first leaves the record as it was
            return False
    await answered(request, [undone, made], seen.crops)
    return True


def _put_right(note: Note, text: str, say: Say, known: Known, today: date) -> Note | None:
    """The note with what the correction names in its place; None where it names nothing that fits."""
    words = vocabulary(say.language)
    said = _without_denied(with_numbers(tokens(text), words.numbers, words.minus, words.tens, words.times), words)
    places = things.named(said, {place.id: place.name for place in known.places}, words, "place", known)
    crops = [*things.crops(said, known), *things.declined_crops(said, known)]
    places += things.places(said, known, words)
    changed = note
    if len(places) == 1 and len(places[0].ids) == 1:
        changed = replace(changed, places=places[0].ids)
    elif places:
        return None
    if len(crops) == 1 and crops[0].crops:
        changed = replace(changed, crops=crops[0].crops, beside="", plant="")
    elif crops:
        return None
    day = past_day(said, text, say.language, today)
    if day.on < today and not day.wrong:
        changed = replace(changed, done_on=day.on)
    numbers = counted(said, words)
    if not numbers.sure:
        return None
    if numbers.amount is not None:
        changed = replace(changed, amount=numbers.amount, unit=numbers.unit)
    elif numbers.count is not None and note.action in _OF_COUNTS and note.amount is None:
        changed = replace(changed, count=numbers.count, share=None, containers=None, container=None, cells=None)
    elif numbers.count is not None and note.action is Action.HARVESTED:
        unit = note.unit if note.unit is not Unit.NONE else Unit.PIECE
        changed = replace(changed, amount=float(numbers.count), unit=unit)
    return replace(changed, sure=True) if changed != note else None


def _without_denied(said: list[Token], words: Vocabulary) -> Sequence[Token]:
    """Without what it was not: "40 not 60", "not 60, 40", "no, it was bed 3 not bed 2"."""
    at = 0
    while start := first_of(said[at:], words.denying):
        first, after = at + start[0], at + start[-1] + 1
        ends = (n for n in range(after, len(said)) if said[n].parts or first_of(said[n : n + 1], words.turning))
        at = next(ends, len(said))
        if at == len(said) and not first:  # "not 60 40": one number, then the other
            at = next((n + 1 for n in range(after, len(said)) if said[n].value is not None), len(said))
        take(said, range(first, at), "denied")
    return said
