"""From the lines of a sheet to checked rows: columns by their names, cells by their columns."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bot.core.garden.snapshot import Stage
from bot.crops.find import fold
from bot.services.garden.records.columns import FILES, Column, column_names
from bot.services.garden.records.problems import CellError, Problems, near, shown
from bot.services.garden.records.sheet import Line, Raw, Reading, Sheet
from bot.services.garden.records.written_days import day, month_comes_first, past_day


@dataclass(frozen=True, slots=True)
class Row:
    """values: by column name, only of columns that the file has and cells that could be read."""

    line: int
    values: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Rows:
    """What one file says. file: for messages. columns: those that it has."""

    file: str
    columns: frozenset[str]
    rows: tuple[Row, ...]


_SLIP = 0.7  # difflib ratio of a slip of the pen: "phone" is none of "role", "lenght_m" is one of "length_m"
_LARGEST_M2 = 1000  # a bed of a community garden has some ten: common practice, no source
_MOST_COLUMNS = 100

#: What makes a row the same thing in two files.
KEYS = {
    "garden": ("name",),
    "members": ("name",),
    "plots": ("name",),
    "places": ("name",),
    "thermometers": ("name",),
    "plantings": ("crop", "variety", "batch", "place"),
    "minima": ("date",),
    "supports": ("place", "kind"),
    "free_times": ("member", "weekday"),
    "aways": ("member", "from"),
}
#: These have no names of their own: the second canes of a bed are the second in any file.
COUNTED = frozenset({"supports", "free_times", "aways"})
# Days and hours that follow each other: (file, earlier, later, may be the same).
_ORDER = (
    ("plantings", "sown_on", "potted_on", True),
    ("plantings", "sown_on", "hardening_on", True),
    ("plantings", "sown_on", "planted_on", True),
    ("plantings", "sown_on", "ended_on", True),
    ("aways", "from", "to", True),
    ("free_times", "from", "to", False),
)


def read_rows(name: str, sheet: Sheet, reading: Reading, problems: Problems) -> Rows | None:
    """The rows of one file, or None when its header cannot be used; every mistake goes to `problems`."""
    if not sheet.lines:
        problems.add(problems.say.gettext("is empty; its first line must name the columns"), sheet.file)
        return None
    header, *lines = sheet.lines
    before = len(problems.found)
    columns = _header(name, sheet.file, header, lines, problems)
    usable = len(problems.found) == before  # what is wrong in the rows is said all the same
    reading = replace(reading, day_zero=sheet.day_zero)
    readings = {position: _for_column(column, position, lines, reading) for position, column in columns.items()}
    for position, own in readings.items():
        if own.month_first:
            column_is = problems.say.gettext(
                "the month comes first in the column {column}", column=columns[position].name
            )
            problems.remarks.append(problems.say.gettext("{file}: {what}", file=sheet.file, what=column_is))
    rows = tuple(_row(sheet.file, line, columns, readings, problems) for line in lines)
    _check_order(name, sheet.file, rows, problems)
    _check_size(name, sheet.file, rows, problems)
    return Rows(sheet.file, frozenset(column.name for column in columns.values()), rows) if usable else None


def _for_column(column: Column, position: int, lines: Sequence[Line], reading: Reading) -> Reading:
    """How this column's days are written: with the month first where one of them can't be read otherwise, and none
    speaks against it."""
    if column.read not in (day, past_day):
        return reading
    cells = [line.cells[position] for line in lines if position < len(line.cells)]
    return replace(reading, month_first=month_comes_first(cells))


def same(name: str) -> str:
    """Two names that are alike in this are one name: case and the number of spaces do not matter."""
    return " ".join(name.casefold().split())


def key_of(name: str, values: Mapping[str, Any]) -> Hashable:
    """What makes this row the same thing as another of its file. An ended planting leaves its place to the next."""
    key = tuple(same(value) if isinstance(value := values.get(column) or "", str) else value for column in KEYS[name])
    ended = name == "plantings" and values.get("stage") is Stage.ENDED
    return (*key, values.get("ended_on")) if ended else key


def _header(name: str, file: str, header: Line, lines: Sequence[Line], problems: Problems) -> dict[int, Column]:
    """The column at each position that has one. What is no column here is left out, unless it looks like a slip."""
    say, known = problems.say, {_bare(column.name): column for column in FILES[name]}
    found: dict[int, Column] = {}
    for position, cell in enumerate(header.cells):
        column = known.get(_bare(str(cell or "")))
        if column is None and cell is not None:
            _other_column(name, str(cell), file, header.number, problems)
        elif column is not None and column in found.values():
            problems.add(say.gettext("the column {column} is there twice", column=column.name), file, header.number)
        elif column is not None:
            found[position] = column
    for column in FILES[name]:
        if column.needed and column not in found.values():
            problems.add(say.gettext("the column {column} is missing", column=column.name), file, header.number)
    nameless = {
        position for position in range(_MOST_COLUMNS) if position >= len(header.cells) or not header.cells[position]
    }
    if any(cell is not None and position in nameless for line in lines for position, cell in enumerate(line.cells)):
        problems.left_out.append(say.gettext("{file}, a column without a name", file=file))
    return found


def _bare(name: str) -> str:
    return fold(name).replace(" ", "")


def _other_column(name: str, written: str, file: str, line: int, problems: Problems) -> None:
    say, likely = problems.say, near(written, column_names(name), _SLIP)
    if likely is None:
        problems.left_out.append(say.gettext("{file}, column {column}", file=file, column=shown(written)))
        return
    what = say.gettext("there is no column '{value}'; did you mean '{likely}'?", value=shown(written), likely=likely)
    problems.add(what, file, line)


def _check_size(name: str, file: str, rows: Sequence[Row], problems: Problems) -> None:
    """A bed as large as a field was most likely measured in centimetres or feet."""
    for row in rows if name == "places" else ():
        length_m, width_m = row.values.get("length_m"), row.values.get("width_m")
        if length_m and width_m and length_m * width_m > _LARGEST_M2:
            what = problems.say.gettext(
                "{length} by {width} metres is bigger than {most} square metres; did you mean centimetres? "
                "Write metres, such as 4 and 1.2, and divide a field into beds",
                length=f"{length_m:g}", width=f"{width_m:g}", most=_LARGEST_M2,
            )  # fmt: skip
            problems.add(what, file, row.line, "length_m")


def _row(
    file: str, line: Line, columns: Mapping[int, Column], readings: Mapping[int, Reading], problems: Problems
) -> Row:
    values: dict[str, Any] = {}
    for position, column in columns.items():
        raw = line.cells[position] if position < len(line.cells) else None
        try:
            values[column.name] = _value(raw, column, readings[position])
        except CellError as wrong:
            problems.add(str(wrong), file, line.number, column.name)
    return Row(line.number, values)


def _value(raw: Raw | None, column: Column, reading: Reading) -> Any:
    if raw is not None:
        return column.read(raw, reading)
    if column.filled:
        raise CellError(reading.say.gettext("is empty; it must be filled in"))
    return column.default


def _check_order(name: str, file: str, rows: Sequence[Row], problems: Problems) -> None:
    for of, earlier, later, may_equal in _ORDER:
        for row in rows if of == name else ():
            first, then = row.values.get(earlier), row.values.get(later)
            if first is not None and then is not None and (then < first or (then == first and not may_equal)):
                what = problems.say.gettext("must come after {earlier}; look at both", earlier=earlier)
                problems.add(what, file, row.line, later)


def check_twice(name: str, rows: Rows, problems: Problems) -> None:
    """Adds each row that is the same thing as one above it; crops must be keys by now."""
    lines: dict[Hashable, int] = {}
    for row in rows.rows:
        if name in COUNTED or any(column not in row.values for column in KEYS[name] if column in _needed(name)):
            continue
        key = key_of(name, row.values)
        if key in lines:
            problems.add(_twice(name, row, lines[key], problems), rows.file, row.line)
        lines.setdefault(key, row.line)


def _needed(name: str) -> frozenset[str]:
    return frozenset(column.name for column in FILES[name] if column.needed)


def _twice(name: str, row: Row, line: int, problems: Problems) -> str:
    say, value = problems.say, shown(row.values[KEYS[name][0]])
    if name == "plantings":
        return say.gettext(
            "'{value}' is also on line {line}, with the same place; give each batch its own name",
            value=value, line=line,
        )  # fmt: skip
    return say.gettext(
        "'{value}' is also on line {line}; keep one, or give them different names", value=value, line=line
    )
