"""The crop rules of one garden: the shared ones with their days as they are there, and the garden's own changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from sqlalchemy import extract, func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.carrying import carried, carrier, dayless, is_tropical, warmed
from bot.core.growing.crop import Crop
from bot.core.growing.hemisphere import turned
from bot.crops import loader
from bot.crops.change import Change, overridden
from bot.crops.own import built
from bot.services.growing import own_crops
from bot.storage.models import Garden, NightMinimum, OwnCrop, RuleChange
from bot.storage.read_once import lasting

__all__ = ["of_garden", "shared_by"]

_MONTHS = 12
_LEAST_NIGHTS = 140  # of each month: five years of February

_Monthly = tuple[float, ...] | None  # degrees C, January first


@lasting(Garden, NightMinimum, OwnCrop, RuleChange)
async def of_garden(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """Crop rules by key."""
    shared = await shared_by(session, garden_id)
    changes = await _changes(session, garden_id)
    own_rules = {
        key: replace(
            overridden(shared[key], own), south=shared[key].south, days=shared[key].days, winter=shared[key].winter
        )
        for key, own in changes.items()
        if key in shared
    }
    return {**shared, **own_rules}


@lasting(RuleChange)
async def _changes(session: AsyncSession, garden_id: int) -> Mapping[str, Mapping[str, Change]]:
    """What the garden has put in place of shared figures, by crop and key."""
    changes: dict[str, dict[str, Change]] = defaultdict(dict)
    for row in await session.scalars(select(RuleChange).where(RuleChange.garden_id == garden_id)):
        changes[row.crop][row.key] = row.value["value"]
    return changes


async def shared_by(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """The rules before the garden's changes of figures: the shared ones as they hold where it lies, their days by its
    nights, turned round south of the equator; and those of its own crops."""
    latitude = await session.scalar(select(Garden.latitude).where(Garden.id == garden_id))
    if latitude is None:
        return loader.load()
    placed = _placed(latitude < 0, is_tropical(latitude), *await _monthly_c(session, garden_id))
    own = await own_crops.of_garden(session, garden_id)
    return {**placed, **{key: built(key, one, placed) for key, one in own.items()}} if own else placed


@lasting(NightMinimum)
async def _monthly_c(session: AsyncSession, garden_id: int) -> tuple[_Monthly, _Monthly]:
    """The mean minimum and the mean maximum of each month; each None where a month of it is not known for years enough."""
    month, low, high = extract("month", NightMinimum.on), NightMinimum.min_c, NightMinimum.max_c
    query = select(func.avg(low), func.count(low), func.avg(high), func.count(high))
    query = query.where(NightMinimum.garden_id == garden_id).group_by(month).order_by(month)
    found = (await session.execute(query)).all()
    lows, highs = [(row[0], row[1]) for row in found], [(row[2], row[3]) for row in found]
    return _means(lows), _means(highs)


def _means(months: Sequence[tuple[float | None, int]]) -> _Monthly:
    if len(months) < _MONTHS or any(mean is None or count < _LEAST_NIGHTS for mean, count in months):
        return None
    return tuple(round(float(mean or 0.0), 1) for mean, _ in months)


@lru_cache(maxsize=128)
def _placed(southern: bool, tropical: bool, monthly_c: _Monthly, highs_c: _Monthly) -> Mapping[str, Crop]:
    crops = loader.load()
    to = carrier(monthly_c, southern=southern) if monthly_c is not None else None
    if to is not None and monthly_c is not None:
        warmth = warmed(to, monthly_c, highs_c, southern=southern) if highs_c is not None else None
        crops = {key: carried(crop, to, warmth) for key, crop in crops.items()}
    elif monthly_c is not None or tropical:
        crops = {key: dayless(crop) for key, crop in crops.items()}
    return {key: turned(crop) for key, crop in crops.items()} if southern else crops
