"""From the files that people give to the rows of each table; the one place that knows folders and endings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePath
from typing import Any

from bot.crops.own import FILE as OWN_CROPS
from bot.crops.own import OwnCrop
from bot.services.garden.records.columns import FILES, column_names
from bot.services.garden.records.from_csv import read_csv
from bot.services.garden.records.problems import Problems, near
from bot.services.garden.records.rows import Rows, read_rows
from bot.services.garden.records.sheet import MOST_BYTES, Reading, Sheet, table_name

__all__ = ["Tables", "Workbook", "read_files", "read_folder"]

_CSV = (".csv", ".tsv", ".txt")
_SLIP = 0.75  # difflib ratio of a slip of the pen: "notes" is none of "plots", "memebrs" is one of "members"
_OTHER_SHEETS = (".xls", ".xlsm", ".ods", ".numbers")

#: `from_xlsx.read_xlsx`, from whoever may load what it takes to read workbooks: the bot's own process never does.
Workbook = Callable[[str, bytes, Problems], dict[str, Sheet]]


@dataclass(slots=True)
class Tables:
    """rows: by table, in the order of FILES. broken: tables whose file is there and cannot be read.

    history: the rows of history.json by table. own: crops of a garden's own by key, those of crops.toml, and in
    `unknown` the names of plants in plantings that no rule is known for.
    """

    rows: dict[str, Rows] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)
    skipped: list[str] = field(default_factory=list)
    history: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    own: dict[str, OwnCrop] = field(default_factory=dict)
    unknown: dict[str, str] = field(default_factory=dict)


def read_folder(path: Path) -> dict[str, bytes]:
    """The spreadsheets of a folder, or the one that the path names, by file name. Raises OSError."""
    paths = sorted(path.iterdir()) if path.is_dir() else [path]
    endings = (*_CSV, ".xlsx", *_OTHER_SHEETS)
    return {
        each.name: each.read_bytes()
        for each in paths
        if each.suffix.lower() in endings or each.name in ("history.json", OWN_CROPS)
    }


def read_files(
    files: Mapping[str, bytes], reading: Reading, problems: Problems, workbook: Workbook | None = None
) -> Tables:
    """Every table of every file, checked by itself; mistakes go to `problems`. workbook: None reads CSV alone."""
    found: dict[str, Sheet | None] = {}
    tables = Tables()
    for file, data in sorted(files.items()):
        before = len(problems.found)
        sheets = list(_sheets(file, data, problems, workbook))
        if not sheets and len(problems.found) > before:
            tables.broken.update(FILES)  # it may have held any of them
        for title, label, sheet in sheets:
            name = table_name(title)
            if name not in FILES:
                _unknown(name, label, tables, problems)
            elif name in found:
                what = problems.say.gettext("has {table} in it, and so has another file; send only one", table=name)
                problems.add(what, label)
            else:
                found[name] = sheet
    for name in FILES:
        if name in found:
            sheet = found[name]
            rows = None if sheet is None else read_rows(name, sheet, reading, problems)
            if rows is None:
                tables.broken.add(name)
            else:
                tables.rows[name] = rows
    return tables


def _sheets(
    file: str, data: bytes, problems: Problems, workbook: Workbook | None
) -> Iterator[tuple[str, str, Sheet | None]]:
    """Title, name for messages and content of each sheet of one file; None for one that cannot be read."""
    path = PurePath(file)
    ending = path.suffix.lower()
    if len(data) > MOST_BYTES:
        problems.add(problems.say.gettext("is bigger than {most} MB", most=MOST_BYTES // 1_000_000), file)
    elif ending in _CSV:
        name = table_name(path.stem)
        columns = column_names(name) if name in FILES else ()
        yield path.stem, file, read_csv(file, data, columns, problems) if columns else None
    elif ending == ".xlsx" and workbook is not None:
        sheets = workbook(file, data, problems)
        for title, sheet in sheets.items():
            # A workbook of one sheet, never renamed from "Sheet1", is called like its file.
            alone = len(sheets) == 1 and table_name(title) not in FILES
            yield path.stem if alone else title, sheet.file, sheet
    else:
        problems.add(problems.say.gettext("is a kind of file that I cannot read; save it as .xlsx or CSV"), file)


def _unknown(name: str, label: str, tables: Tables, problems: Problems) -> None:
    """A name near a known one is a slip; any other is somebody's notes, left alone and said so."""
    likely = near(name, FILES, _SLIP)
    if likely:
        what = problems.say.gettext("is not the name of a table; did you mean '{likely}'?", likely=likely)
        problems.add(what, label)
    else:
        tables.skipped.append(label)
