"""What members report from the plot, in plain words: kept, asked about, taken back.

The last record put right in one step: "no I meant bed 3", "not 60, 40"; taken back and kept anew, and both shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from bot.chat import rights
from bot.chat.html import lines, safe
from bot.chat.journal import disputes
from bot.chat.journal import journal_words as wording
from bot.chat.language import things
from bot.chat.language.day import past_day
from bot.chat.language.known import Known
from bot.chat.language.numbers import counted
from bot.chat.language.other_letters import heard
from bot.chat.language.phrases import says
from bot.chat.language.replies import Reply, reply
from bot.chat.language.sentence import NOTES_N, understand
from bot.chat.language.tokens import Token, first_of, is_question, take, tokens, with_numbers
from bot.chat.language.vocabulary import Vocabulary, vocabulary
from bot.chat.language.waiting import Waiting
from bot.chat.request import Request
from bot.chat.tasks import answers, keeping_on, reported_done
from bot.crops.find import fold
from bot.i18n import Say
from bot.services import journal
from bot.services.growing import rules
from bot.services.journal import undoing
from bot.services.journal.note import WORDS_N, Action, Note, Unit
from bot.services.journal.outcome import Outcome, Recorded, Refused
from bot.services.look import Look, look, part
from bot.services.weather import garden_forecast, readings


async def note(request: Request, asked: Waiting | None = None, *, guess: bool = False) -> bool:
    """Keep what a message reports; False when it is no report, so that something else may answer.

    guess: also what no verb says, which is asked about.
    asked: a question that waits for words; then only what can be nothing but a report is one, and leaves it open.
    """
    if request.garden is None or request.member is None:
        return False
    outlook = await look(request.session, request.garden, request.source, request.now)
    known = await known_of(request, outlook)
    notes = understand(request.text, request.say, known, request.say.local(request.now).date(), guess=guess)
    if not notes or (asked is not None and not _certainly(notes, asked)):
        return False
    outcomes = await _recorded(request, notes[:NOTES_N], outlook)
    more = request.say.gettext("That was a lot! I stopped there. Please send me the rest in a new message.")
    left = lines([more if len(notes) > NOTES_N else None, asked.still_open if asked else None])
    await answered(request, outcomes, outlook.crops, left)
    if any(isinstance(one, Recorded) for one in outcomes) and _leaves_some(request):
        await answers.still_open(request)
    return True


def _leaves_some(request: Request) -> bool:
    """Whether it may say beside what was done that something was not: "pots 1 and 2 are in but 3 is too heavy"."""
    contrast = says(
        request.say,
        fold(request.text),
        lambda one: one.pgettext("words before what is otherwise", "but|except|apart from|though|only not"),
    )
    return contrast or reply(request.say, request.text) in (Reply.PART, Reply.NO, Reply.LATER, Reply.HANDS)


async def _recorded(request: Request, notes: Sequence[Note], outlook: Look) -> list[Outcome]:
    """What became of each of these notes."""
    assert request.garden is not None and request.member is not None
    return [
        await journal.record(
            request.session,
            request.garden,
            request.member,
            one,
            outlook.crops,
            request.now,
            forecast=outlook.forecast,
            photo_id=request.photo_id,
        )
        for one in notes
    ]


async def overheard(request: Request) -> None:
    """Keep what somebody tells the group, if every note of it is sure and names a place of the garden or a crop that grows
    here; of what is doubtful nothing is said.
    """
    assert request.garden is not None and request.member is not None
    outlook = await look(request.session, request.garden, request.source, request.now)
    known = await known_of(request, outlook)
    notes = understand(request.text, request.say, known, request.say.local(request.now).date())
    grown = {one.crop for one in outlook.garden.plantings}
    if not 0 < len(notes) <= NOTES_N or not all(
        one.sure and one.action is not Action.UNDO and (one.places or (len(one.crops) == 1 and one.crops[0] in grown))
        for one in notes
    ):
        return
    async with request.session.begin_nested() as step:
        outcomes = await _recorded(request, notes, outlook)
        if not all(isinstance(one, Recorded) for one in outcomes):
            await step.rollback()
            return
    await answered(request, outcomes, outlook.crops)


async def known_of(request: Request, outlook: Look) -> Known:
    """What a sentence may name here."""

    async def made() -> Known:
        thermometers = await readings.thermometers(request.session, outlook.garden.id)
        return Known.of(request.say, outlook.garden, outlook.crops, thermometers)

    known = await part(outlook, f"names in {request.say.language}", made)
    return heard(known, request.text, request.say.language)


async def take_back(request: Request) -> None:
    """The last note of theirs, in whatever words that was asked."""
    assert request.member is not None
    crops = await rules.of_garden(request.session, request.member.garden_id)
    await answered(request, [await journal.undo(request.session, request.member, request.now)], crops)


async def last(request: Request) -> None:
    """The last note of theirs, to be taken back before it is written anew."""
    assert request.member is not None
    entry = await journal.last(request.session, request.member, request.now)
    if entry is None:
        await request.reply(request.say.gettext("I have no note from you from these days. Please write it again."))
        return
    text = request.say.gettext(
        "Your last note: “{words}”. Do you want to take it back? Then write what is right.",
        words=safe(entry.words, 100),
    )
    await request.reply(text, [[(request.say.gettext("Undo"), f"undo:{entry.id}")]])


def _certainly(notes: Sequence[Note], asked: Waiting) -> bool:
    """A height alone ("bean bed 30 cm") may describe a place."""
    return all(one.sure for one in notes) and not (
        asked.for_places and all(one.action is Action.MEASURED for one in notes)
    )


async def pressed(request: Request, rest: str) -> None:
    """An answer under a question: "pending id:option"."""
    pending, _, option = rest.partition(":")
    if (
        request.garden is None
        or request.member is None
        or not _number(pending)
        or not _number(option.removeprefix("-"))
    ):
        await rights.stale(request)
        return
    crops = await rules.of_garden(request.session, request.garden.id)
    forecast = await garden_forecast.current(request.session, request.garden, request.source, request.now)
    outcome = await journal.answer(
        request.session,
        request.garden,
        request.member,
        int(pending),
        int(option),
        crops,
        request.now,
        forecast=forecast,
    )
    # A plant that was kept by this answer is among the rules only now; changed figures are told from the old ones.
    await answered(request, [outcome], {**await rules.of_garden(request.session, request.garden.id), **crops})


async def given(request: Request, pending_id: int, change: Mapping[str, Any]) -> None:
    """An answer that no button bears. change: fields of the note, as they are now."""
    if request.garden is None or request.member is None:
        await rights.stale(request)
        return
    crops = await rules.of_garden(request.session, request.garden.id)
    outcome = await journal.answer(
        request.session, request.garden, request.member, pending_id, 0, crops, request.now, change=change
    )
    await answered(request, [outcome], crops)


async def undo(request: Request, rest: str) -> None:
    """Undo under what was kept; pressed twice, it counts once."""
    if request.garden is None or request.member is None or not _number(rest):
        await rights.stale(request)
        return
    entry = await undoing.entry(request.session, int(rest) if len(rest) < 10 else None)
    if entry is not None and entry.garden_id == request.garden.id and entry.member_id != request.member.id:
        await disputes.ask(request, entry)
        return
    crops = await rules.of_garden(request.session, request.garden.id)
    await answered(request, [await journal.undo(request.session, request.member, request.now, int(rest))], crops)


async def answered(
    request: Request, outcomes: Sequence[Outcome], crops: wording.Rules, still_open: str | None = None
) -> None:
    """What was kept, with what it answers of what people were asked for; taken back, that is open again."""
    replies = wording.replies(request.say, crops, outcomes, await keeping_on.of_reports(request, outcomes))
    for n, (text, buttons) in enumerate(replies, 1):
        await request.reply(lines([text, still_open if n == len(replies) else None]), buttons)
    if request.addressed:
        await reported_done.of_notes(request, outcomes)


def _number(text: str) -> bool:
    return text.isdecimal() and len(text) < 12


#: How many words put something right, and for how long after it was written without saying that it was meant otherwise.
_WORDS_N, _SOON = 14, timedelta(minutes=30)
_OF_COUNTS = frozenset({Action.SOWED, Action.POTTED_ON, Action.PLANTED_OUT, Action.LOST, Action.MOVED, Action.COVERED})


async def corrected(request: Request, *, said_so: bool) -> bool:
    """Whether the message put the writer's last record right. said_so: it says that it was meant otherwise; else a plain
    "not 60, 40" does so only right after the record.
    """
    garden, member = request.garden, request.member
    if garden is None or member is None or len(request.text.split()) > _WORDS_N or is_question(request.text):
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
