"""What is kept of a service's last answer between two requests, as its terms ask. The caller keeps it, as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime
from typing import Any

from bot.forecasts.reader import Point

__all__ = ["Stored", "from_row", "to_row"]


@dataclass(frozen=True, slots=True)
class Stored:
    """One service's state for one place.

    body: the last good answer, empty before there was one. fetched_at: when it was fetched or last confirmed.
    expires_at: no request before it. last_modified: that header's text, word for word.
    retry_after_at: after a failure, no request before it. leave_until_at: the service wants no request before it, for
    whichever place. failures: how many in a row.
    note: why the last request failed, or what the service warns of; empty when all is well.
    """

    service: str
    point: Point
    body: str = ""
    fetched_at: datetime | None = None
    expires_at: datetime | None = None
    last_modified: str | None = None
    retry_after_at: datetime | None = None
    failures: int = 0
    note: str = ""
    leave_until_at: datetime | None = None

    @property
    def due_at(self) -> datetime | None:
        """From when on the service's terms allow a request; None for now."""
        return max((at for at in (self.expires_at, self.retry_after_at) if at is not None), default=None)

    def due(self, now: datetime) -> bool:
        """Whether the service's terms allow a request now."""
        return self.due_at is None or self.due_at <= now


def to_row(stored: Stored) -> dict[str, Any]:
    """As plain JSON values."""
    return {name: value.isoformat() if isinstance(value, datetime) else value for name, value in asdict(stored).items()}


def from_row(row: Mapping[str, Any]) -> Stored | None:
    """The Stored that `to_row` made; None where the row is of another form, so that the service is asked anew."""
    try:
        known = {"leave_until_at": None, **row}  # there are rows from before it was kept
        values = {name: known[name] for name in (field.name for field in fields(Stored))}
        moments = {name: _moment(value) for name, value in values.items() if name.endswith("_at")}
        return Stored(**{**values, **moments, "point": Point(**values["point"])})
    except (KeyError, TypeError, ValueError):
        return None


def _moment(value: Any) -> datetime | None:
    return None if value is None else datetime.fromisoformat(value).astimezone(UTC)
