"""The crop rules of one garden: the shared ones with their days as they are there, and the garden's own changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from sqlalchemy import extract, func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.carrying import carried, carrier, dayless, is_tropical
from bot.core.growing.crop import Crop
from bot.core.growing.hemisphere import turned
from bot.crops import loader
from bot.crops.change import Change, overridden
from bot.crops.own import built
from bot.services.growing import own_crops
from bot.storage.models import Garden, NightMinimum, RuleChange

__all__ = ["of_garden", "shared_by"]

_MONTHS = 12
_LEAST_NIGHTS = 140  # of each month: five years of February


async def of_garden(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """Crop rules by key."""
    shared = await shared_by(session, garden_id)
    changes: dict[str, dict[str, Change]] = defaultdict(dict)
    for row in await session.scalars(select(RuleChange).where(RuleChange.garden_id == garden_id)):
        changes[row.crop][row.key] = row.value["value"]
    own_rules = {
        key: replace(
            overridden(shared[key], own), south=shared[key].south, days=shared[key].days, winter=shared[key].winter
        )
        for key, own in changes.items()
        if key in shared
    }
    return {**shared, **own_rules}


async def shared_by(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """The rules before the garden's changes of figures: the shared ones as they hold where it lies, their days by its
    nights, turned round south of the equator; and those of its own crops."""
    latitude = await session.scalar(select(Garden.latitude).where(Garden.id == garden_id))
    if latitude is None:
        return loader.load()
    placed = _placed(latitude < 0, is_tropical(latitude), await _nights_c(session, garden_id))
    own = await own_crops.of_garden(session, garden_id)
    return {**placed, **{key: built(key, one, placed) for key, one in own.items()}} if own else placed


async def _nights_c(session: AsyncSession, garden_id: int) -> tuple[float, ...] | None:
    """The mean minimum of each month, January first; None where one of them is not known for years enough."""
    month = extract("month", NightMinimum.on)
    query = select(func.avg(NightMinimum.min_c), func.count()).where(NightMinimum.garden_id == garden_id)
    found = (await session.execute(query.group_by(month).order_by(month))).all()
    enough = len(found) == _MONTHS and all(count >= _LEAST_NIGHTS for _, count in found)
    return tuple(round(float(mean), 1) for mean, _ in found) if enough else None


@lru_cache(maxsize=128)
def _placed(southern: bool, tropical: bool, monthly_c: tuple[float, ...] | None) -> Mapping[str, Crop]:
    crops = loader.load()
    to = carrier(monthly_c, southern=southern) if monthly_c is not None else None
    if to is not None:
        crops = {key: carried(crop, to) for key, crop in crops.items()}
    elif monthly_c is not None or tropical:
        crops = {key: dayless(crop) for key, crop in crops.items()}
    return {key: turned(crop) for key, crop in crops.items()} if southern else crops
