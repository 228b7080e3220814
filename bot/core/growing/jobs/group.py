"""What the group needs, for organisers: duties without anyone, people gone silent, records that warnings need."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from bot.core.garden.snapshot import Garden, Place, PlaceKind, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.jobs.job import Ask, Item, JobKind

__all__ = ["group_needs"]


def group_needs(
    garden: Garden, crops: Mapping[str, Crop], found: Iterable[Item], asks: Ask, silent: Iterable[int]
) -> Iterator[Item]:
    """found: weather items of shared places, as `weather_ahead.weather` makes them. silent: ids of members."""
    for item in found:
        if not asks.get(item.key):
            yield Item(
                key=f"find somebody:{item.key}",
                kind=JobKind.FIND_SOMEBODY,
                group=("find somebody", str(item.by_on), item.kind),
                value_lost=item.value_lost,
                planting_id=item.planting_id,
                place_id=item.place_id,
                due_at=item.due_at,
                by_on=item.by_on,
                again_days=1,
                detail=item.kind.value,
                reasons=item.reasons,
            )
    for member_id in silent:
        yield Item(f"speak to:{member_id}", JobKind.SPEAK_TO, ("speak to",), 1.0, member_id=member_id, again_days=28)
    yield from _records(garden, crops)


def _records(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[Item]:
    kind, planted = JobKind.COMPLETE, {one.place_id for one in garden.plantings if one.stage is not Stage.ENDED}
    for place in garden.places:
        if place.id in planted and _unknown(place):
            yield Item(f"{kind}:place:{place.id}", kind, (kind, "place"), 0.5, place_id=place.id, again_days=28)
    for one in garden.plantings:
        if one.stage is not Stage.ENDED and (one.crop not in crops or one.count <= 0):
            yield Item(f"{kind}:planting:{one.id}", kind, (kind, "planting"), 0.5, planting_id=one.id, again_days=28)


def _unknown(place: Place) -> bool:
    """Whether a lifting or wind warning could not be worked out: the weight of a pot that is carried, its size."""
    if place.kind is not PlaceKind.CONTAINER:
        return False
    return (place.movable and place.wet_kg is None) or place.width_m is None or place.height_m is None
