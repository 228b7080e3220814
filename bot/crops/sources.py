"""The published works that the figures of the crop rules come from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from datetime import date
from pathlib import Path
from typing import Any

from bot.crops.mistakes import suggestion
from bot.crops.reading import GARDEN, PRACTICE, Draft, read_toml

__all__ = ["SOURCES_FILE", "Source", "read_sources"]

SOURCES_FILE = "sources.toml"


@dataclass(frozen=True, slots=True)
class Source:
    """A published work. where: the table, page or chapter. read_on: when it was read.

    year: of the edition that was read, None when it bears none. via: the copy that was read, if not the original.
    """

    author: str
    title: str
    where: str
    read_on: date
    year: int | None = None
    via: str | None = None


_KINDS: Mapping[str, type] = {"year": int, "read_on": date}  # the others are texts
_NEEDED = frozenset(part.name for part in fields(Source) if part.default is MISSING)
_KNOWN = frozenset(part.name for part in fields(Source))


def read_sources(folder: Path, draft: Draft) -> dict[str, Source]:
    """Every source by its key; mistakes go into the draft, and a wrong source is kept out of what is returned."""
    found: dict[str, Source] = {}
    for key, table in (read_toml(folder / SOURCES_FILE, draft) or {}).items():
        before = len(draft.mistakes)
        if key in (PRACTICE, GARDEN):
            draft.wrong(key, "a source", "another key: this one has a meaning of its own")
        elif not isinstance(table, dict):
            draft.wrong(key, table, "a table")
        else:
            _check(key, table, draft)
            if len(draft.mistakes) == before:
                given: dict[str, Any] = table
                found[key] = Source(**given)
    return found


def _check(key: str, table: Mapping[str, object], draft: Draft) -> None:
    for name in sorted(_NEEDED - table.keys()):
        draft.wrong(f"{key}.{name}", None, "a value")
    for name, value in table.items():
        kind = _KINDS.get(name, str)
        if name not in _KNOWN:
            draft.wrong(f"{key}.{name}", "unknown", suggestion(name, _KNOWN))
        elif type(value) is not kind:
            draft.wrong(f"{key}.{name}", value, {int: "a year", date: "a date without quotes"}.get(kind, "a text"))
