"""CSV as spreadsheets write it: several encodings and separators, told from the file itself (RFC 4180 for the rest)."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Collection

from bot.crops.find import fold
from bot.services.garden.records.problems import Problems
from bot.services.garden.records.sheet import MOST_LINES, Line, Sheet, clear

__all__ = ["read_csv"]

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
