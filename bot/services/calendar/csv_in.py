"""The calendar from a spreadsheet: date, until, time, title, crop. One line an entry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from bot.core.calendar.entry import MOST_TITLE_N, Entry, EntryKind
from bot.core.growing.crop import Crop
from bot.crops.find import company, fold, match
from bot.i18n import Say
from bot.services.calendar.remarks import plain_title
from bot.services.calendar.written_hours import ClockError, Hours, hours, timed
from bot.services.garden.records.files import read_csv
from bot.services.garden.records.problems import CellError, Problem, Problems, near, shown
from bot.services.garden.records.sheet import Line, Reading
from bot.services.garden.records.written_days import day

COLUMNS = ("date", "until", "time", "title", "crop")
_NEEDED = ("date", "title")


@dataclass(frozen=True, slots=True)
class FromSheet:
    """entries: their kinds still OTHER. problems: every mistake, with its line; such lines are not among the entries."""

    entries: tuple[Entry, ...]
    problems: tuple[Problem, ...]


def read_sheet(file: str, data: bytes, crops: Mapping[str, Crop], say: Say, today: date) -> FromSheet:
    """The entries of a CSV file as spreadsheets write it."""
    problems = Problems(say)
    sheet = read_csv(file, data, COLUMNS, problems)
    if sheet is None or not sheet.lines:
        if not problems.found:
            problems.add(say.gettext("is empty; its first line must name the columns"), file)
        return FromSheet((), tuple(problems.found))
    header, *lines = sheet.lines
    columns = _columns(file, header, problems)
    reading = Reading(say, today)
    entries = [_entry(file, line, columns, crops, reading, problems) for line in lines] if columns else []
    return FromSheet(tuple(entry for entry in entries if entry is not None), tuple(problems.found))


def _columns(file: str, header: Line, problems: Problems) -> dict[str, int]:
    """Where each column stands; empty when the header cannot be used."""
    say, found = problems.say, {}
    for position, cell in enumerate(header.cells):
        name = next((name for name in COLUMNS if fold(str(cell or "")) == name), None)
        if name is not None and name not in found:
            found[name] = position
        elif cell is not None:
            likely = near(str(cell), COLUMNS) or say.and_list(COLUMNS)
            what = say.gettext("there is no column '{value}'; write {known}", value=shown(cell), known=likely)
            problems.add(what, file, header.number)
    for name in _NEEDED:
        if name not in found:
            problems.add(say.gettext("the column {column} is missing", column=name), file, header.number)
    return {} if any(name not in found for name in _NEEDED) else found


def _entry(
    file: str, line: Line, columns: Mapping[str, int], crops: Mapping[str, Crop], reading: Reading, problems: Problems
) -> Entry | None:
    cells = {name: str(line.cells[at]) if at < len(line.cells) and line.cells[at] is not None else ""
             for name, at in columns.items()}  # fmt: skip
    column = "title"
    try:
        title = _title(cells["title"], reading.say)
        column = "date"
        first_on = day(_filled(cells["date"], reading.say), reading)
        column = "until"
        last_on = _until(cells.get("until", ""), first_on, reading)
        column = "time"
        times = _hours(cells.get("time", ""), reading.say)
        column = "crop"
        crop = _crop(cells.get("crop", ""), crops, reading.say)
    except CellError as wrong:
        problems.add(str(wrong), file, line.number, column)
        return None
    entry = Entry(title, EntryKind.OTHER, first_on, last_on, crop=crop)
    return timed(entry, times) if times else entry


def _filled(cell: str, say: Say) -> str:
    if not cell:
        raise CellError(say.gettext("is empty; it must be filled in"))
    return cell


def _title(cell: str, say: Say) -> str:
    title = plain_title(_filled(cell, say))
    if len(title) > MOST_TITLE_N:
        raise CellError(say.gettext("is {n} letters long; write at most {most}", n=len(title), most=MOST_TITLE_N))
    return title


def _until(cell: str, first_on: date, reading: Reading) -> date:
    last_on = day(cell, reading) if cell else first_on
    if last_on < first_on:
        raise CellError(reading.say.gettext("must come after {earlier}; look at both", earlier="date"))
    if (last_on - first_on).days > 366:
        raise CellError(reading.say.gettext("is more than a year after {earlier}; look at both", earlier="date"))
    return last_on


def _hours(cell: str, say: Say) -> Hours | None:
    try:
        return hours(cell) if cell else None
    except ClockError:
        raise CellError(
            say.gettext("'{value}' is not a time; write one such as 10-12 or 14:00-16:30", value=shown(cell))
        ) from None


def _crop(cell: str, crops: Mapping[str, Crop], say: Say) -> str | None:
    if not cell or cell in crops:
        return cell or None
    names = {key: (crop.name, *crop.aliases) for key, crop in crops.items()}
    local = {} if say.language == "en" else {say.pgettext("crop", crop.name): key for key, crop in crops.items()}
    found = match(cell, names, local, company(say.language).others)
    if found is not None and found.sure and len(found.keys) == 1 and found.words == fold(cell):
        return found.keys[0]
    known = say.or_list(found.keys) if found and found.keys else None
    if known:
        raise CellError(say.gettext("'{value}' may mean {known}; write which", value=shown(cell), known=known))
    raise CellError(
        say.gettext("'{value}' is not a crop that Gatepost knows; write its usual English name", value=shown(cell))
    )
