"""Every file, every column: what it holds, what an empty cell means, and where it is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from bot.core.garden.snapshot import Around, Cover, Lay, PlaceKind, Role, Stage, SupportKind
from bot.core.warnings.safety import GUST_MS, HEIGHT_WIND_MS
from bot.i18n import Say
from bot.services.garden.records import cells
from bot.services.garden.records.problems import CellError
from bot.services.garden.records.sheet import Raw, Reading
from bot.services.garden.records.written_days import day, hour, past_day, weekday
from bot.storage.models import LINE, NAME


@dataclass(frozen=True, slots=True)
class Column:
    """One column. needed: it must be there; filled: its cells may not be empty where it is there.

    default: what an empty cell means, and an absent column for a new row; an absent column changes no stored row.
    attribute: of the stored row, where it is called otherwise.
    """

    name: str
    read: Callable[[Raw, Reading], Any]
    default: Any = None
    needed: bool = False
    filled: bool = False
    attribute: str = ""

    @property
    def stored_as(self) -> str:
        return self.attribute or self.name


def _needed(name: str, read: Callable[[Raw, Reading], Any], attribute: str = "") -> Column:
    return Column(name, read, needed=True, filled=True, attribute=attribute)


def _a_role(say: Say) -> str:
    return say.pgettext("what a cell holds", "a role")


def _a_lay(say: Say) -> str:
    return say.pgettext("what a cell holds", "a kind of ground")


def _a_kind_of_place(say: Say) -> str:
    return say.pgettext("what a cell holds", "a kind of place")


def _a_house(say: Say) -> str:
    return say.pgettext("what a cell holds", "a place that a container can stand in")


def _what_is_around(say: Say) -> str:
    return say.pgettext("what a cell holds", "what the wind comes over")


def _a_cover(say: Say) -> str:
    return say.pgettext("what a cell holds", "a cover")


def _a_support(say: Say) -> str:
    return say.pgettext("what a cell holds", "a kind of support")


def _a_stage(say: Say) -> str:
    return say.pgettext("what a cell holds", "a stage of growth")


def _wind_unit(raw: Raw, reading: Reading) -> str:
    word = str(raw).strip().casefold()
    if word in ("mph", "miles per hour"):
        return "mph"
    if word in ("km/h", "kmh", "kph"):
        return "km/h"
    asked = reading.say.pgettext("what a cell holds", "a unit of wind")
    raise CellError(cells.unknown(word, asked, ["mph", "km/h"], reading.say))


_name = cells.text(NAME)
_length_m = cells.number(0.01, 500, cells.METRES)
_cover = cells.choice(Cover, _a_cover)
_PLACE_WORDS = {
    "bed": PlaceKind.BED,
    "pot": PlaceKind.CONTAINER,
    "polytunnel": PlaceKind.TUNNEL,
    "frame": PlaceKind.FRAME,
}
_HOUSES = (PlaceKind.TUNNEL, PlaceKind.FRAME, PlaceKind.GREENHOUSE, PlaceKind.INDOORS)
_HOUSE_WORDS = {word: kind for word, kind in _PLACE_WORDS.items() if kind in _HOUSES}

#: In the order in which they are read, checked and stored: a name is known before it is used.
FILES: dict[str, tuple[Column, ...]] = {
    "garden": (
        _needed("name", _name),
        _needed("latitude", cells.number(-90, 90, cells.DEGREES)),
        _needed("longitude", cells.number(-180, 180, cells.DEGREES)),
        Column("altitude_m", cells.number(-430, 6000, cells.METRES)),
        _needed("zone", cells.zone),
        Column("language", cells.language, "en"),
        Column("second_language", cells.language, ""),
        Column("lay", cells.choice(Lay, _a_lay), Lay.OPEN),
        Column("around", cells.choice(Around, _what_is_around), Around.FIELDS),
        Column("wind_unit", _wind_unit, "mph"),
        Column("quiet_from_h", hour, 21),
        Column("quiet_to_h", hour, 7),
        Column("gust_limit_ms", cells.number(1, GUST_MS)),  # organisers may only make limits stricter
        Column("height_wind_limit_ms", cells.number(1, HEIGHT_WIND_MS)),
        Column("hose_ban", cells.yes_no, False),
    ),
    "members": (
        _needed("name", cells.person),
        Column("role", cells.choice(Role, _a_role), Role.MEMBER),
        Column("adult", cells.yes_no, True, filled=True),
        Column("language", cells.language),
        Column("lift_kg", cells.number(0, 200, cells.KG)),
        Column("key", cells.yes_no, False, attribute="has_key"),
        Column("mornings_only", cells.yes_no, False),
        Column("per_week", cells.whole(0, 21)),
        Column("travel_min", cells.whole(0, 600)),
        Column("skills", cells.words(LINE), ""),
        Column("helper", cells.person),
        Column("plots", cells.names(NAME), ()),
    ),
    "plots": (_needed("name", _name), Column("holders", cells.people, ())),
    "places": (
        _needed("name", _name),
        _needed("kind", cells.choice(PlaceKind, _a_kind_of_place, _PLACE_WORDS)),
        Column("plot", _name),
        Column("shared", cells.yes_no, False),
        Column("movable", cells.yes_no, False),
        Column("cover", _cover, Cover.NONE),
        Column("length_m", _length_m),
        Column("width_m", _length_m),
        Column("height_m", _length_m),
        Column("volume_l", cells.number(0.1, 5000, cells.LITRES)),
        Column("wet_kg", cells.number(0.1, 5000, cells.KG)),
        Column("inside", cells.choice(_HOUSES, _a_house, _HOUSE_WORDS)),
        Column("needs_key", cells.yes_no, False),
        Column("walk_min", cells.whole(0, 120)),
    ),
    "supports": (
        _needed("place", _name),
        _needed("kind", cells.choice(SupportKind, _a_support)),
        _needed("height_m", cells.number(0.05, 10, cells.METRES)),
        _needed("width_m", cells.number(0.05, 100, cells.METRES)),
        Column("solidity", cells.number(0, 1), 0.1),
        Column("ties", cells.whole(0, 500), 0),
        Column("tie_n", cells.number(1, 100_000, cells.NEWTONS)),
    ),
    "plantings": (
        _needed("crop", _name),
        Column("variety", _name, ""),
        Column("batch", _name, ""),
        _needed("place", _name),
        _needed("count", cells.whole(0, 100_000)),
        _needed("stage", cells.choice(Stage, _a_stage)),
        Column("sown_on", past_day),
        Column("potted_on", past_day),
        Column("hardening_on", past_day),
        Column("planted_on", past_day),
        Column("height_cm", cells.number(0, 1000, cells.CM)),
        Column("stage_on", past_day),
        Column("ended_on", past_day),
    ),
    "thermometers": (
        _needed("name", _name),
        Column("place", _name),
        _needed("height_m", cells.number(0, 10, cells.METRES)),
        _needed("shaded", cells.yes_no),
        Column("cover", _cover, Cover.NONE),
        Column("momentary", cells.yes_no, False),
    ),
    "free_times": (
        _needed("member", cells.person),
        _needed("weekday", weekday),
        _needed("from", hour, "from_h"),
        _needed("to", hour, "to_h"),
    ),
    "aways": (_needed("member", cells.person), _needed("from", day, "from_on"), _needed("to", day, "to_on")),
    "minima": (
        _needed("date", past_day, "on"),
        _needed("min_c", cells.number(-70, 45, cells.CELSIUS)),
        Column("max_c", cells.number(-70, 60, cells.CELSIUS)),
        Column("source", cells.text(LINE), "minima.csv"),
    ),
}


def column_names(file: str) -> tuple[str, ...]:
    return tuple(column.name for column in FILES[file])
