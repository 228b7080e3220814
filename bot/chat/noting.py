"""What members report from the plot, in plain words: kept, asked about, taken back."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat import disputes, keeping, rights
from bot.chat.turn import Turn
from bot.chat.understand import Known, understand
from bot.chat.wording import journal as wording
from bot.services import journal, readings, rules, weather
from bot.services.journal.outcome import Outcome
from bot.storage import gardens
from bot.storage.models import Entry

__all__ = ["note", "pressed", "undo"]


async def note(turn: Turn) -> bool:
    """Keep what a message reports; False when it is no report, so that something else may answer."""
    if turn.garden is None or turn.member is None:
        return False
    crops = await rules.of_garden(turn.session, turn.garden.id)
    snapshot = await gardens.snapshot(turn.session, turn.garden)
    thermometers = await readings.thermometers(turn.session, turn.garden.id)
    known = Known.of(turn.say, snapshot, crops, thermometers)
    notes = understand(turn.text, turn.say, known, turn.say.local(turn.now).date())
    if not notes:
        return False
    forecast = await weather.current(turn.session, turn.garden, turn.source, turn.now)
    outcomes = [
        await journal.record(
            turn.session, turn.garden, turn.member, one, crops, turn.now, forecast=forecast, photo_id=turn.photo_id
        )
        for one in notes
    ]
    await _answer(turn, outcomes, crops)
    return True


async def pressed(turn: Turn, rest: str) -> None:
    """An answer under a question: "pending id:option"."""
    pending, _, option = rest.partition(":")
    if turn.garden is None or turn.member is None or not _number(pending) or not _number(option.removeprefix("-")):
        await rights.stale(turn)
        return
    crops = await rules.of_garden(turn.session, turn.garden.id)
    forecast = await weather.current(turn.session, turn.garden, turn.source, turn.now)
    outcome = await journal.answer(
        turn.session, turn.garden, turn.member, int(pending), int(option), crops, turn.now, forecast=forecast
    )
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


async def _answer(turn: Turn, outcomes: Sequence[Outcome], crops: wording.Rules) -> None:
    """What was kept, with what it answers of what people were asked for; taken back, that is open again."""
    more = await keeping.of_reports(turn, outcomes)
    for text, buttons in wording.replies(turn.say, crops, outcomes, more):
        await turn.reply(text, buttons)


def _number(text: str) -> bool:
    return text.isdecimal() and len(text) < 12
