"""What a logging thermometer kept, taken at once, months of it too: read from a file, whoever hands it in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot import worker
from bot.core.weather.learn import Verdict
from bot.core.weather.logger import Log, Sample
from bot.core.weather.logger import read as read_log
from bot.core.weather.night import Site
from bot.i18n import Say
from bot.services.garden.received_files import Bundle
from bot.services.garden.records.files import read_csv
from bot.services.garden.records.problems import Problems, shown
from bot.services.weather import readings
from bot.services.weather.readings import Learnt
from bot.storage.models import Garden, Member, Reading, Thermometer

#: The columns of a log, each with other ways in which loggers write it.
COLUMNS: Mapping[str, tuple[str, ...]] = {
    "time": ("time", "timestamp", "date", "datetime", "date_time", "date/time", "date time"),
    "thermometer": ("thermometer", "sensor", "name"),
    "reading": ("reading", "temperature", "temp", "temperature_c", "temp_c", "temperature (°c)", "value"),
    "minimum": ("minimum", "min", "minimum_c", "min_c"),
}
MOST_LINES = 120_000  # a year of a value every five minutes
_MOST_PROBLEMS = 20
#: The columns of minima.csv: past nights near the garden, which are no thermometer's of its own.
_PAST_MINIMA = frozenset({"date", "min_c", "source", ""})
_COLDEST_C, _WARMEST_C = -60.0, 60.0
_DAY_FIRST = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})(.*)", re.DOTALL)


@dataclass(slots=True)
class Lines:
    """samples: by the name of a thermometer, empty where the file names none. problems: what could not be read."""

    samples: dict[str, list[Sample]] = field(default_factory=dict)
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Taken:
    """What one thermometer's log came to: nights in all, and of these taught, had before, without a forecast from before
    them, and far from what was expected. log: what was doubted.
    """

    thermometer: str
    log: Log
    taught_n: int = 0
    had_n: int = 0
    not_compared_n: int = 0
    odd_on: tuple[date, ...] = ()
    doubted_n: int = 0


def is_log(data: bytes) -> bool:
    """Whether a file's first line names a time and a reading or a minimum."""
    head = data[:400].replace(b"\0", b"").decode("utf-8-sig", "replace").splitlines()
    cells = re.split(r"[,;\t]", head[0]) if head else []
    if {cell.strip(" \"'").casefold() for cell in cells} <= _PAST_MINIMA:
        return False
    names = {_column(cell) for cell in cells}
    return "time" in names and bool({"reading", "minimum"} & names)


def lines_of(file: str, data: bytes, zone: ZoneInfo, say: Say) -> Lines:
    """The lines of a CSV. A time without an offset is of the garden's clock; days come before months.

    A line that cannot be read is named, and the others count.
    """
    problems = Problems(say)
    known = [one for names in COLUMNS.values() for one in names]
    sheet = read_csv(file, data, known, problems, MOST_LINES)
    found = Lines()
    if sheet is not None and sheet.lines:
        columns = [_column(str(cell or "")) for cell in sheet.lines[0].cells]
        for line in sheet.lines[1:]:
            cells = {
                name: str(cell) for name, cell in zip(columns, line.cells, strict=False) if name and cell is not None
            }
            _line(file, line.number, cells, zone, problems, found)
    told = [str(one) for one in problems.in_order()]
    more = [say.gettext("… and {n} more lines that I could not read.", n=len(told) - _MOST_PROBLEMS)]
    found.problems = tuple(told[:_MOST_PROBLEMS] + (more if len(told) > _MOST_PROBLEMS else []))
    return found


async def read(bundle: Bundle) -> Lines:
    """The lines of the first file, in a process of its own. Raises WorkerFailed; may simply be tried again."""
    return await worker.run("file", "bot.services.weather.logged:read_here", bundle, Lines)


def read_here(bundle: Bundle) -> Lines:
    """The same in this process; for the worker alone."""
    name, data = bundle.files[0]
    return lines_of(name, data, bundle.say.zone, bundle.say)


