"""What members report from the plot, in plain words: kept, asked about, taken back."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat import rights
from bot.chat.html import lines
from bot.chat.journal import disputes
from bot.chat.journal import journal_words as wording
from bot.chat.language import Known, understand
from bot.chat.language.waiting import Waiting
from bot.chat.request import Turn
from bot.chat.tasks import keeping_on
from bot.services import journal
from bot.services.growing import rules
from bot.services.journal.note import Action, Note
from bot.services.journal.outcome import Outcome
from bot.services.look import look
from bot.services.weather import garden_forecast, readings
from bot.storage.models import Entry

__all__ = ["counted", "note", "pressed", "undo"]


async def note(turn: Turn, asked: Waiting | None = None) -> bool:
    """Keep what a message reports; False when it is no report, so that something else may answer.

    asked: a question that waits for words; then only what can be nothing but a report is one, and leaves it open.
    """
    if turn.garden is None or turn.member is None:
        return False
    outlook = await look(turn.session, turn.garden, turn.source, turn.now)
    crops, forecast = outlook.crops, outlook.forecast
    thermometers = await readings.thermometers(turn.session, turn.garden.id)
    known = Known.of(turn.say, outlook.garden, crops, thermometers)
    notes = understand(turn.text, turn.say, known, turn.say.local(turn.now).date())
    if not notes or (asked is not None and not _certainly(notes, asked)):
        return False
    outcomes = [
        await journal.record(
            turn.session, turn.garden, turn.member, one, crops, turn.now, forecast=forecast, photo_id=turn.photo_id
        )
        for one in notes
    ]
    await _answer(turn, outcomes, crops, asked.still_open if asked else None)
    return True


def _certainly(notes: Sequence[Note], asked: Waiting) -> bool:
    """A height alone ("bean bed 30 cm") may describe a place."""
    return all(one.sure for one in notes) and not (
        asked.for_places and all(one.action is Action.MEASURED for one in notes)
    )


async def pressed(turn: Turn, rest: str) -> None:
    """An answer under a question: "pending id:option"."""
    pending, _, option = rest.partition(":")
    if turn.garden is None or turn.member is None or not _number(pending) or not _number(option.removeprefix("-")):
        await rights.stale(turn)
        return
    crops = await rules.of_garden(turn.session, turn.garden.id)
    forecast = await garden_forecast.current(turn.session, turn.garden, turn.source, turn.now)
    outcome = await journal.answer(
        turn.session, turn.garden, turn.member, int(pending), int(option), crops, turn.now, forecast=forecast
    )
    await _answer(turn, [outcome], crops)


async def counted(turn: Turn, pending_id: int, count: int) -> None:
    """A number written in answer to the question how many."""
    if turn.garden is None or turn.member is None:
        await rights.stale(turn)
        return
    crops = await rules.of_garden(turn.session, turn.garden.id)
    outcome = await journal.answer(turn.session, turn.garden, turn.member, pending_id, 0, crops, turn.now, count=count)
    await _answer(turn, [outcome], crops)


async def undo(turn: Turn, rest: str) -> None:
    """Undo under what was kept; pressed twice, it counts once."""
    if turn.garden is None or turn.member is None or not _number(rest):
        await rights.stale(turn)
        return
    entry = await turn.session.get(Entry, int(rest)) if len(rest) < 10 else None
    if entry is not None and entry.garden_id == turn.garden.id and entry.member_id != turn.member.id:
        await disputes.ask(turn, entry)
        return
    crops = await rules.of_garden(turn.session, turn.garden.id)
    await _answer(turn, [await journal.undo(turn.session, turn.member, turn.now, int(rest))], crops)


async def _answer(turn: Turn, outcomes: Sequence[Outcome], crops: wording.Rules, still_open: str | None = None) -> None:
    """What was kept, with what it answers of what people were asked for; taken back, that is open again."""
    replies = wording.replies(turn.say, crops, outcomes, await keeping_on.of_reports(turn, outcomes))
    for n, (text, buttons) in enumerate(replies, 1):
        await turn.reply(lines([text, still_open if n == len(replies) else None]), buttons)


def _number(text: str) -> bool:
    return text.isdecimal() and len(text) < 12
