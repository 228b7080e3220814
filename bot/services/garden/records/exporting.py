"""Records out: one garden as the files that an import reads."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy.ext.asyncio import AsyncSession

from bot.crops.own import FILE as OWN_CROPS
from bot.crops.own import to_toml
from bot.services.garden.records.cells import as_list
from bot.services.garden.records.columns import FILES
from bot.services.garden.records.history import NAME as HISTORY
from bot.services.garden.records.history import export_history
from bot.services.garden.records.kept import load
from bot.services.garden.records.sheet import Raw, guarded
from bot.services.garden.records.written_days import WEEKDAYS
from bot.services.growing import rules
from bot.storage.models import Garden

Lines = list[list[Raw | None]]


async def export_csv(session: AsyncSession, garden: Garden) -> dict[str, bytes]:
    """The garden as CSV files by name, UTF-8 with a byte order mark, which spreadsheets need to see that it is.

    Beside them: crops.toml for the garden's own crops, and history.json for what no spreadsheet holds.
    """
    files = {f"{name}.csv": _csv(lines) for name, lines in (await tables(session, garden)).items()}
    own, history = await rules.own_crops_of(session, garden.id), await export_history(session, garden)
    return {
        **files,
        **({OWN_CROPS: to_toml(own).encode()} if own else {}),
        **({HISTORY: history} if history is not None else {}),
    }


async def tables(session: AsyncSession, garden: Garden) -> dict[str, Lines]:
    """The tables that have rows, each with its header first."""
    found: dict[str, Lines] = {}
    for name, kept in (await load(session, garden)).items():
        # Who holds a plot stands in plots.csv, and only there, so that there is one place to change it.
        columns = [column.name for column in FILES[name] if (name, column.name) != ("members", "plots")]
        if kept:
            found[name] = [[*columns], *([_cell(column, each.values[column]) for column in columns] for each in kept)]
    return found


def _cell(column: str, value: Any) -> Raw | None:
    if column == "weekday":
        return WEEKDAYS[value]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return as_list(value)
    # An enum's word without its class, which a workbook could not hold.
    return str(value) if isinstance(value, str) else value


def _csv(lines: Sequence[Sequence[Raw | None]]) -> bytes:
    stream = io.StringIO()
    csv.writer(stream).writerows([_written(cell) for cell in line] for line in lines)
    return stream.getvalue().encode("utf-8-sig")


def _written(cell: Raw | None) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return guarded(cell)
    return cell.isoformat() if isinstance(cell, date) else _digits(cell)


def _digits(value: Any) -> str:
    """A number in full, without an exponent; three decimals get a fourth, since "1.234" may be read as thousands."""
    text = format(Decimal(repr(value)), "f").removesuffix(".0")
    return f"{text}0" if len(text.partition(".")[2]) == 3 else text
