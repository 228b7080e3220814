"""Days on which a member is away: kept, their open turns given on, and both taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.turns import answers as turn_answers
from bot.storage import gardens, turns
from bot.storage import warnings as store
from bot.storage.models import Ask, Away, DayTurn, DayTurnAsk, Duty, Member
from bot.storage.states import AskState, DutyState

__all__ = ["Given", "add", "same", "take_back", "to_come", "would_give"]


@dataclass(frozen=True, slots=True)
class Given:
    """What an absence gives on: duties of warnings, and how many of today's walks by turns."""

    asks: tuple[tuple[Ask, Duty], ...]
    walks: tuple[tuple[DayTurnAsk, DayTurn], ...]

    @property
    def count(self) -> int:
        return len(self.asks) + len(self.walks)


async def to_come(session: AsyncSession, member: Member, today: date) -> Sequence[Away]:
    """Absences that are not over, the first before the others."""
    query = select(Away).where(Away.member_id == member.id, Away.to_on >= today)
    return (await session.scalars(query.order_by(Away.from_on, Away.id))).all()


async def same(session: AsyncSession, member: Member, first_on: date, last_on: date) -> Away | None:
    """One that is noted already and covers these days."""
    query = select(Away).where(Away.member_id == member.id, Away.from_on <= first_on, Away.to_on >= last_on)
    return (await session.scalars(query.limit(1))).first()


async def would_give(session: AsyncSession, member: Member, first_on: date, last_on: date, now: datetime) -> Given:
    """What would be given on; nothing is changed."""
    garden = await gardens.by_id(session, member.garden_id)
    assert garden is not None
    asks = [
        (ask, duty)
        for ask, duty in await store.open_asks_of_member(session, member.id)
        if first_on <= duty.due_at.astimezone(garden.tz).date() <= last_on
    ]
    is_today = first_on <= now.astimezone(garden.tz).date() <= last_on
    return Given(tuple(asks), tuple(await turns.live_of_member(session, member.id)) if is_today else ())


async def add(session: AsyncSession, member: Member, first_on: date, last_on: date, now: datetime) -> tuple[Away, int]:
    """Note the absence, both days included; also gives how many open turns were given on because of it."""
    given = await would_give(session, member, first_on, last_on, now)
    kept: dict[str, Any] = {
        "asks": [[ask.id, ask.state.value, duty.state.value] for ask, duty in given.asks],
        "walks": [[ask.id, ask.state.value, turn.state.value] for ask, turn in given.walks],
    }
    row = Away(member_id=member.id, from_on=first_on, to_on=last_on, given_on=kept if given.count else None)
    session.add(row)
    for ask, duty in given.asks:
        ask.state, ask.answered_at, duty.state = AskState.PASSED, now, DutyState.OPEN
    if given.walks:
        await turn_answers.give_on(session, member.id, now)
    await session.flush()
    return row, given.count


async def take_back(session: AsyncSession, member: Member, away_id: int) -> int | None:
    """Forget an absence of this member; what it gave on and nobody has taken is theirs again.

    Returns how many turns; None where there is no such absence any more.
    """
    row = await session.get(Away, away_id)
    if row is None or row.member_id != member.id:
        return None
    kept = row.given_on or {}
    await session.delete(row)
    count = 0
    for id_, was, duty_was in kept.get("asks", ()):
        ask = await session.get(Ask, id_)
        duty = await session.get(Duty, ask.duty_id) if ask is not None else None
        if ask is not None and duty is not None and ask.state is AskState.PASSED and duty.state is DutyState.OPEN:
            ask.state, duty.state, ask.answered_at = AskState(was), DutyState(duty_was), None
            count += 1
    for id_, was, turn_was in kept.get("walks", ()):
        walk = await session.get(DayTurnAsk, id_)
        turn = await session.get(DayTurn, walk.turn_id) if walk is not None else None
        if walk is not None and turn is not None and walk.state is AskState.PASSED and turn.state is DutyState.OPEN:
            walk.state, turn.state, walk.answered_at = AskState(was), DutyState(turn_was), None
            count += 1
    await session.flush()
    return count
