"""Pots that tip in a wind that any week may bring: fastened, weighted or stood low once, for good.

Nobody is called out for them day after day; see docs/wind.md.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.core.garden.snapshot import Garden, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.warnings import pots, supports
from bot.core.warnings.holding import Holding
from bot.core.warnings.pots import Fill
from bot.core.warnings.safety import GUST_MS
from bot.core.weather.forecast import Forecast
from bot.core.weather.wind import TERRAIN, Terrain, gusts


@dataclass(frozen=True, slots=True)
class Loose:
    """A pot that tips in a gust below the one from which nobody is sent out. gust_ms: at 10 m, at which it goes."""

    place_id: int
    planting_id: int
    gust_ms: float


def key(place_id: int) -> str:
    """The key of its item in the week: once it is marked done, the pot is fastened."""
    return f"fasten:{place_id}"


def loose(garden: Garden, crops: Mapping[str, Crop]) -> tuple[Loose, ...]:
    """The pots to fasten for good, with what stands tallest in them."""
    growing: dict[int, list[Planting]] = defaultdict(list)
    for planting in garden.plantings:
        if planting.crop in crops and planting.stage not in (Stage.SOWN, Stage.ENDED):
            growing[planting.place_id].append(planting)
    found = []
    for place in garden.places:
        standing = None if place.fastened else in_the_wind(place, growing[place.id], crops, TERRAIN[garden.around])
        if standing is not None and standing[1].gust_ms < GUST_MS:
            found.append(Loose(place.id, standing[0].id, standing[1].gust_ms))
    return tuple(found)


def coming(found: Sequence[Loose], forecast: Forecast, now: datetime) -> tuple[Loose, ...]:
    """Those of them that the wind of this forecast may tip."""
    most_ms = max((gust.ms for gust in gusts(forecast) if gust.at > now), default=0.0)
    return tuple(one for one in found if one.gust_ms <= most_ms)


def in_the_wind(
    place: Place, growing: Sequence[Planting], crops: Mapping[str, Crop], terrain: Terrain = Terrain.OPEN
) -> tuple[Planting, Holding] | None:
    """The tallest plant of a container in the open and how the two stand; None where its size is not known.

    Half wet: a pot is watered before it wilts. A plant that was measured is as tall as it was measured.
    """
    if place.kind is not PlaceKind.CONTAINER or place.inside is not None or not growing:
        return None
    if not place.width_m or not place.height_m or not (place.volume_l or place.wet_kg):
        return None
    walls = {one.id: supports.leaf_wall(one, _height_m(one, crops[one.crop])) for one in growing}
    tallest = max(growing, key=lambda one: walls[one.id].height_m)
    wall = walls[tallest.id]
    return tallest, pots.assess(place, wall.height_m, wall.solidity, Fill.MOIST, terrain)


def _height_m(planting: Planting, crop: Crop) -> float:
    if planting.height_cm is not None:
        return planting.height_cm / 100.0
    return crop.support.height_m if crop.support else 0.0
