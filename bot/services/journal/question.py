"""A note that is not clear waits as a row until one of its buttons is pressed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

from sqlalchemy import bindparam, delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Cover
from bot.services.journal.note import Note, from_row, to_row
from bot.services.journal.outcome import Answer, Question, QuestionKind
from bot.services.journal.scene import Scene
from bot.storage.journal.note_rows import PendingNote
from bot.storage.models import Member

_WAITS = timedelta(days=2)
#: In place of a number: all of those that may be meant.
ALL = 0


async def ask(scene: Scene, note: Note, kind: QuestionKind, options: Sequence[Answer]) -> Question:
    """Keep the note and its possible answers; the member's old questions go."""
    session, member = scene.session, scene.member
    old = PendingNote.asked_at < scene.now - _WAITS
    await session.execute(delete(PendingNote).where(PendingNote.member_id == member.id, old))
    kept = {"note": to_row(note), "kind": kind.value, "options": list(options), "photo_id": scene.photo_id}
    row = PendingNote(garden_id=scene.row.id, member_id=member.id, note=kept, asked_at=scene.now)
    session.add(row)
    await session.flush()
    today = scene.now.astimezone(scene.row.tz).date()
    return Question(kind, row.id, note, tuple(options), scene.garden, today)


async def which_place(scene: Scene, note: Note, place_ids: Sequence[int]) -> Question:
    """One of these, or all of them."""
    return await ask(scene, note, QuestionKind.PLACE, [*place_ids, ALL] if len(place_ids) > 1 else place_ids)


async def asked_last(session: AsyncSession, member: Member, since_at: datetime) -> PendingNote | None:
    """The member's latest question that still waits, asked since then."""
    found: PendingNote | None = await session.scalar(_asked_last(), {"member_id": member.id, "since_at": since_at})
    return found


@cache
def _asked_last() -> Any:
    lately = PendingNote.asked_at >= bindparam("since_at")
    query = select(PendingNote).where(PendingNote.member_id == bindparam("member_id"), lately)
    return query.order_by(PendingNote.id.desc()).limit(1)


async def answered(
    session: AsyncSession,
    member: Member,
    pending_id: int,
    option: int,
    now: datetime,
    change: Mapping[str, Any] | None = None,
) -> tuple[Note, str | None, bool] | None:
    """(the note with the answer, its photo, whether the answer was one of the options), once; None when it is gone.

    Only whoever was asked answers.
    """
    row = await session.get(PendingNote, pending_id, with_for_update=True)
    if row is None or row.member_id != member.id or row.asked_at < now - _WAITS:
        return None
    kept: dict[str, Any] = row.note
    await session.delete(row)
    await session.flush()
    note, options = from_row(kept["note"]), kept["options"]
    if change is not None:
        return replace(note, **change), kept["photo_id"], True
    if not 0 <= option < len(options):
        return note, kept["photo_id"], False
    kind = QuestionKind(kept["kind"])
    return _with(note, kind, options[option], options), kept["photo_id"], True


def _with(note: Note, kind: QuestionKind, answer: Any, options: Sequence[Any]) -> Note:
    if kind in (
        QuestionKind.CONFIRM,
        QuestionKind.VARIETY,
        QuestionKind.READING,
        QuestionKind.MUCH,
        QuestionKind.PLANT,
    ):
        return replace(note, sure=True, believed=True)
    if kind is QuestionKind.NIGHT:
        return replace(note, evening_on=date.fromisoformat(answer))
    if kind is QuestionKind.CROP:
        return replace(note, share=1.0) if answer == "all" else replace(note, crops=(answer,))
    if kind is QuestionKind.PLANTING:
        return replace(note, plantings=tuple(one for one in options if one) if answer == ALL else (answer,))
    if kind is QuestionKind.PLACE:
        return replace(note, share=1.0) if answer == ALL else replace(note, places=(answer,))
    if kind is QuestionKind.HOUSE:
        return replace(note, into=(answer,))
    if kind is QuestionKind.COUNT:
        return replace(note, count=answer, share=None)
    if kind is QuestionKind.COVER:
        return replace(note, cover=Cover(answer))
    return replace(note, thermometers=(answer,))
