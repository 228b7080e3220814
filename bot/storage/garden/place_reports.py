"""What was reported of places, for core."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import aliased

from bot.core.garden import place_state as core
from bot.storage.models import Place, PlaceReport
from bot.storage.read_once import lasting


async def reports(session: AsyncSession, garden_id: int, since_at: datetime) -> dict[int, list[core.Report]]:
    """By place, in order of time: those not withdrawn since then, and what holds until further word however old it is."""
    day_at = since_at.replace(hour=0, minute=0, second=0, microsecond=0)  # the same for all of a day
    found: dict[int, list[core.Report]] = {}
    for one in await _since(session, garden_id, day_at):
        if one.at > since_at or one.until_at is None:
            found.setdefault(one.place_id, []).append(one)
    return found


@lasting(Place, PlaceReport)
async def _since(session: AsyncSession, garden_id: int, since_at: datetime) -> Sequence[core.Report]:
    rows = await session.execute(_reports(), {"garden_id": garden_id, "since_at": since_at})
    return [core.Report(*row) for row in rows]


@cache
def _reports() -> Any:
    house = aliased(Place)
    columns = (
        PlaceReport.id, PlaceReport.place_id, PlaceReport.did, PlaceReport.at, PlaceReport.until_at, PlaceReport.cover,
        house.kind, PlaceReport.member_id, PlaceReport.task_id,
    )  # fmt: skip
    return (
        select(*columns)
        .join(Place, Place.id == PlaceReport.place_id)
        .outerjoin(house, house.id == PlaceReport.target_place_id)
        .where(Place.garden_id == bindparam("garden_id"), PlaceReport.withdrawn_at.is_(None))
        .where((PlaceReport.at > bindparam("since_at")) | PlaceReport.until_at.is_(None))
        .order_by(PlaceReport.at, PlaceReport.id)
    )


async def by_id(session: AsyncSession, report_id: int) -> PlaceReport | None:
    return await session.get(PlaceReport, report_id)


async def rows(session: AsyncSession, place_ids: Collection[int]) -> Sequence[PlaceReport]:
    """Those of these places that were not withdrawn, in order of time."""
    query = select(PlaceReport).where(PlaceReport.place_id.in_(place_ids), PlaceReport.withdrawn_at.is_(None))
    return (await session.scalars(query.order_by(PlaceReport.at, PlaceReport.id))).all()


async def of_entries(session: AsyncSession, entry_ids: Collection[int]) -> Sequence[PlaceReport]:
    """What these notes of the journal reported and was not withdrawn."""
    query = select(PlaceReport).where(PlaceReport.entry_id.in_(entry_ids), PlaceReport.withdrawn_at.is_(None))
    return (await session.scalars(query.order_by(PlaceReport.id))).all()
