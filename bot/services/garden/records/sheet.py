"""One table as a spreadsheet holds it: lines of raw cells, whatever the file was."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, time

from bot.i18n import Say

Raw = str | int | float | bool | date | time

#: Day 0 of the serial numbers that spreadsheets keep dates as; right from 1 March 1900 on.
DAY_ZERO = date(1899, 12, 30)
#: More than any garden has; beyond it the file is something else.
MOST_LINES = 20_000
MOST_BYTES = 10_000_000

_RISKY = re.compile(r"'*[=+\-@\t\r]")
_TITLE = re.compile(r".* - ")  # a spreadsheet saved sheet by sheet: "Title - members.csv"
_COPY = re.compile(r" ?\(\d+\)$")  # a file fetched twice: "members (1).csv"


@dataclass(frozen=True, slots=True)
class Line:
    """number: as the spreadsheet counts, from 1. cells: None where there is nothing."""

    number: int
    cells: tuple[Raw | None, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """file: as people gave it, for messages. lines: those with anything in them, the first names the columns."""

    file: str
    lines: tuple[Line, ...]
    day_zero: date = DAY_ZERO


@dataclass(frozen=True, slots=True)
class Reading:
    """What a cell is read with. day_zero: of its sheet. last_on: the latest day that has begun anywhere on Earth.

    month_first: whether days of its column are written as in the United States.
    """

    say: Say
    last_on: date
    day_zero: date = DAY_ZERO
    month_first: bool = False


def table_name(title: str) -> str:
    """The records that a file's stem or a sheet's title means: "Teasel Lane - Free times (1)" is "free_times"."""
    bare = _COPY.sub("", _TITLE.sub("", title.strip()))
    return re.sub(r"[\s_-]+", "_", bare.casefold())


def guarded(text: str) -> str:
    """Text that no spreadsheet takes for a formula: an apostrophe goes before = + - @, even after others."""
    return f"'{text}" if _RISKY.match(text) else text


def clear(text: str) -> str:
    """The text that `guarded` was given, without spaces at its ends."""
    text = text.strip()
    return text[1:] if text.startswith("'") and _RISKY.match(text) else text
