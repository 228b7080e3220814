"""XLSX workbooks, in and out: one sheet a table. Heavy to import: never in the bot's own process.

Records out as a workbook. Heavy to import, as reading one is: never in the bot's own process.
"""

from __future__ import annotations

import io
import warnings
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from datetime import datetime
from itertools import islice
from typing import Any

import openpyxl
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.garden.records.exporting import tables
from bot.services.garden.records.problems import Problems
from bot.services.garden.records.sheet import MOST_LINES, Line, Raw, Sheet, clear, guarded
from bot.storage.models import Garden

_MOST_UNPACKED = 100_000_000
_MOST_COLUMNS = 100
#: Twenty thousand lines of twenty-five cells, each with two tags that open and two that close.
_MOST_MARKS = 2_000_000
#: What a zip file's reader raises for one that is cut or changed; it names no list.
_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, NotImplementedError, ValueError)


def read_xlsx(file: str, data: bytes, problems: Problems) -> dict[str, Sheet]:
    """The sheets that hold anything, by title; none after adding what is wrong with the file as a whole."""
    if not _may_open(data):
        problems.add(problems.say.gettext("cannot be opened; save it as .xlsx without a password, or as CSV"), file)
        return {}
    if _marks_n(data) > _MOST_MARKS:
        problems.add(problems.say.gettext("has more cells than I can read; delete empty rows and columns"), file)
        return {}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about looks that are not read: validation lists, headers, colours
            values = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            written = openpyxl.load_workbook(io.BytesIO(data), read_only=True)
            return _sheets(file, values, written, problems)
    except Exception:  # a damaged workbook fails in as many ways as it has parts
        problems.add(problems.say.gettext("is damaged; save it again as .xlsx, or as CSV"), file)
        return {}


def write_xlsx(tables: Mapping[str, Sequence[Sequence[Raw | None]]]) -> bytes:
    """A workbook of tables, each with its header first. Text that looks like a formula is guarded."""
    book = openpyxl.Workbook(write_only=True)
    for name, lines in tables.items():
        sheet = book.create_sheet(name)
        for line in lines:
            sheet.append([guarded(cell) if isinstance(cell, str) else cell for cell in line])
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _may_open(data: bytes) -> bool:
    """A zip file that does not unpack to something monstrous."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            return sum(part.file_size for part in packed.infolist()) <= _MOST_UNPACKED
    except _DAMAGED:
        return False


def _marks_n(data: bytes) -> int:
    """How many tags its parts have, opening or closing: counted in a moment, where reading them takes minutes."""
    count = 0
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            for part in packed.infolist():
                with packed.open(part) as stream:
                    while block := stream.read(1_000_000):
                        count += block.count(b"<")
    except _DAMAGED:
        return 0  # whoever reads it next says that it is damaged
    return count


def _sheets(file: str, values: Any, written: Any, problems: Problems) -> dict[str, Sheet]:
    found: dict[str, Sheet] = {}
    for sheet in values.worksheets:
        name = f"{file} [{sheet.title}]"
        # One more than may be, empty ones included: what comes after is not even unpacked.
        rows = list(
            islice(sheet.iter_rows(max_row=MOST_LINES + 1, max_col=_MOST_COLUMNS, values_only=True), MOST_LINES + 1)
        )
        if len(rows) > MOST_LINES:
            what = problems.say.gettext(
                "has more than {most} lines; delete the empty ones below the last entry", most=MOST_LINES
            )
            problems.add(what, name)
            continue
        every = (tuple(map(_raw, line)) for line in rows)
        lines = [
            Line(number, cells) for number, cells in enumerate(every, start=1) if any(c is not None for c in cells)
        ]
        if lines:
            _check_formulas(name, lines, written[sheet.title], problems)
            found[sheet.title] = Sheet(name, tuple(lines), values.epoch.date())
    return found


def _raw(cell: Any) -> Raw | None:
    if isinstance(cell, str):
        return clear(cell) or None
    if isinstance(cell, datetime):
        return cell.date()
    return cell if cell is None or isinstance(cell, Raw) else str(cell)


def _check_formulas(file: str, lines: Sequence[Line], sheet: Any, problems: Problems) -> None:
    """A formula that no spreadsheet has worked out yet has no value: better said than read as empty."""
    values = {line.number: line.cells for line in lines}
    for number, line in enumerate(sheet.iter_rows(), start=1):
        for position, cell in enumerate(line):
            if cell.data_type == "f" and values.get(number, ())[position : position + 1] in ((), (None,)):
                what = problems.say.gettext("has a formula without a result; write the value itself")
                problems.add(what, file, number, cell.column_letter)


async def export_xlsx(session: AsyncSession, garden: Garden) -> bytes:
    """The garden as one workbook, a sheet for each file."""
    return write_xlsx(await tables(session, garden))
