"""Column types: one UTC moment, and enums stored by their words."""

from __future__ import annotations

from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import DateTime, Dialect, String, TypeDecorator


class UtcMoment(TypeDecorator[datetime]):
    """An aware moment, kept in UTC. A naive value is refused: it has no meaning that storage could keep."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"the moment {value.isoformat()} has no zone; pass an aware datetime")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        # SQLite keeps no zone; what was bound was UTC.
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Word(TypeDecorator[StrEnum]):
    """An enum stored as its word, so that a table reads without the code and a new word needs no migration."""

    impl = String(40)
    cache_ok = True

    def __init__(self, kind: type[StrEnum]) -> None:
        super().__init__()
        self.kind = kind

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        return None if value is None else str(self.kind(value))

    def process_result_value(self, value: Any, dialect: Dialect) -> StrEnum | None:
        return None if value is None else self.kind(value)
