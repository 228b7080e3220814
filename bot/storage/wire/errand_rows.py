"""The rows of work that takes longer than an answer may: found, claimed, held, and let go again."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime, timedelta

from sqlalchemy import case, or_, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Errand
from bot.storage.states import ErrandKind, ErrandState

_UNDER_WAY = (ErrandState.WAITING, ErrandState.WORKING)


async def by_id(session: AsyncSession, errand_id: int | None) -> Errand | None:
    return await session.get(Errand, errand_id) if errand_id is not None else None


async def add(session: AsyncSession, row: Errand) -> None:
    session.add(row)
    await session.flush()


async def claim(session: AsyncSession, kinds: Collection[ErrandKind], now: datetime, most_n: int) -> Sequence[Errand]:
    """Take the oldest of these kinds that may be tried by now; of rehearsals one, and none while one is played."""
    if await _is_playing(session):
        kinds = [kind for kind in kinds if kind is not ErrandKind.REHEARSAL]
    waiting = (
        select(Errand)
        .where(Errand.state == ErrandState.WAITING, or_(Errand.retry_at.is_(None), Errand.retry_at <= now))
        .where(Errand.kind.in_(kinds))
        .order_by(Errand.id)
    )
    found = (await session.scalars(waiting.limit(most_n).with_for_update(skip_locked=True))).all()
    plays = [row for row in found if row.kind is ErrandKind.REHEARSAL]
    rows = [row for row in found if row not in plays[1:]]  # each takes a core for a minute or two
    for row in rows:
        row.state, row.claimed_at = ErrandState.WORKING, now
    return rows


async def _is_playing(session: AsyncSession) -> bool:
    query = select(Errand.id).where(Errand.state == ErrandState.WORKING, Errand.kind == ErrandKind.REHEARSAL)
    return await session.scalar(query.limit(1)) is not None


async def recover(
    session: AsyncSession, now: datetime, stale: timedelta, stale_play: timedelta, *, every: bool = False
) -> None:
    """Let what was lost with its process be taken again: claims that are too old, those of rehearsals apart, or every one."""
    longest_at = case((Errand.kind == ErrandKind.REHEARSAL, now - stale_play), else_=now - stale)
    lost = update(Errand).where(Errand.state == ErrandState.WORKING)
    lost = lost if every else lost.where(Errand.claimed_at < longest_at)
    await session.execute(lost.values(state=ErrandState.WAITING))


async def held(session: AsyncSession, row: Errand) -> Errand | None:
    """The row as it is now, nobody else's until the transaction ends; None when the claim is no longer ours."""
    ours = (Errand.id == row.id, Errand.state == ErrandState.WORKING, Errand.claimed_at == row.claimed_at)
    found: Errand | None = await session.scalar(select(Errand).where(*ours).with_for_update())
    return found


async def kept(session: AsyncSession, garden_id: int, member_id: int) -> Sequence[Errand]:
    """The files of one member that wait for a button, in the order in which they came."""
    theirs = (Errand.garden_id == garden_id, Errand.member_id == member_id, Errand.state == ErrandState.KEPT)
    return (await session.scalars(select(Errand).where(*theirs).order_by(Errand.id))).all()


async def is_under_way(session: AsyncSession, member_id: int, kind: ErrandKind) -> bool:
    """Whether a member waits for work of this kind."""
    theirs = (Errand.member_id == member_id, Errand.kind == kind, Errand.state.in_(_UNDER_WAY))
    return await session.scalar(select(Errand.id).where(*theirs).limit(1)) is not None
