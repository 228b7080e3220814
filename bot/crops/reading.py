"""Reads one crop file into flat values by dotted key, noting every mistake instead of stopping at the first.

Every key that a crop file may have, drawn from the dataclasses of `bot.core.growing.crop`, and limits of its numbers.

Turns one TOML value into what a field of the crop rule holds, by the type of that field.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from datetime import date
from enum import StrEnum
from math import isfinite
from pathlib import Path
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from bot.core.growing.crop import Crop, DayRange, MonthDay, WatchTime
from bot.crops.mistakes import Mistake, suggestion

Read = Callable[[object], object]


class WrongValueError(ValueError):
    """The text says what is expected instead."""


def without_none(hint: object) -> object:
    """The type X of an optional field "X | None"."""
    if isinstance(hint, UnionType):
        return next(part for part in get_args(hint) if part is not type(None))
    return hint


def is_figure(hint: object) -> bool:
    """Whether a field of this type needs a source: numbers and days do; words, choices and yes or no do not."""
    args = [arg for arg in get_args(hint) if arg is not Ellipsis]
    return hint in (int, float) or (bool(args) and all(is_figure(arg) for arg in args))


def reader(hint: object) -> Read:
    """The function that reads a value of this type, or raises WrongValueError."""
    if hint == DayRange:
        return _days
    if get_origin(hint) is tuple:
        return _tuple_reader(get_args(hint))
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return lambda value: _choice(hint, value)
    return _PLAIN[hint]


def numbers_in(value: object) -> list[float]:
    """Every number of a read figure, however deep; days of the year are no numbers here."""
    if isinstance(value, tuple):
        return [number for part in value for number in numbers_in(part)]
    return [value] if isinstance(value, (int, float)) and not isinstance(value, bool) else []


def _tuple_reader(args: tuple[object, ...]) -> Read:
    if args[-1] is Ellipsis:
        return lambda value: tuple(map(reader(args[0]), _list(value)))
    one, count = reader(args[0]), len(args)

    def read(value: object) -> object:
        parts = tuple(map(one, _list(value)))
        if len(parts) != count:
            raise WrongValueError(f"{count} values")
        return parts

    return read


def _list(value: object) -> list[object]:
    if not isinstance(value, list):
        raise WrongValueError("a list in square brackets")
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not isfinite(value):
        raise WrongValueError("a number")
    return float(value)


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise WrongValueError("a whole number")
    return value


def _word(value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise WrongValueError("a text in quotes")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise WrongValueError("true or false")
    return value


def _choice(kind: type[StrEnum], value: object) -> StrEnum:
    try:
        return kind(_word(value))
    except ValueError as error:
        raise WrongValueError(suggestion(str(value), [member.value for member in kind])) from error


def _days(value: object) -> DayRange:
    days = [day(part) for part in _list(value)]
    if len(days) != 2:
        raise WrongValueError('two days, as ["MM-DD", "MM-DD"]')
    return days[0], days[1]


def day(value: object) -> MonthDay:
    """One day of the year, "MM-DD"."""
    try:
        on = date.fromisoformat(f"2001-{_word(value)}")  # no leap year: a window never ends on 29 February
    except ValueError as error:
        raise WrongValueError('days of the year, as "MM-DD"') from error
    return on.month, on.day


_PLAIN: dict[object, Read] = {float: _number, int: _whole, str: _word, bool: _flag}


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


PRACTICE = "practice"  # common practice, no source
GARDEN = "garden"  # a garden's own change

_MISSING = object()


@dataclass(slots=True)
class Draft:
    """What was read of one crop so far. values, sources: by dotted key. where: the file, for messages."""

    where: str
    values: dict[str, object] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    mistakes: list[Mistake] = field(default_factory=list)

    def wrong(self, key: str, value: object, expected: str) -> None:
        self.mistakes.append(Mistake(self.where, key, value, expected))

    def unknown(self, key: str, known: Iterable[str]) -> None:
        self.mistakes.append(Mistake(self.where, key, "unknown", suggestion(key, known)))


def read_toml(path: Path, draft: Draft) -> dict[str, object] | None:
    """The tables of a file; None when it cannot be read, which is noted."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        draft.wrong("file", str(error), "a TOML file in UTF-8")
        return None


def read_draft(raw: Mapping[str, object], draft: Draft) -> None:
    """Read a crop's tables, all but `examples`, into the draft."""
    tables: dict[str, object] = {"": {key: one for key, one in raw.items() if key not in ("watch", "examples")}}
    for key, table in TABLES.items():
        parent, _, name = key.rpartition(".")
        inside = tables.get(parent)
        tables[key] = found = inside.get(name) if isinstance(inside, dict) else None
        if found is None:
            if table.required:
                draft.wrong(key, None, "a table")
        elif not isinstance(found, dict):
            draft.wrong(key, found, "a table")
    for key, inside in tables.items():
        if isinstance(inside, dict):
            _read_table(key, inside, draft)
    _read_watch(raw.get("watch", []), draft)


def _read_table(table: str, inside: Mapping[str, object], draft: Draft) -> None:
    prefix = f"{table}." if table else ""
    own = {key: one for key, one in FIELDS.items() if key.rpartition(".")[0] == table}
    for name in inside:
        if prefix + name not in own and prefix + name not in TABLES:
            draft.unknown(prefix + name, own)
    for key, one in own.items():
        value = _read_field(key, inside.get(key.removeprefix(prefix), _MISSING), one, draft)
        if value is not _MISSING:
            draft.values[key] = value


def _read_field(key: str, written: object, one: Field, draft: Draft) -> object:
    """The value of one key; its source goes into the draft. _MISSING when it is absent or wrong."""
    if written is _MISSING:
        if one.required:
            draft.wrong(key, None, "[value, source]" if one.figure else "a value")
        return _MISSING
    if one.figure:
        if not (isinstance(written, list) and len(written) == 2 and isinstance(written[1], str)):
            draft.wrong(key, written, "[value, source]")
            return _MISSING
        written, draft.sources[key] = written
    try:
        return one.read(written)
    except WrongValueError as error:
        draft.wrong(key, written, str(error))
        return _MISSING


def _read_watch(written: object, draft: Draft) -> None:
    if not (isinstance(written, list) and all(isinstance(table, dict) for table in written)):
        draft.wrong("watch", written, "[[watch]] tables")
        return
    watches = [watch for table in written if (watch := _read_one_watch(table, draft)) is not None]
    draft.values["watch"] = tuple(watches)


def _read_one_watch(table: Mapping[str, object], draft: Draft) -> WatchTime | None:
    prefix = f"watch.{table.get('what', '?')}."
    for name in sorted(table.keys() - WATCH_FIELDS.keys()):
        draft.unknown(prefix + name, [prefix + known for known in WATCH_FIELDS])
    given = {
        name: _read_field(prefix + name, table.get(name, _MISSING), one, draft) for name, one in WATCH_FIELDS.items()
    }
    return None if _MISSING in given.values() else WatchTime(**given)  # type: ignore[arg-type]
