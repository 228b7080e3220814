"""The crop rules of one garden: the shared ones, with the garden's own changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.crop import Crop
from bot.core.growing.hemisphere import turned
from bot.crops import loader
from bot.crops.change import Change, overridden
from bot.storage.models import Garden, RuleChange

__all__ = ["of_garden", "shared_by"]


async def of_garden(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """Crop rules by key."""
    shared = await shared_by(session, garden_id)
    changes: dict[str, dict[str, Change]] = defaultdict(dict)
    for row in await session.scalars(select(RuleChange).where(RuleChange.garden_id == garden_id)):
        changes[row.crop][row.key] = row.value["value"]
    south = {key: crop.south for key, crop in shared.items()}
    own_rules = {key: overridden(shared[key], own) for key, own in changes.items() if key in shared}
    return {**shared, **{key: replace(crop, south=south[key]) for key, crop in own_rules.items()}}


async def shared_by(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """The shared rules as they hold where the garden lies: turned round south of the equator."""
    latitude = await session.scalar(select(Garden.latitude).where(Garden.id == garden_id))
    return _turned() if latitude is not None and latitude < 0 else loader.load()


@lru_cache(maxsize=1)
def _turned() -> Mapping[str, Crop]:
    return {key: turned(crop) for key, crop in loader.load().items()}
