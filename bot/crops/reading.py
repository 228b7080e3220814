"""Reads one crop file into flat values by dotted key, noting every mistake instead of stopping at the first."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from bot.core.growing.crop import WatchTime
from bot.crops.fields import FIELDS, TABLES, WATCH_FIELDS, Field
from bot.crops.mistakes import Mistake, suggestion
from bot.crops.values import WrongValueError

__all__ = ["GARDEN", "PRACTICE", "Draft", "read_draft", "read_toml"]

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
