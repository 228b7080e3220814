"""What stands before a message of the sets: a turn that was asked for or agreed to, a question of the bot."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.journal import journal_words as wording
from bot.chat.wire import keyboards
from bot.chat.wire.message import Button, post
from bot.core.garden.snapshot import Cover
from bot.core.tasks.daily_work import Part
from bot.core.warnings.hazards import Hazard, Severity, TaskKind
from bot.crops.find import fold
from bot.i18n import say
from bot.services.growing import rules
from bot.services.journal.note import Action, Note
from bot.services.journal.outcome import QuestionKind
from bot.services.journal.question import ask
from bot.services.journal.scene import Scene
from bot.storage.garden import gardens
from bot.storage.models import Ask, Garden, Member, Place, Task, Warning
from bot.storage.states import AskState, SendState, TaskState, WarningState
from tests.understanding.judging import Line, crops_called

__all__ = ["NOW", "Put", "put"]

#: Tuesday 5 May 2026, 16:00 on the garden's clocks.
NOW = datetime(2026, 5, 5, 15, 0, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Put:
    task_ids: tuple[int, ...] = ()
    accepted: bool | None = None


async def put(session: AsyncSession, row: Garden, member: Member, line: Line) -> Put | None:
    if line["context"] in ("asked", "accepted"):
        return await _turn(session, row, member, line["duty"], accepted=line["context"] == "accepted")
    if line["context"] == "question":
        return await _question(session, row, member, line)
    return Put()


_DUTIES = {TaskKind.COVER: "cover|okry|przykry|nakry", TaskKind.VENT: "open|vent|otw|wietrz", TaskKind.WATER: "water|podl",
           TaskKind.BRING_IN: "bring|carry|wnie|przynie", TaskKind.CLOSE: "clos|shut|zamk|zamyk"}  # fmt: skip


async def _turn(session: AsyncSession, row: Garden, member: Member, duty: str, *, accepted: bool) -> Put | None:
    """A turn that the member was asked for by name, or has agreed to, with the message that asked."""
    kind = next((kind for kind, words in _DUTIES.items() if re.search(words, duty, re.IGNORECASE)), None)
    places = (await session.scalars(select(Place))).all()
    here = [one for one in places if re.search(rf"\b{one.name}\b", duty, re.IGNORECASE)]
    if kind is None or not here:
        return None
    member.lift_kg = 50.0  # the sets are about words, and not about who may lift what
    by_day = kind in (TaskKind.VENT, TaskKind.WATER, TaskKind.CLOSE)
    due_at = datetime(2026, 5, 5, 19, 30, tzinfo=UTC)
    warning = None
    if re.search("tomorrow|jutro", duty):
        due_at = datetime(2026, 5, 6, 8, 0, tzinfo=UTC)
    if not by_day:
        warning = Warning(
            garden_id=row.id, hazard=Hazard.COLD, window_on=due_at.date(), state=WarningState.CALLED,
            severity=next(iter(Severity)), starts_at=due_at, ends_at=due_at + timedelta(hours=12), due_at=due_at,
            probability=0.8, detected_at=NOW, called_at=NOW, announced_at=NOW,
        )  # fmt: skip
        session.add(warning)
        await session.flush()
    tasks = [
        Task(
            garden_id=row.id, warning_id=warning.id if warning else None, on=due_at.date(), place_id=place.id, kind=kind,
            part=None if warning else Part.EVENING if due_at.day == 5 else Part.MORNING, minutes=15,
            cover=Cover.FLEECE if kind is TaskKind.COVER else None, starts_at=NOW, due_at=due_at,
            state=TaskState.ACCEPTED if accepted else TaskState.OPEN,
            crops="chilli" if "chillies" in duty else "potato-maincrop",
        )
        for place in here
    ]  # fmt: skip
    session.add_all(tasks)
    await session.flush()
    state = AskState.ACCEPTED if accepted else AskState.ASKED
    session.add_all(
        Ask(task_id=one.id, member_id=member.id, state=state, asked_at=NOW, answered_at=NOW if accepted else None)
        for one in tasks
    )
    voice = say(member.person.language, row.zone)
    if warning is not None:
        keys = (
            keyboards.taken(voice, [warning.id], whole=True)
            if accepted
            else keyboards.ask(voice, [warning.id], whole=True)
        )
    else:
        data = [("Done", "done"), ("I can't", "no"), ("I'll do it", "yes"), ("Why", "why")]
        keys = [
            [
                (voice.gettext(label), f"walk:{verb}:{tasks[0].id}")
                for label, verb in data
                if not accepted or verb != "yes"
            ]
        ]
    await _posted(session, row, member, duty, keys)
    return Put(tuple(one.id for one in tasks), accepted)


async def _posted(
    session: AsyncSession, row: Garden, member: Member, text: str, keys: Iterable[Iterable[Button]]
) -> None:
    user_id = member.person.user_id
    assert user_id is not None
    sent = await post(
        session,
        key="put:1",
        chat_id=user_id,
        text=text,
        now=NOW,
        buttons=[list(line) for line in keys],
        garden_id=row.id,
    )
    assert sent is not None
    sent.state, sent.message_id = SendState.SENT, 900_000
    await session.flush()


async def _question(session: AsyncSession, row: Garden, member: Member, line: Line) -> Put | None:
    """The bot's own question that is nearest to the one told of; None where it asks none of the kind."""
    crops = await rules.of_garden(session, row.id)
    scene = Scene(session, row, member, await gardens.snapshot(session, row), crops, NOW, None, None)
    voice = say(member.person.language, row.zone)
    asked = _asked(scene, line)
    if asked is None:
        return None
    note, kind, options = asked
    shown = wording.question(voice, crops, await ask(scene, note, kind, options))
    await _posted(session, row, member, *shown)
    return Put()


