"""The last moment that a running bot believed."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import LastMoment

_ONLY = 1


async def last(session: AsyncSession) -> datetime | None:
    """None before the first."""
    row = await session.get(LastMoment, _ONLY)
    return None if row is None else row.believed_at


async def note(session: AsyncSession, now: datetime) -> None:
    await session.merge(LastMoment(id=_ONLY, believed_at=now))
