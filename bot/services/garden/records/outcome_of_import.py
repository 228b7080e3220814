"""What an import did, or would do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bot.services.garden.records.problems import Problem

__all__ = ["Changed", "Report", "Tally"]


@dataclass(frozen=True, slots=True)
class Changed:
    """One thing that was there already, and the columns that say something new of it."""

    name: str
    columns: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tally:
    """One table. absent: stored, but not in the file; such rows stay as they are."""

    added: tuple[str, ...] = ()
    changed: tuple[Changed, ...] = ()
    unchanged_n: int = 0
    absent: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Report:
    """garden: its name. tallies: by file, only of files that were given. skipped: files, sheets and columns not read.

    remarks: what was guessed. unknown: plants that no rule is known for, which are the garden's own now.
    stored: False when there are problems (then there are no tallies) and in a preview.
    """

    garden: str = ""
    garden_id: int | None = None
    tallies: Mapping[str, Tally] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    skipped: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    stored: bool = False
