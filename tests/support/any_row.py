"""A row of any table, for what must hold of all of them: the first rows point at each other."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from sqlalchemy import JSON, Boolean, Column, Date, Float, Integer, LargeBinary, Table, Time

from bot.storage.types import UtcMoment, Word

__all__ = ["NOW", "SOMEBODY_ELSE", "any_value", "points_at_people"]

NOW = datetime(2026, 7, 1, 9, 0, tzinfo=UTC)
#: The number of a member who is nobody's business.
SOMEBODY_ELSE = 9


def points_at_people(column: Column[Any]) -> bool:
    return any(key.column.table.name in ("members", "people") for key in column.foreign_keys)


def any_value(table: Table, column: Column[Any], n: int) -> Any:
    """Something for any column; the first rows of all tables point at each other, and who else is needed is somebody else."""
    if (table.name, column.name) == ("members", "left_at"):
        return None
    if column.name == "support_id":
        return n
    if column.foreign_keys:
        if any(key.column.table.name in ("journal", "outbox") for key in column.foreign_keys):
            return None
        return 1 if not points_at_people(column) else None if column.nullable else SOMEBODY_ELSE
    if isinstance(column.type, Word):
        return next(iter(column.type.kind))
    if isinstance(column.type, UtcMoment):
        return NOW + timedelta(hours=n)
    if isinstance(column.type, JSON):
        return {}
    if isinstance(column.type, LargeBinary):
        return b"name,plots"
    for kind, value in ((Boolean, True), (Integer, n), (Float, 1.0), (Date, date(2026, 7, n)), (Time, time(9))):
        if isinstance(column.type, kind):
            return value
    return f"{column.name} {n}"[:20]
