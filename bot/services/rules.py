"""The crop rules of one garden: the shared ones, with the garden's own changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.crop import Crop
from bot.crops import loader
from bot.crops.change import Change, overridden
from bot.storage.models import RuleChange

__all__ = ["of_garden"]


async def of_garden(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """Crop rules by key."""
    shared = loader.load()
    changes: dict[str, dict[str, Change]] = defaultdict(dict)
    for row in await session.scalars(select(RuleChange).where(RuleChange.garden_id == garden_id)):
        changes[row.crop][row.key] = row.value["value"]
    return {**shared, **{key: overridden(shared[key], own) for key, own in changes.items() if key in shared}}
