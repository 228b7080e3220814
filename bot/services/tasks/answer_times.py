"""How people answer: the sooner a group does, the later it need be called, when the forecast is surer; and who never does."""

from __future__ import annotations

import math
from collections import defaultdict
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings.alerts import TIMELINE, Moment
from bot.storage.models import Ask, Garden, Task
from bot.storage.states import AskState, TaskState

__all__ = ["called_from_h", "note", "often_silent", "usual_call_h"]

_HOUR = timedelta(hours=1)
_LATEST_H, _EARLIEST_H = 12.0, dict(TIMELINE)[Moment.CALL] / _HOUR
#: Time to ask others, for them to answer, and for the way there, before the latest safe time.
_AFTER_H = 8.0
#: So many of the newest asks are looked at, and fewer tell of no habit. All four: this project's own choice.
_NEWEST_N, _LEAST_N = 60, 20
_SHARE = 0.9
#: Whoever has let so many walks or warnings of a fortnight pass without a word comes after everybody else: common practice,
#: no source.
_OFTEN, _FOR_A_WHILE = 2, timedelta(days=14)


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


async def often_silent(session: AsyncSession, garden_id: int, now: datetime) -> frozenset[int]:
    """Who has let several walks or warnings pass without a word lately, and has answered nothing since."""
    query = (
        select(Ask, Task)
        .join(Task, Task.id == Ask.task_id)
        .where(Task.garden_id == garden_id, Ask.asked_at > now - _FOR_A_WHILE)
        .order_by(Ask.asked_at, Ask.id)
    )
    passed: dict[int, set[tuple[object, ...]]] = defaultdict(set)
    heard_at: dict[int, datetime] = {}
    rows = [(ask, duty) for ask, duty in await session.execute(query)]
    for ask, _ in rows:
        if ask.answered_at is not None:
            heard_at[ask.member_id] = max(ask.answered_at, heard_at.get(ask.member_id, ask.answered_at))
    for ask, duty in rows:
        silent = ask.state is AskState.SILENT or (ask.state is AskState.ASKED and duty.state is TaskState.MISSED)
        if silent and (ask.member_id not in heard_at or ask.asked_at > heard_at[ask.member_id]):
            passed[ask.member_id].add((duty.warning_id, duty.on, duty.part))
    return frozenset(member_id for member_id, those in passed.items() if len(those) >= _OFTEN)
