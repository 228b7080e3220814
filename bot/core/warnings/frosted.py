"""What an earlier frost has killed for certain: nobody is sent out for it again.

A claim that is wrong leaves living plants without a warning, so only what can hardly have come through counts.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date

from bot.core.garden.snapshot import Cover, Garden, Place, Planting
from bot.core.growing.crop import Crop, Hardiness, Life
from bot.core.warnings.hazard_cold import exposed

__all__ = ["SURELY_C", "fallen", "killed"]

#: So far below its damage threshold the air at 2 m must have been; at the ground it was colder still. Common practice,
#: no source.
SURELY_C = 1.0


def killed(
    garden: Garden,
    crops: Mapping[str, Crop],
    minima_c: Mapping[date, float],
    guarded: Collection[tuple[int, date]] = frozenset(),
) -> dict[int, date]:
    """The day of the frost that killed it, by planting id.

    minima_c: the air's minimum of past local days. guarded: (place, day) where something was done against that frost.
    Left out: hardy crops, those that shoot again, what stands under a cover or glass, and what was seen alive since.
    """
    lost: dict[int, date] = {}
    for one in garden.plantings:
        crop, place = crops.get(one.crop), garden.place_of(one)
        if crop is None or not _at_its_mercy(one, place, crop):
            continue
        limit_c = crop.cold.damage_c(one.stage)
        since = max((on for on in (one.sown_on, one.planted_on, one.stage_on) if on), default=date.min)
        frosts = (
            on
            for on, low_c in sorted(minima_c.items())
            if on > since and (place.id, on) not in guarded and limit_c is not None and low_c <= limit_c - SURELY_C
        )
        first = next(frosts, None)
        if first is not None:
            lost[one.id] = first
    return lost


def fallen(garden: Garden, crops: Mapping[str, Crop], frosted: Collection[int]) -> frozenset[int]:
    """Of the plantings that a frost has reached, by id, those whose tops it took: no tree, nor what stands the winter."""
    return frozenset(
        one.id
        for one in garden.plantings
        if one.id in frosted
        and (crop := crops.get(one.crop)) is not None
        and crop.hardiness is not Hardiness.HARDY
        and (crop.life is not Life.PERENNIAL or crop.cold.regrows)
    )


def _at_its_mercy(planting: Planting, place: Place, crop: Crop) -> bool:
    lasting = crop.life is Life.PERENNIAL or crop.cold.regrows or crop.hardiness is Hardiness.HARDY
    return not lasting and place.cover is Cover.NONE and exposed(planting, place, crop)
