"""From the files that people give to the rows of each table; the one place that knows folders and endings.

CSV as spreadsheets write it: several encodings and separators, told from the file itself (RFC 4180 for the rest).
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePath
from typing import Any

from bot.crops.find import fold
from bot.crops.own import FILE as OWN_CROPS
from bot.crops.own import OwnCrop
from bot.services.garden.records.columns import FILES, column_names
from bot.services.garden.records.problems import Problems, near
from bot.services.garden.records.rows import Rows, read_rows
from bot.services.garden.records.sheet import MOST_BYTES, MOST_LINES, Line, Reading, Sheet, clear, table_name

_SEPARATORS = ",;\t"
#: What Windows-1250 has as ą, ł, ż, Ą, Ł, Ż (and others); letters of a word beside it tell it from "m³" and "£5".
_SIGN_IN_WORD = re.compile(r"[^\W\d_]{2}[¹³¿¾]|[¹³¥£¯¼¾][^\W\d_]")
_SEP_LINE = re.compile(r"sep=([,;\t])\r?\n", re.IGNORECASE)


def read_csv(
    file: str, data: bytes, columns: Collection[str], problems: Problems, most_n: int = MOST_LINES
) -> Sheet | None:
    """The sheet, or None after adding what is wrong. columns: the names to expect, which tell the separator."""
    text = _decoded(data, polish=problems.say.language == "pl")
    if text is None:
        problems.add(problems.say.gettext("has letters that I cannot read; save it as CSV UTF-8"), file)
        return None
    said = _SEP_LINE.match(text)
    if said:
        text = "\n" + text[said.end() :]  # the line stays counted
    separator = said[1] if said else _separator(text, columns)
    lines = _lines(file, text, separator, problems, most_n)
    return None if lines is None else Sheet(file, lines)


def _decoded(data: bytes, *, polish: bool) -> str | None:
    """The text; an 8-bit one is of central Europe where its reader is Polish or its words say so."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        tries = ["utf-16"]
    elif b"\0" in data[:200]:
        tries = ["utf-16-be" if data[0] == 0 else "utf-16-le"]
    else:
        tries = ["utf-8-sig", "cp1250" if polish or _is_central_european(data) else "cp1252", "cp1250"]
    for encoding in tries:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return None


def _is_central_european(data: bytes) -> bool:
    """Whether signs of Windows-1252 stand inside words, where Windows-1250 has letters: "³" for "ł", "¹" for "ą"."""
    return bool(_SIGN_IN_WORD.search(data.decode("cp1252", "replace")))


def _separator(text: str, columns: Collection[str]) -> str:
    """The sign that parts the first line into the most known columns."""
    header = next((line for line in text.splitlines() if line.strip()), "")
    known = {fold(name) for name in columns}

    def score(separator: str) -> tuple[int, int]:
        names = next(csv.reader([header], delimiter=separator), [])
        return sum(fold(name) in known for name in names), len(names)

    return max(_SEPARATORS, key=score)


def _lines(file: str, text: str, separator: str, problems: Problems, most_n: int) -> tuple[Line, ...] | None:
    # newline="" leaves line ends inside quotes alone, so that lines are counted as the file has them.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    lines: list[Line] = []
    number = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                lines.append(Line(number, tuple(clear(cell) or None for cell in cells)))
            number = reader.line_num + 1
    except csv.Error:
        what = problems.say.gettext("a quotation mark is opened and not closed, or the cell is too long")
        problems.add(what, file, number)
        return None
    if len(lines) > most_n:
        problems.add(problems.say.gettext("has more than {most} lines", most=most_n), file)
        return None
    return tuple(lines)


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
