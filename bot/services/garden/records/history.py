"""What no spreadsheet holds: keys, weeks on call, calendar, journal, rules, readings, warnings. One file, history.json.

Out and in by the tables' own columns, so that a new column is not left out. People, places, thermometers and batches go
by their names as in the other files; rows that belong to each other by the numbers that they had. Bringing it in adds
what is not there and changes nothing that is.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from sqlalchemy import Boolean, Column, Date, Double, Float, Integer, String, Time, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.calendar.entry import RuleError, checked
from bot.crops.mistakes import CropRulesError
from bot.services.calendar.entries import as_entry
from bot.services.garden.records.kept import Stored, load
from bot.services.garden.records.problems import Problems, Tally
from bot.services.garden.records.rows import key_of, same
from bot.services.growing import rules
from bot.storage.models import (
    Ask,
    Base,
    Calendar,
    CalendarChange,
    CalendarEntry,
    Entry,
    Garden,
    Key,
    KeyMove,
    Learned,
    NightOdds,
    OnCall,
    PastDay,
    PlaceLearned,
    PlaceReport,
    Reading,
    RuleChange,
    Task,
    Warning,
)  # fmt: skip
from bot.storage.states import WarningState
from bot.storage.tasks import tasks
from bot.storage.types import UtcMoment, Word

NAME = "history.json"
_FORMAT = 2

Row = dict[str, Any]
History = dict[str, list[Row]]


class HistoryError(ValueError):
    """What the file says would not stand up to the garden's own checks. The text names the table."""


@dataclass(frozen=True, slots=True)
class _Table:
    """identity: what makes a row the same thing as one that is there. parent: the column that leads to the garden.

    needs: columns that may be empty, and without which a row that had them means something else.
    """

    model: type[Base]
    identity: tuple[str, ...]
    parent: str = "garden_id"
    needs: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return str(self.model.__tablename__)


#: In an order in which a row comes before those that belong to it.
_TABLES = (
    _Table(Key, ("name",)),
    _Table(KeyMove, ("key_id", "moved_at", "state"), "key_id"),
    _Table(OnCall, ("starts_on", "member_id")),
    _Table(Calendar, ("garden_id",)),
    _Table(CalendarEntry, ("uid",)),
    _Table(CalendarChange, ("entry_id", "changed_at"), "entry_id"),
    _Table(Entry, ("written_at", "action", "done_on", "planting_id", "place_id", "amount", "words")),
    _Table(RuleChange, ("crop", "key")),
    _Table(Reading, ("thermometer_id", "read_at", "night_on", "value_c"), "thermometer_id"),
    _Table(Learned, ("garden_id",)),
    _Table(PlaceLearned, ("thermometer_id",), "thermometer_id"),
    _Table(PastDay, ("on",)),
    _Table(NightOdds, ("evening_on",)),
    _Table(Warning, ("hazard", "window_on")),
    _Table(Task, ("warning_id", "on", "place_id", "support_id", "kind"), needs=("warning_id", "place_id")),
    _Table(Ask, ("task_id", "member_id"), "task_id"),
    _Table(PlaceReport, ("place_id", "did", "at"), "place_id"),
)
#: Numbers of messages and of rows mean nothing elsewhere: what was pinned or said, and how to take an entry back.
_LEFT_OUT = frozenset({"garden_id", "pinned_id", "outbox_id", "undo", "item", "said_needs", "lost"})
_NAMED = ("members", "places", "thermometers")


async def export_history(session: AsyncSession, garden: Garden) -> bytes | None:
    """The file, or None when there is nothing to tell."""
    known = _Known.of(await load(session, garden))
    tables: History = {}
    taken: dict[str, set[int]] = {}
    for table in _TABLES:
        rows = [_out(table, row, known) for row in await _rows(session, table, garden.id, taken, known)]
        kept = [row for row in rows if row is not None]
        taken[table.name] = {row["id"] for row in kept if "id" in row}
        if kept:
            tables[table.name] = kept
    if not tables:
        return None
    return json.dumps({"format": _FORMAT, "tables": tables}, ensure_ascii=False, indent=1).encode()


