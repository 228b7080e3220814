"""The walks of the days, and who was asked for them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import DayTurn, DayTurnAsk
from bot.storage.states import AskState, DutyState

__all__ = ["KEEPING", "LIVE", "asks_of", "by_id", "last_answer", "live_of_member", "of_days"]

LIVE = (DutyState.OPEN, DutyState.ACCEPTED)
KEEPING = (AskState.ASKED, AskState.ACCEPTED)


async def by_id(session: AsyncSession, turn_id: int) -> DayTurn | None:
    """One walk, held until the transaction ends, so that two answers to it do not cross."""
    return await session.scalar(select(DayTurn).where(DayTurn.id == turn_id).with_for_update())


async def of_days(session: AsyncSession, garden_id: int, first_on: date, last_on: date) -> Sequence[DayTurn]:
    """Every walk of these days that still counts, in order of the day and of the time."""
    query = select(DayTurn).where(
        DayTurn.garden_id == garden_id, DayTurn.on.between(first_on, last_on), DayTurn.state != DutyState.DROPPED
    )
    return (await session.scalars(query.order_by(DayTurn.on, DayTurn.due_at, DayTurn.id))).all()


async def asks_of(session: AsyncSession, turn_ids: Collection[int]) -> Sequence[DayTurnAsk]:
    query = select(DayTurnAsk).where(DayTurnAsk.turn_id.in_(turn_ids))
    return (await session.scalars(query.order_by(DayTurnAsk.asked_at, DayTurnAsk.id))).all()


async def last_answer(session: AsyncSession, garden_id: int) -> datetime | None:
    """When anybody last answered about a walk of this garden."""
    query = select(func.max(DayTurnAsk.answered_at)).join(DayTurn, DayTurn.id == DayTurnAsk.turn_id)
    return await session.scalar(query.where(DayTurn.garden_id == garden_id))


async def live_of_member(session: AsyncSession, member_id: int) -> Sequence[tuple[DayTurnAsk, DayTurn]]:
    """What is a member's and not done yet, the soonest first."""
    rows = await session.execute(
        select(DayTurnAsk, DayTurn)
        .join(DayTurn, DayTurn.id == DayTurnAsk.turn_id)
        .where(DayTurnAsk.member_id == member_id, DayTurnAsk.state.in_(KEEPING), DayTurn.state.in_(LIVE))
        .order_by(DayTurn.due_at, DayTurn.id)
    )
    return [(ask, turn) for ask, turn in rows]
