"""How long a group takes to answer: the sooner it does, the later it need be called, when the forecast is surer."""

from __future__ import annotations

import math
from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings.alerts import TIMELINE, Moment
from bot.storage.models import Ask, Garden, Task
from bot.storage.states import AskState

__all__ = ["called_from_h", "note", "usual_call_h"]

_HOUR = timedelta(hours=1)
_LATEST_H, _EARLIEST_H = 12.0, dict(TIMELINE)[Moment.CALL] / _HOUR
#: Time for reminder, next person and the way there, before the latest safe time.
_AFTER_H = dict(TIMELINE)[Moment.REMIND] / _HOUR + 2.0
#: So many of the newest asks are looked at, and fewer tell of no habit. All four: this project's own choice.
_NEWEST_N, _LEAST_N = 60, 20
_SHARE = 0.9


async def note(session: AsyncSession) -> None:
    """Bring every garden's hour of calling up to what its people have shown."""
    for row in (await session.scalars(select(Garden).order_by(Garden.id))).all():
        found_h = await usual_call_h(session, row.id)
        if found_h is None or row.call_h is None or abs(found_h - row.call_h) >= 1.0:
            row.call_h = found_h


async def usual_call_h(session: AsyncSession, garden_id: int) -> float | None:
    """Hours before the latest safe time from which people are called; None for as early as anybody.

    Nine in ten had answered by then; who never did counts as slower than all others.
    """
    query = (
        select(Ask.asked_at, Ask.answered_at)
        .join(Task, Task.id == Ask.task_id)
        .where(
            Task.garden_id == garden_id,
            Task.warning_id.is_not(None),
            Ask.answered_at.is_not(None) | (Ask.state == AskState.SILENT),
        )
        .order_by(Ask.asked_at.desc())
        .limit(_NEWEST_N)
    )
    took_h = sorted(
        math.inf if answered_at is None else (answered_at - asked_at) / _HOUR
        for asked_at, answered_at in await session.execute(query)
    )
    if len(took_h) < _LEAST_N:
        return None
    found_h = called_from_h(took_h[math.ceil(_SHARE * len(took_h)) - 1])
    return found_h if found_h < _EARLIEST_H else None


def called_from_h(answered_h: float | None) -> float:
    """The same where nine in ten answer within so many hours; None where that is not known."""
    return _EARLIEST_H if answered_h is None else min(max(answered_h + _AFTER_H, _LATEST_H), _EARLIEST_H)
