"""Fleece, net, cloches and tunnels: the wind lifts them, their pins hold them. See docs/wind.md."""

from __future__ import annotations

import math

from bot.core.garden.snapshot import Cover, Place, PlaceKind
from bot.core.warnings.holding import Holding, Need, missing
from bot.core.weather.wind import Terrain

__all__ = ["PIN_N", "assess", "needed", "porosity", "usual_pins"]

# Greatest suction on the top of a single-span plastic greenhouse is near -1 of the velocity pressure over its plan:
# wind tunnel, HortTechnology 23(5):622 (2013), abstract read 2026-11-25. The mean over the whole is less; an open end
# adds to it.
_UPLIFT = 1.0
# A wire pin of 15 cm in firm soil, N: engineering estimate, no published figure, half to one and a half times.
PIN_N = 50.0
# Stakes driven in saturated soil hold about half of what they hold in the same soil dry: tent stake study, University
# of Illinois, read via intentsmag.com (2009), 2026-11-25.
_WET_SHARE = 0.5
_LOW, _HIGH = 0.5, 1.5
_PIN_EVERY_M = 1.0  # common practice, no source; a seller's sheet says about every 3 ft
_MOST_PINS_PER_M = 4.0
# Share of a cover that lets the wind through: engineering estimate for fleece; 0.33 is the open area of an insect net
# in Robertson et al. 2002, J. Wind Eng. Ind. Aerodyn. 90:461-474 (abstract; volume and pages not confirmed).
_POROSITY = {Cover.FLEECE: 0.1, Cover.DOUBLE_FLEECE: 0.0, Cover.CLOCHE: 0.0, Cover.NET: 0.33}
_LOW_COVER_M = 0.5


def porosity(cover: Cover) -> float:
    """Share of the cover that lets wind through, 0-1."""
    return _POROSITY.get(cover, 0.0)


def usual_pins(length_m: float, width_m: float) -> int:
    """How many pins hold a cover of this size when nobody has counted them: one a metre around its edge."""
    return max(4, math.ceil(2.0 * (length_m + width_m) / _PIN_EVERY_M))


def assess(place: Place, pins: int, *, wet_soil: bool = False, terrain: Terrain = Terrain.OPEN) -> Holding:
    """How a covered place or a tunnel stands in the wind: pull on its pins, N.

    The pins share the lift evenly. Raises ValueError when the place's length or width is not known.
    """
    if not place.length_m or not place.width_m:
        raise ValueError(f"{place.name}: length and width are not known, give both to judge its cover in the wind")
    solid = 1.0 if place.kind is PlaceKind.TUNNEL else 1.0 - porosity(place.cover)
    return Holding(
        height_m=place.height_m or _LOW_COVER_M,
        load_per_pa=_UPLIFT * solid * place.length_m * place.width_m,
        resists=pins * _pin_n(wet_soil),
        terrain=terrain,
        low=_LOW,
        high=_HIGH,
        source="engineering estimate",
    )


def needed(place: Place, holding: Holding, gust_ms: float, *, wet_soil: bool = False) -> Need:
    """Pins to add for a gust of `gust_ms` at 10 m; take it off (lay down) when that makes more than four a metre."""
    pins = math.ceil(missing(holding, gust_ms) / _pin_n(wet_soil))
    edge_m = 2.0 * ((place.length_m or 0.0) + (place.width_m or 0.0))
    all_pins = holding.resists / _pin_n(wet_soil) + pins
    return Need(lay_down=True) if all_pins > _MOST_PINS_PER_M * edge_m else Need(pins=pins)


def _pin_n(wet_soil: bool) -> float:
    return PIN_N * (_WET_SHARE if wet_soil else 1.0)
