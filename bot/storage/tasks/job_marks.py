"""Marks on the jobs of the week that outlast it."""

from __future__ import annotations

from datetime import date

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings import fastening
from bot.storage.models import JobMark
from bot.storage.read_once import lasting
from bot.storage.states import MarkKind

__all__ = ["fastened"]


@lasting(JobMark)
async def fastened(session: AsyncSession, garden_id: int, today: date) -> frozenset[int]:
    """Pots that somebody has marked as fastened for good, by place id."""
    start = fastening.key(0).removesuffix("0")
    rows = await session.scalars(
        select(JobMark.job).where(
            JobMark.garden_id == garden_id,
            JobMark.kind == MarkKind.DONE,
            JobMark.until_on > today,
            JobMark.job.startswith(start),
        )
    )
    return frozenset(int(job.removeprefix(start)) for job in rows)
