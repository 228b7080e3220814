"""Every key that a crop file may have, drawn from the dataclasses of `bot.core.growing.crop`, and limits of its numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from typing import Any, get_type_hints

from bot.core.growing.crop import Crop, WatchTime
from bot.crops.values import Read, is_figure, reader, without_none

__all__ = ["FIELDS", "LIMITS", "PAIRS", "TABLES", "WATCH_FIELDS", "Field", "Table", "build", "flat"]

_APART = ("key", "sources", "south", "days", "winter", "watch")  # not keys of the file, or a list of tables

# Limits of a plausible figure, not of the trade: they catch slips of the pen and of units.
LIMITS: Mapping[str, tuple[float, float]] = {
    "rotation_years": (0, 10),
    "cold.tender_c": (-30, 10),
    "cold.hardened_c": (-30, 10),
    "cold.flowering_c": (-30, 10),
    "cold.winter_c": (-30, 0),
    "cold.bud_c": (-30, 0),
    "cold.opening_c": (-30, 0),
    "cold.set_c": (-30, 2),
    "cold.ready_c": (-20, 2),
    "cold.swell_c": (-30, 0),
    "cold.shoots_c": (-10, 0),
    "cold.ninety_c": (-30, 0),
    "cold.chilling_c": (-10, 18),
    "cold.weeks_lost": (0, 104),
    "sowing.soil_min_c": (0, 25),
    "sowing.depth_cm": (0, 30),
    "sowing.emergence": (0, 90),
    "sowing.germination_pct": (1, 100),
    "raising.pot_on_height_cm": (1, 60),
    "raising.pot_on_weeks": (1, 20),
    "raising.ready_weeks": (2, 60),
    "raising.hardening_days": (3, 21),
    "raising.leggy_height_cm": (2, 100),
    "planting.in_row_cm": (1, 500),
    "planting.rows_cm": (5, 500),
    "planting.depth_cm": (0, 40),
    "planting.soil_min_c": (0, 25),
    "planting.clump": (1, 20),
    "planting.clump_cm": (5, 60),
    "planting.in_pot_l": (0.5, 200),
    "planting.practice_cm": (2, 100),
    "support.from_cm": (5, 200),
    "support.height_m": (0.3, 6),
    "bolting.chill_c": (0, 20),
    "bolting.chill_days": (5, 150),
    "bolting.juvenile_weeks": (0, 52),
    "bolting.heat_c": (15, 40),
    "bolting.day_h": (8, 20),
    "care.kc": (0.1, 1.4),
    "care.root_m": (0.1, 2.5),
    "care.depletion": (0.1, 0.8),
    "care.feed_weeks": (1, 12),
    "care.earth_up_cm": (5, 60),
    "care.shade_c": (20, 45),
    "care.pinch_cm": (5, 250),
    "harvest.days": (15, 1500),
    "harvest.autumn_days": (90, 360),
    "harvest.order": (1, 9),
    "harvest.base_c": (-2, 20),
    "harvest.degree_days": (50, 4000),
    "harvest.haulm_days": (7, 35),
    "harvest.yield_kg": (0.01, 50),
    "harvest.succession_days": (5, 60),
    "harvest.storage.temp_c": (-1, 25),
    "harvest.storage.humidity_pct": (40, 100),
    "harvest.storage.weeks": (1, 60),
    "harvest.storage.cure_days": (0, 42),
}


@dataclass(frozen=True, slots=True)
class Field:
    """hint: the type it holds. read: from TOML. required: within its table. figure: written [value, source].

    default: what it is when the file leaves it out; MISSING when it has none.
    """

    hint: object
    read: Read
    required: bool
    figure: bool
    default: object


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the file: the dataclass that it becomes, and whether it must be there."""

    kind: type
    required: bool


def _of(cls: type, prefix: str = "") -> Iterator[tuple[str, Field | Table]]:
    hints = get_type_hints(cls)
    for part in fields(cls):
        key, hint = prefix + part.name, without_none(hints[part.name])
        required = part.default is MISSING and part.default_factory is MISSING and hint is hints[part.name]
        if key in _APART:
            continue
        if isinstance(hint, type) and is_dataclass(hint):
            yield key, Table(hint, required)
            yield from _of(hint, f"{key}.")
        else:
            yield key, Field(hint, reader(hint), required, is_figure(hint), part.default)


_ALL = dict(_of(Crop))
FIELDS: Mapping[str, Field] = {key: one for key, one in _ALL.items() if isinstance(one, Field)}
TABLES: Mapping[str, Table] = {key: one for key, one in _ALL.items() if isinstance(one, Table)}
PAIRS = frozenset(key for key, one in FIELDS.items() if one.hint in (tuple[int, int], tuple[float, float]))  # low, high
WATCH_FIELDS: Mapping[str, Field] = {key: one for key, one in _of(WatchTime) if isinstance(one, Field)}


def build(key: str, values: Mapping[str, object], sources: Mapping[str, str]) -> Crop:
    """The crop from flat values by dotted key, all of them checked before."""
    return Crop(key=key, sources=dict(sources), **_given(Crop, "", values))


def flat(crop: Crop) -> dict[str, object]:
    """The crop's values by dotted key, without those that it does not have or leaves as they are: `build` undone."""
    values: dict[str, object] = {"watch": crop.watch}
    for key, one in FIELDS.items():
        value: object = crop
        for part in key.split("."):
            value = getattr(value, part, None)
        if value is not None and value != one.default:
            values[key] = value
    return values


def _given(cls: type, prefix: str, values: Mapping[str, object]) -> dict[str, Any]:
    given: dict[str, Any] = {}
    for part in fields(cls):
        key = prefix + part.name
        if key in values:
            given[part.name] = values[key]
        elif key in TABLES and any(one.startswith(f"{key}.") for one in values):
            given[part.name] = TABLES[key].kind(**_given(TABLES[key].kind, f"{key}.", values))
        elif key not in _APART and part.default is MISSING and part.default_factory is MISSING:
            given[part.name] = None  # a window that is not there
    return given
