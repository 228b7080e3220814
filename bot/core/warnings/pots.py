"""Pots and tall plants in pots: the gust that tips them, and the weight that keeps them up. See docs/wind.md.

A pot tips about the edge of its foot. Sliding is not considered: on paving a light pot may slide before it tips.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from bot.core.garden.snapshot import Place
from bot.core.warnings.holding import GRAVITY_M_S2, Holding, Need, missing
from bot.core.weather.wind import AIR_KG_M3, Terrain

_DRAG = 1.0  # pot and plant together: engineering estimate
_DRY_KG_L = 0.25  # compost, kg/L: 0.19-0.72 dry by mix (12-45 lb/ft3, trade page); light is on the safe side
# Share of a pot that is water once it has drained, and when plants can draw no more: common practice, no source.
_WET_SHARE, _DRY_SHARE = 0.55, 0.25
# Leaves fold back in strong wind, so a leafy pot may stand up to twice the moment; a thin one is well known.
_LOW, _HIGH = 0.7, 2.0
_SPREAD = 0.4  # width of a plant over its height: engineering estimate
_FOOT_SHARE = 0.8  # foot of a tapered pot over its top: engineering estimate


class Fill(StrEnum):
    """DRY: plants wilt. MOIST: half way. WET: just watered and drained."""

    DRY = "dry"
    MOIST = "moist"
    WET = "wet"


_WATER_SHARE = {Fill.DRY: _DRY_SHARE, Fill.MOIST: (_DRY_SHARE + _WET_SHARE) / 2.0, Fill.WET: _WET_SHARE}


@dataclass(frozen=True, slots=True)
class Face:
    """What the wind meets: solid area, and the height of its centre above the ground."""

    area_m2: float
    centre_m: float


def tipping_gust_ms(mass_kg: float, base_m: float, area_m2: float, height_m: float, drag: float = _DRAG) -> float:
    """The gust at the pot, m/s, at which it tips about the edge of its foot, when it does not slide.

    Moments about the edge: m g b/2 = 0.5 rho C A h v^2, so v = sqrt(m g b / (rho C A h)). base_m: width of the foot.
    area_m2, height_m: the face that the wind meets and the height of its centre. Infinite where there is no face.
    """
    if area_m2 * height_m * drag <= 0.0:
        return math.inf
    return math.sqrt(mass_kg * GRAVITY_M_S2 * base_m / (AIR_KG_M3 * drag * area_m2 * height_m))


def mass_kg(volume_l: float, fill: Fill, wet_kg: float | None = None) -> float:
    """Mass of a pot with its compost, kg; `wet_kg` is its known mass when watered, from which dry is reckoned.

    A litre of water weighs a kilogram. Plants are left out when `wet_kg` is not known.
    """
    water_l = _WATER_SHARE[fill] * volume_l
    if wet_kg is not None:
        return max(0.0, wet_kg - (_WET_SHARE * volume_l - water_l))
    return _DRY_KG_L * volume_l + water_l


def canopy_width_m(plant_height_m: float) -> float:
    """How wide a plant of this height spreads, m: engineering estimate."""
    return _SPREAD * plant_height_m


def face(pot_width_m: float, pot_height_m: float, plant_height_m: float, solidity: float) -> Face:
    """The face of a pot with a plant standing on it."""
    pot_m2 = pot_width_m * pot_height_m
    plant_m2 = solidity * plant_height_m * max(pot_width_m, canopy_width_m(plant_height_m))
    moment = pot_m2 * pot_height_m / 2.0 + plant_m2 * (pot_height_m + plant_height_m / 2.0)
    area_m2 = pot_m2 + plant_m2
    return Face(area_m2, moment / area_m2 if area_m2 else 0.0)


def assess(
    place: Place, plant_height_m: float, solidity: float, fill: Fill = Fill.DRY, terrain: Terrain = Terrain.OPEN
) -> Holding:
    """How one container stands in the wind: moments about the edge of its foot, N m.

    Dry unless told otherwise, the lightest it can be. Raises ValueError when its size or volume is not known.
    """
    if not place.width_m or not place.height_m or not (place.volume_l or place.wet_kg):
        raise ValueError(
            f"{place.name}: width, height and volume (or weight when wet) are needed to judge it in the wind"
        )
    seen = face(place.width_m, place.height_m, plant_height_m, solidity)
    return Holding(
        height_m=place.height_m + plant_height_m,
        load_per_pa=_DRAG * seen.area_m2 * seen.centre_m,
        resists=mass_kg(place.volume_l or 0.0, fill, place.wet_kg) * _weight_arm(place.width_m),
        terrain=terrain,
        low=_LOW,
        high=_HIGH,
        source="moments about the foot",
    )


def needed(place: Place, holding: Holding, gust_ms: float) -> Need:
    """Weight to add low down for a gust of `gust_ms` at 10 m; lay it down when that is more than the pot itself."""
    arm = _weight_arm(place.width_m or 0.0)
    short = missing(holding, gust_ms)
    return Need(lay_down=True) if short > holding.resists else Need(weight_kg=short / arm if short else 0.0)


def _weight_arm(top_width_m: float) -> float:
    return GRAVITY_M_S2 * _FOOT_SHARE * top_width_m / 2.0
