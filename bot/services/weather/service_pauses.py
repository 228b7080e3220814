"""Weather services that want to be left alone for a while: by every garden, and by every process."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.forecasts.stored import Stored
from bot.storage.models import ServicePause

__all__ = ["known", "note"]


async def known(session: AsyncSession, now: datetime) -> Mapping[str, datetime]:
    """Until when, by service; none that is over."""
    rows = await session.scalars(select(ServicePause).where(ServicePause.until_at > now))
    return {row.service: row.until_at for row in rows}


async def note(session: AsyncSession, states: Iterable[Stored], now: datetime) -> None:
    """Keep what services asked for in these answers."""
    for state in states:
        if state.leave_until_at is not None and state.leave_until_at > now:
            await session.merge(ServicePause(service=state.service, until_at=state.leave_until_at))
