"""Peas and beans on canes, frames, trellis and net: a wall of leaves that grows with the season. See docs/wind.md.

The wind load follows published rules; how much a row of canes in garden soil resists is an engineering estimate, with
no published figure, and stated as a wide range.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bot.core.garden.snapshot import Planting, Stage, Support, SupportKind
from bot.core.warnings.holding import Holding, Need, missing
from bot.core.weather.wind import Terrain

# Net force coefficient of a free-standing lattice or wall away from its ends. 1.2 is the figure of EN 1991-1-4
# Table 7.9 for solidity 0.8, from memory; a plate in a wind tunnel gives much the same. Ends and corners take more.
PANEL_DRAG = 1.2

# A tie or guy of unknown strength: a cable tie of up to 4 mm, least loop tension of QB/T 4494-2013.
TIE_N = 130.0
# Cable ties: width up to (mm) -> least loop tension (N), QB/T 4494-2013, read via cableties.cc, 2026-11-25.
_TIES_N = ((2, 50), (3, 80), (4, 130), (5, 180), (6, 220), (7, 360), (8, 450), (9, 530), (10, 800))
# What a season outdoors leaves of it: IEC 62275 type 1 keeps at least half of its strength after conditioning.
_TIE_KEEPS = 0.5

# What a metre of row resists at its foot before any tie, N m: engineering estimate, no published figure, half to one
# and a half times. From bamboo of 15 mm in firm garden soil, crossed and tied at the top; posts driven 60 cm.
_FOOT_N = {SupportKind.CANES: 150.0, SupportKind.FRAME: 300.0, SupportKind.TRELLIS: 300.0, SupportKind.STAKES: 100.0}
_LOW, _HIGH = 0.5, 1.5
_MOST_TIES_PER_M = 2.0  # beyond this it is quicker to lay it down: common practice, no source

# Share of the face that is leaf, and of the full height reached, by stage: engineering estimate, no published figure.
_LEAF = {
    Stage.SEEDLING: (0.1, 0.1),
    Stage.POTTED_ON: (0.2, 0.2),
    Stage.HARDENING: (0.2, 0.2),
    Stage.HARDENED: (0.2, 0.2),
    Stage.GROWING: (0.4, 0.6),
    Stage.FLOWERING: (0.6, 1.0),
    Stage.READY: (0.7, 1.0),
}


@dataclass(frozen=True, slots=True)
class LeafWall:
    """height_m of the leaves above the soil, and the share of their face that is solid, 0-1."""

    height_m: float
    solidity: float


def leaf_wall(planting: Planting, full_height_m: float) -> LeafWall:
    """The wall of leaves of a batch whose crop grows `full_height_m` tall.

    The taller of the last known height and what its stage suggests: plants have grown since they were measured.
    """
    solidity, share = _LEAF.get(planting.stage, (0.0, 0.0))
    if not solidity:
        return LeafWall(0.0, 0.0)
    return LeafWall(max(share * full_height_m, (planting.height_cm or 0.0) / 100.0), solidity)


def cable_tie_n(width_mm: float) -> float:
    """Least loop tension of a new cable tie, N, by width (QB/T 4494-2013). ValueError above 10 mm or not above 0."""
    for most_mm, least_n in _TIES_N:
        if 0.0 < width_mm <= most_mm:
            return float(least_n)
    raise ValueError(f"width_mm is {width_mm}, expected above 0 to 10: give the strength of the tie in newtons instead")


def panel_force_n(pressure_pa: float, area_m2: float, solidity: float, angle_deg: float = 0.0) -> float:
    """Force across a panel, N: the load of a solid one times its solidity, falling as cos^2 of the wind's angle.

    Net load = solid load x (1 - effective porosity); oblique wind: Richards & Robinson 1999, J. Wind Eng. Ind.
    Aerodyn. 83:455-465, doi:10.1016/S0167-6105(99)00093-8. angle_deg: 0 is square on, valid to about 60.
    """
    return PANEL_DRAG * pressure_pa * area_m2 * solidity * math.cos(math.radians(angle_deg)) ** 2


def assess(support: Support, leaf_height_m: float, leaf_solidity: float, terrain: Terrain = Terrain.OPEN) -> Holding:
    """How a support with leaves on it stands in the wind, square on; moments about its foot, N m.

    Below the leaves' top the face is support and leaf together, above it the support alone. Ties and guys pull at the
    top of the support and share the load evenly. Raises ValueError when a share is not 0-1 or a size is not above 0.
    """
    _check(support, leaf_height_m, leaf_solidity)
    top_m = max(support.height_m, leaf_height_m)
    leafy = support.solidity + leaf_solidity * (1.0 - support.solidity)
    bare_arm = max(0.0, support.height_m**2 - leaf_height_m**2) / 2.0
    arm = leafy * leaf_height_m**2 / 2.0 + support.solidity * bare_arm
    own = _FOOT_N[support.kind] * support.width_m
    return Holding(
        height_m=top_m,
        load_per_pa=panel_force_n(1.0, support.width_m, 1.0) * arm,
        resists=own + support.ties * _tie_moment(support),
        terrain=terrain,
        low=_LOW,
        high=_HIGH,
        source="engineering estimate",
    )


def needed(support: Support, holding: Holding, gust_ms: float) -> Need:
    """What to add for the support to hold a gust of `gust_ms` at 10 m; nothing when it does."""
    short = missing(holding, gust_ms)
    ties = math.ceil(short / _tie_moment(support))
    if support.ties + ties > max(4.0, _MOST_TIES_PER_M * support.width_m):
        return Need(lay_down=True)
    return Need(ties=ties)


def _tie_moment(support: Support) -> float:
    return (support.tie_n or TIE_N) * _TIE_KEEPS * support.height_m


def _check(support: Support, leaf_height_m: float, leaf_solidity: float) -> None:
    for name, value in (("solidity", support.solidity), ("leaf_solidity", leaf_solidity)):
        if not 0.0 <= value <= 1.0:
            raise ValueError(f"support {support.id}: {name} is {value}, expected 0 to 1")
    if support.height_m <= 0.0 or support.width_m <= 0.0 or leaf_height_m < 0.0:
        raise ValueError(
            f"support {support.id}: height {support.height_m} m, width {support.width_m} m, leaves {leaf_height_m} m,"
            " expected sizes above 0"
        )