def read_history(data: bytes, problems: Problems) -> History:
    """The rows by table, with their values as Python's; a file that cannot be read as a whole is a problem."""
    try:
        whole = json.loads(data)
        if whole["format"] != _FORMAT:
            raise ValueError(whole["format"])
        by_name = {table.name: table for table in _TABLES}
        return {name: [_in(by_name[name], row) for row in rows] for name, rows in whole["tables"].items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        problems.add(problems.say.gettext("is damaged, or from another version; export it again"), NAME)
        return {}


async def import_history(session: AsyncSession, garden: Garden, history: History) -> tuple[dict[str, Tally], int]:
    """Add what is not there; what it did by table, and how many rows speak of what the garden does not have.

    The rest of the records is stored already. Raises HistoryError.
    """
    known = _Known.of(await load(session, garden))
    ids: dict[str, dict[int, int]] = {}
    tallies: dict[str, Tally] = {}
    lost_n = 0
    for table in _TABLES:
        given = history.get(table.name, [])
        if not given:
            continue
        there = await _there(session, table, garden.id, known, ids)
        added, unchanged_n, numbers = [], 0, ids.setdefault(table.name, {})
        for row in given:
            values = _resolved(table, row, known, ids, garden.id)
            if values is None:
                lost_n += 1
                continue
            number, key = values.pop("id", None), _identity(table, values)
            found: Any = there.get(key)
            if found is None:
                found = table.model(**values)
                session.add(found)
                await session.flush()
                there[key] = found
                added.append(_label(values))
            else:
                unchanged_n += 1
            if number is not None:
                numbers[number] = found.id
        tallies[table.name] = Tally(tuple(added), (), unchanged_n)
    await _check(session, garden)
    return tallies, lost_n


async def _check(session: AsyncSession, garden: Garden) -> None:
    """A rule or a repetition that could not be read would stop the garden's watch."""
    try:
        await rules.of_garden(session, garden.id)
        for row in await session.scalars(select(CalendarEntry).where(CalendarEntry.garden_id == garden.id)):
            checked(as_entry(row))
    except (CropRulesError, KeyError, TypeError) as wrong:
        raise HistoryError("rule_changes") from wrong
    except RuleError as wrong:
        raise HistoryError("calendar_entries") from wrong


@dataclass(frozen=True, slots=True)
class _Known:
    """Names of what the other files hold by row number, and row numbers by name."""

    names: Mapping[str, Mapping[int, Any]]
    numbers: Mapping[str, Mapping[Hashable, int]]

    @classmethod
    def of(cls, stored: Stored) -> _Known:
        names: dict[str, dict[int, Any]] = {
            file: {kept.row.id: kept.values["name"] for kept in stored[file]} for file in _NAMED
        }
        names["plantings"] = {kept.row.id: _planting(kept.values) for kept in stored["plantings"]}
        seen: Counter[Hashable] = Counter()
        names["supports"] = {}
        for kept in stored["supports"]:
            key = key_of("supports", kept.values)
            seen[key] += 1
            names["supports"][kept.row.id] = [kept.values["place"], str(kept.values["kind"]), seen[key]]
        numbers = {file: {_comparable(name): id_ for id_, name in known.items()} for file, known in names.items()}
        return cls(names, numbers)


def _planting(values: Mapping[str, Any]) -> list[str]:
    return ["" if part is None else str(part) for part in key_of("plantings", values)]  # type: ignore[attr-defined]


def _comparable(name: Any) -> Hashable:
    return tuple(map(_comparable, name)) if isinstance(name, list) else same(name) if isinstance(name, str) else name


async def _rows(
    session: AsyncSession, table: _Table, garden_id: int, taken: Mapping[str, set[int]], known: _Known
) -> Sequence[Any]:
    parent = getattr(table.model, table.parent)
    if table.parent == "garden_id":
        condition = parent == garden_id
    else:
        of = _points_at(table.model.__table__.c[table.parent])
        condition = parent.in_(known.names[of] if of in known.names else taken.get(of, set()))
    if table.model is Warning:  # one in force is found anew there, with the people there
        condition &= Warning.state == WarningState.OVER
    if table.model is Task:
        past = Task.warning_id.is_(None) & Task.state.not_in(tasks.LIVE)
        condition &= past | Task.warning_id.in_(taken.get(Warning.__tablename__, set()))
    order = list(table.model.__table__.primary_key)
    return (await session.scalars(select(table.model).where(condition).order_by(*order))).all()


def _columns(table: _Table) -> Iterable[Any]:
    return (column for column in table.model.__table__.c if column.name not in _LEFT_OUT)


def _points_at(column: Any) -> str:
    """The table that a column's number is of; empty for any other column."""
    if column.name == "support_id":
        return "supports"  # which is no foreign key, since 0 stands for none
    return next((str(key.column.table.name) for key in column.foreign_keys), "")


def _out(table: _Table, row: Any, known: _Known) -> Row | None:
    """None for a row that is only about somebody who has left, or about something that is gone."""
    values: Row = {}
    for column in _columns(table):
        value, of = getattr(row, column.name), _points_at(column)
        if of in known.names and value is not None:
            value = known.names[of].get(value)
            if value is None and _is_needed(table, column):
                return None
        values[column.name] = value.isoformat() if isinstance(value, date | datetime | time) else value
    return values


def _is_needed(table: _Table, column: Any) -> bool:
    """Whether a row is left out when what a column of it named is not there."""
    return column.name in table.needs or not (column.nullable or column.name == "support_id")


def _in(table: _Table, row: Mapping[str, Any]) -> Row:
    """The values of one row. Raises ValueError and its like for what no column could hold."""
    values: Row = {}
    for column in _columns(table):
        if column.name in row:
            value, of = row[column.name], _points_at(column)
            named = bool(of) and not isinstance(value, int)
            values[column.name] = value if value is None or named else _read(column, value)
    return values


def _read(column: Column[Any], value: Any) -> Any:
    kind = column.type
    if isinstance(kind, Word):
        return kind.kind(value)
    if isinstance(kind, UtcMoment):
        read = datetime.fromisoformat(value)
        if read.tzinfo is None:
            raise ValueError(column.name)
        return read
    if isinstance(kind, Date):
        return date.fromisoformat(value)
    if isinstance(kind, Time):
        return time.fromisoformat(value)
    wanted: tuple[type[Any], ...] = (dict, list)
    if isinstance(kind, String):
        wanted = (str,)
        if len(value) > (kind.length or len(value)):
            raise ValueError(column.name)
    elif isinstance(kind, Boolean):
        wanted = (bool,)
    elif isinstance(kind, Integer):
        wanted = (int,)
    elif isinstance(kind, Float | Double):
        wanted = (int, float)
    if not isinstance(value, wanted):
        raise TypeError(column.name)
    return value


def _resolved(
    table: _Table, row: Row, known: _Known, ids: Mapping[str, Mapping[int, int]], garden_id: int
) -> Row | None:
    """The row with this garden's numbers; None when what it must belong to is not here."""
    values = dict(row)
    for column in _columns(table):
        of, value = _points_at(column), values.get(column.name)
        if not of or value is None:
            continue
        if of in known.numbers:
            values[column.name] = known.numbers[of].get(_comparable(value))
        else:
            values[column.name] = ids.get(of, {}).get(value)
        if column.name == "support_id":
            values[column.name] = values[column.name] or 0
        elif values[column.name] is None and _is_needed(table, column):
            return None
    if values.get("support_id", 0) is None:
        values["support_id"] = 0
    if "garden_id" in table.model.__table__.c:
        values["garden_id"] = garden_id
    return values


async def _there(
    session: AsyncSession, table: _Table, garden_id: int, known: _Known, ids: Mapping[str, Mapping[int, int]]
) -> dict[Hashable, Any]:
    """What the garden has already, by what makes it the same."""
    query = select(table.model)
    parent = getattr(table.model, table.parent)
    if table.parent == "garden_id":
        query = query.where(parent == garden_id)
    else:
        of = _points_at(table.model.__table__.c[table.parent])
        query = query.where(parent.in_((known.numbers.get(of) or ids.get(of, {})).values()))
    rows = await session.scalars(query)
    return {_identity(table, {name: getattr(row, name) for name in table.identity}): row for row in rows}


def _identity(table: _Table, values: Mapping[str, Any]) -> Hashable:
    return tuple(
        str(value) if isinstance(value, str) else value for value in (values.get(name) for name in table.identity)
    )


def _label(values: Mapping[str, Any]) -> str:
    """What a row is called in a report."""
    for name in ("name", "title", "done_on", "night_on", "evening_on", "window_on", "starts_on", "crop", "moved_at"):
        value = values.get(name)
        if value is not None:
            return str(value)[:60]
    return "–"
