"""What members report from the plot, in plain words: kept, asked about, taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bot.chat import rights
from bot.chat.html import lines, safe
from bot.chat.journal import disputes
from bot.chat.journal import journal_words as wording
from bot.chat.language import Known, understand
from bot.chat.language.sentence import NOTES_N
from bot.chat.language.waiting import Waiting
from bot.chat.request import Request
from bot.chat.tasks import keeping_on, picked
from bot.services import journal
from bot.services.growing import rules
from bot.services.journal.note import Action, Note
from bot.services.journal.outcome import Outcome, Recorded
from bot.services.look import Look, look, part
from bot.services.weather import garden_forecast, readings
from bot.storage.models import Entry

__all__ = ["answered", "given", "known_of", "last", "note", "overheard", "pressed", "take_back", "undo"]


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
    return True


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

    return await part(outlook, f"names in {request.say.language}", made)


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
    entry = await request.session.get(Entry, int(rest)) if len(rest) < 10 else None
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
        await picked.of_harvests(request, outcomes)


def _number(text: str) -> bool:
    return text.isdecimal() and len(text) < 12
