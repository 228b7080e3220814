"""Days on which a member is away: kept, their open turns given on, and both taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.garden import gardens
from bot.storage.models import Ask, Away, Member, Task
from bot.storage.states import AskState, TaskState
from bot.storage.tasks import tasks


@dataclass(frozen=True, slots=True)
class Given:
    """What an absence gives on."""

    asks: tuple[tuple[Ask, Task], ...]

    @property
    def of_warnings(self) -> tuple[Task, ...]:
        return tuple(duty for _, duty in self.asks if duty.warning_id is not None)

    @property
    def walks_n(self) -> int:
        """How many walks of the day."""
        return len({(duty.on, duty.part) for _, duty in self.asks if duty.warning_id is None})

    @property
    def count(self) -> int:
        return len(self.of_warnings) + self.walks_n


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
        for ask, duty in await tasks.open_of_member(session, member.id)
        if first_on <= duty.due_at.astimezone(garden.tz).date() <= last_on
    ]
    return Given(tuple(asks))


async def add(session: AsyncSession, member: Member, first_on: date, last_on: date, now: datetime) -> tuple[Away, int]:
    """Note the absence, both days included; also gives how many open turns were given on because of it."""
    given = await would_give(session, member, first_on, last_on, now)
    kept: dict[str, Any] = {"asks": [[ask.id, ask.state.value, duty.state.value] for ask, duty in given.asks]}
    row = Away(member_id=member.id, from_on=first_on, to_on=last_on, given_on=kept if given.count else None)
    session.add(row)
    for ask, duty in given.asks:
        ask.state, ask.answered_at, duty.state = AskState.PASSED, now, TaskState.OPEN
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
    given = []
    for id_, was, duty_was in kept.get("asks", ()):
        ask = await session.get(Ask, id_)
        duty = await session.get(Task, ask.task_id) if ask is not None else None
        if ask is not None and duty is not None and ask.state is AskState.PASSED and duty.state is TaskState.OPEN:
            ask.state, duty.state, ask.answered_at = AskState(was), TaskState(duty_was), None
            given.append((ask, duty))
    await session.flush()
    return Given(tuple(given)).count
