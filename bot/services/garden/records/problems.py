"""What is wrong with the files, all of it at once, in words for organisers.

What an import did, or would do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches

from bot.crops.find import fold
from bot.i18n import Say

_SHOWN = 40


class CellError(ValueError):
    """A cell cannot be read. The text is the sentence for people."""


@dataclass(frozen=True, slots=True)
class Problem:
    """file: as people gave it. line: of the sheet, from 1. text: the whole sentence, with file, line and column."""

    file: str
    line: int | None
    column: str | None
    text: str

    def __str__(self) -> str:
        return self.text


class Problems:
    """Gathers what is wrong, in one language. left_out: columns that are nobody's here. remarks: what was guessed."""

    def __init__(self, say: Say) -> None:
        self.say = say
        self.found: list[Problem] = []
        self.left_out: list[str] = []
        self.remarks: list[str] = []

    def add(self, what: str, file: str, line: int | None = None, column: str | None = None) -> None:
        say = self.say
        if line is None:
            text = say.gettext("{file}: {what}", file=shown(file), what=what)
        elif column is None:
            text = say.gettext("{file} line {line}: {what}", file=shown(file), line=line, what=what)
        else:
            text = say.gettext(
                "{file} line {line}, column {column}: {what}", file=shown(file), line=line, column=column, what=what
            )
        self.found.append(Problem(file, line, column, text))

    def in_order(self) -> tuple[Problem, ...]:
        """File by file as they were first named, each from its first line to its last."""
        files = {problem.file: n for n, problem in reversed(list(enumerate(self.found)))}
        return tuple(sorted(self.found, key=lambda problem: (files[problem.file], problem.line or 0)))


def shown(value: object) -> str:
    """A value as it may stand in a message: short, on one line, with nothing that moves the cursor."""
    text = "".join(sign if sign.isprintable() else "?" for sign in str(value))
    return text if len(text) <= _SHOWN else f"{text[: _SHOWN - 1]}…"


def near(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """The known word that this one was probably meant to be. cutoff: difflib's ratio; 1 for the very word."""
    spelt: dict[str, str] = {}
    for each in known:
        spelt.setdefault(fold(each), each)
    found = get_close_matches(fold(word), spelt, n=1, cutoff=cutoff)
    return spelt[found[0]] if found else None


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