def _line(file: str, number: int, cells: Mapping[str, str], zone: ZoneInfo, problems: Problems, found: Lines) -> None:
    say = problems.say
    at = _moment(cells.get("time", ""), zone)
    if at is None:
        what = say.gettext("{value} is not a time; write it like 2026-04-14 05:10", value=shown(cells.get("time", "–")))
        problems.add(what, file, number)
        return
    for name, is_minimum in (("reading", False), ("minimum", True)):
        text = cells.get(name, "").strip()
        if not text:
            continue
        value_c = _degrees(text)
        if value_c is None:
            what = say.gettext("{value} is not a temperature in °C from -60 to 60", value=shown(text))
            problems.add(what, file, number)
            continue
        meter = cells.get("thermometer", "").strip()
        found.samples.setdefault(meter, []).append(Sample(at, value_c, is_minimum))


def _column(cell: str) -> str | None:
    bare = cell.strip(" \"'").casefold().replace("\ufffd", "°")
    return next((name for name, others in COLUMNS.items() if bare in others), None)


def _moment(text: str, zone: ZoneInfo) -> datetime | None:
    day_first = _DAY_FIRST.fullmatch(text.strip())
    if day_first:
        day, month, year, rest = day_first.groups()
        text = f"{year}-{month:0>2}-{day:0>2}{rest}"
    try:
        at = datetime.fromisoformat(text.strip())
        return (at if at.tzinfo is not None else at.replace(tzinfo=zone)).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _degrees(text: str) -> float | None:
    bare = text.replace("\u2212", "-").replace(",", ".").removesuffix("°C").removesuffix("C").strip()
    try:
        value = float(bare)
    except ValueError:
        return None
    return value if _COLDEST_C <= value <= _WARMEST_C else None


async def take(
    session: AsyncSession, row: Garden, member: Member | None, lines: Lines, now: datetime
) -> tuple[list[Taken], list[str]]:
    """Keep every night's minimum of these lines, and learn from it at once. Given again, nothing changes.

    Returns what each thermometer's nights came to, and names that no thermometer of the garden has. A log that names none
    is of the garden's only thermometer.
    """
    known = {one.name.casefold(): one for one in await readings.thermometers(session, row.id)}
    site = Site(row.latitude, row.longitude, row.altitude_m, row.tz, row.lay)
    taken, unknown = [], []
    for name, samples in sorted(lines.samples.items()):
        meter = known.get(name.casefold()) if name else next(iter(known.values())) if len(known) == 1 else None
        if meter is None:
            unknown.append(name)
            continue
        past = [one for one in samples if one.at <= now]
        taken.append(await _nights(session, row, member, meter, read_log(past, site), now))
    return taken, unknown


async def _nights(
    session: AsyncSession, row: Garden, member: Member | None, meter: Thermometer, log: Log, now: datetime
) -> Taken:
    had = await _had(session, meter, [night.evening_on for night in log.nights])
    taught_n = had_n = not_compared_n = doubted_n = 0
    odd: list[date] = []
    for night in log.nights:
        if night.evening_on in had:
            had_n += 1
            continue
        if night.doubt is not None:
            doubted_n += 1
            continue
        found = await readings.take(
            session, row, member, meter, night.min_c, night.evening_on, now, None,
            evening_on=night.evening_on, is_minimum=True,
        )  # fmt: skip
        taught_n += found.learnt is Learnt.YES and found.verdict is Verdict.ACCEPT
        not_compared_n += found.learnt is Learnt.NOT_COMPARED
        if found.verdict is Verdict.ASK:
            odd.append(night.evening_on)
    return Taken(meter.name, log, taught_n, had_n, not_compared_n, tuple(odd), doubted_n)


async def _had(session: AsyncSession, meter: Thermometer, evenings: Sequence[date]) -> Iterable[date]:
    """The nights of which this thermometer has a reading already."""
    if not evenings:
        return frozenset()
    between = Reading.night_on.between(min(evenings), max(evenings))
    query = select(Reading.night_on).where(Reading.thermometer_id == meter.id, between)
    return frozenset(await session.scalars(query))
