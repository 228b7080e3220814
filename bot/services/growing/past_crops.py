"""What each bed carried in earlier years: every batch that was ever recorded there, ended ones included."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.crop import Crop
from bot.core.growing.seasons import growing_year
from bot.core.growing.spacing import Grown
from bot.storage.models import Planting


async def history(session: AsyncSession, garden_id: int, crops: Mapping[str, Crop]) -> Mapping[int, tuple[Grown, ...]]:
    """Crops by place id, oldest first. Plantings are never removed by the clock, so the memory is as long as the records."""
    rows = await session.execute(
        select(Planting.place_id, Planting.crop, Planting.planted_on, Planting.sown_on).where(
            Planting.garden_id == garden_id
        )
    )
    found: dict[int, set[Grown]] = {}
    for place_id, key, planted_on, sown_on in rows:
        started_on = planted_on or sown_on
        if key in crops and started_on is not None:
            crop = crops[key]
            found.setdefault(place_id, set()).add(Grown(key, crop.family, growing_year(started_on, south=crop.south)))
    return {place_id: tuple(sorted(grown, key=lambda one: (one.year, one.crop))) for place_id, grown in found.items()}