def _asked(scene: Scene, line: Line) -> tuple[Note, QuestionKind, list[int | str]] | None:
    choices, question = line.get("choices") or [], line["question"]
    today = NOW.date()
    names = {fold(one.name): one.id for one in scene.garden.places}
    names |= {name.replace("bed", "grzadka").replace("pot ", "donica "): id_ for name, id_ in names.items()}
    if not choices:
        if re.search(r"\bkilo|\bkg|pick|zebra", question, re.IGNORECASE):
            return None  # a harvest's weight is never asked for
        if re.search("lost|eaten|died|stra|zjed|zgin|pad", question, re.IGNORECASE):
            batch = next(one for one in scene.garden.plantings if one.crop == "lettuce")
            note = Note(Action.LOST, question, today, crops=("lettuce",), plantings=(batch.id,))
            return note, QuestionKind.COUNT, [24, 18, 12, 6, 1]
        note = Note(Action.SOWED, question, today, crops=("lettuce",), places=(names["bed 2"],))
        return note, QuestionKind.COUNT, [6, 12, 24, 48, 96]
    ids = [names[fold(one)] for one in choices if fold(one) in names]
    if len(ids) == len(choices):
        return Note(Action.SOWED, question, today, crops=("lettuce",), count=6), QuestionKind.PLACE, list(ids)
    if ids and len(ids) == len(choices) - 1:  # and "both"
        batches: list[int | str] = []
        for id_ in ids:
            batch = next(one for one in scene.garden.plantings if one.place_id == id_)
            batches.append(batch.id)
        return Note(Action.FED, question, today), QuestionKind.PLANTING, [*batches, 0]
    if fold(choices[0]) in ("yes", "tak") and len(choices) == 2:
        note = Note(Action.SOWED, question, today, crops=("lettuce",), count=24, places=(names["bed 2"],), sure=False)
        return note, QuestionKind.CONFIRM, ["yes"]
    keys = [
        found
        for one in choices
        if (found := crops_called({"Wczesne": "early potatoes", "Późne": "maincrop potatoes"}.get(one, one)))
    ]
    if len(keys) == len(choices):
        chosen: list[int | str] = [min(found) for found in keys]
        note = Note(Action.SOWED, question, today, crops=tuple(map(str, chosen)), count=12, places=(names["bed 2"],))
        return note, QuestionKind.CROP, chosen
    return None
