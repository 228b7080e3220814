"""A rehearsal: asked for, its garden copied out, and what was played, as values that a process of its own can take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import ColumnElement, Table, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather.forecast import Forecast
from bot.storage.models import (
    Base,
    Calendar,
    CalendarChange,
    CalendarEntry,
    Errand,
    Garden,
    Inbox,
    Member,
    Outbox,
    Person,
    Weather,
)
from bot.storage.states import ErrandKind
from bot.storage.wire import errand_rows

#: The longest that one is played, s; it is stopped after that.
LONGEST_S = 300.0

Rows = Mapping[str, Sequence[Mapping[str, Any]]]
#: Messages and work in hand stay behind, and what speaks of anything but the cold.
_LEFT_OUT = frozenset(
    table.__tablename__ for table in (Errand, Inbox, Outbox, Weather, Calendar, CalendarEntry, CalendarChange)
)


class SceneKind(StrEnum):
    """What is told of one moment."""

    GROUP = "group"  # the group reads it
    STANDING = "standing"  # what the group's message has come to say, without ringing
    ASKED = "asked"  # one member reads it
    ORGANISERS = "organisers"  # they read it
    DEED = "deed"  # people press a button


class Deed(StrEnum):
    YES = "yes"
    NO = "no"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class Scene:
    """at: aware, UTC. who: names, for ASKED and DEED. text: as sent, HTML; for DEED the value of a Deed."""

    at: datetime
    kind: SceneKind
    who: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Script:
    """What a rehearsal is played from. rows: of the garden, by table. language: of the organiser who reads it."""

    garden_id: int
    rows: Rows
    forecast: Forecast | None
    now: datetime
    language: str
    answering: bool


@dataclass(frozen=True, slots=True)
class Played:
    """evening_on: of the night that was played. invented_c: of its air, None where the forecast at hand has the cold.

    unreached: members who in truth have not pressed Start. scenes: in order; none where the cold harms nothing.
    """

    evening_on: date
    invented_c: float | None
    unreached: tuple[str, ...]
    scenes: tuple[Scene, ...]


async def is_waiting(session: AsyncSession, member: Member) -> bool:
    """Whether one that the member asked for is not told yet."""
    return await errand_rows.is_under_way(session, member.id, ErrandKind.REHEARSAL)


async def copy_of(session: AsyncSession, garden_id: int) -> Rows:
    """Every row of one garden and of nobody else's, by table, without messages."""
    found: dict[str, list[dict[str, Any]]] = {}
    for table in Base.metadata.sorted_tables:
        condition = None if table.name in _LEFT_OUT else _of_garden(table, garden_id)
        if condition is None:
            continue
        rows = await session.execute(select(table).where(condition))
        found[table.name] = [_by_itself(dict(row), garden_id) for row in rows.mappings()]
    return found


def _of_garden(table: Table, garden_id: int) -> ColumnElement[bool] | None:
    """What holds of a table's rows that belong to a garden; None for a table that belongs to none."""
    if table.name == Garden.__tablename__:
        return table.c.id == garden_id
    if table.name == Person.__tablename__:
        return table.c.id.in_(select(Member.person_id).where(Member.garden_id == garden_id))
    if "garden_id" in table.c:
        return table.c.garden_id == garden_id
    for key in table.foreign_keys:
        owner = None if key.parent.nullable else _of_garden(key.column.table, garden_id)
        if owner is not None:
            return key.parent.in_(select(key.column).where(owner))
    return None


def _by_itself(row: Mapping[str, Any], garden_id: int) -> dict[str, Any]:
    """The row without what points at messages or at another garden."""
    elsewhere = {"outbox_id"} | ({"garden_id"} if row.get("garden_id") != garden_id else set())
    return {name: None if name in elsewhere else value for name, value in row.items()}
