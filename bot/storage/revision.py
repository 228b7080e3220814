"""Since when a garden's records are as they are: a number on its row, raised by the session for any change of its rows.

The session sees each row that is added, changed or deleted, and each statement that changes many at once; so nobody who
writes has to think of it. What was looked at under a number holds as long as the number does; so does the moment at
which the garden is to be looked at again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import BinaryExpression, BindParameter, Column, Table, event, exists, inspect, or_, select, update
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import ORMExecuteState, Session
from sqlalchemy.sql import operators

from bot.storage.models import Garden, Member, Person

_TABLES = Garden.metadata.tables
_GARDENS, _PEOPLE, _MEMBERS = (_TABLES[one.__tablename__] for one in (Garden, Person, Member))
_CHANGED, _COUNT = "gardens changed", "times changed"
#: What a session notes of itself: rows that its last flush has changed; the revisions that its commit has raised, by
#: garden, where it says of which.
MODIFIED, RAISED = "rows modified", "revisions raised"
#: Of a statement of this module, or one that removes what no look rests on any more: it raises no revision, and changes
#: nothing that is kept.
OURS = "raises revisions"
UNNOTED = {OURS: True, "synchronize_session": False}
#: In place of numbers: a statement changed rows of whichever gardens.
_EVERY = "every"


@cache
def parent(table: Table) -> Column[Any] | None:
    """The column by which a table's rows lead to a garden: the garden's own, or of a row that has one.

    None where none does, or where no look rests on the table.
    """
    if table.info.get("unseen"):
        return None
    if "garden_id" in table.c and table.c["garden_id"].foreign_keys:
        return table.c["garden_id"]
    for column in table.columns:
        for key in column.foreign_keys:
            if not column.nullable and "garden_id" in key.column.table.c:
                return column
    return None


def rests_on(table: Table) -> bool:
    """Whether a change of its rows raises the revision of the garden that they belong to."""
    return table in (_GARDENS, _PEOPLE) or parent(table) is not None


async def look_again(session: AsyncSession, garden_id: int, revision: int, at: datetime | None) -> None:
    """When the garden is to be looked at again, unless its records have changed since that revision; that raises none."""
    seen = update(_GARDENS).where(_GARDENS.c.id == garden_id, _GARDENS.c.revision == revision)
    await session.execute(seen.values(next_look_at=at), execution_options=UNNOTED)


async def ask_weather(session: AsyncSession, garden_id: int, at: datetime | None) -> None:
    """When a weather service may be asked for the garden again; no record of the garden changes by that."""
    query = update(_GARDENS).where(_GARDENS.c.id == garden_id).values(ask_weather_at=at)
    await session.execute(query, execution_options=UNNOTED)


def changes(session: Session) -> int:
    """How often this transaction has changed rows of gardens, by what has been flushed."""
    return int(session.info.get(_COUNT, 0))


def watch(sessions: type[Session]) -> None:
    """Raise revisions in every session of this class."""
    event.listen(sessions, "after_flush", _flushed)
    event.listen(sessions, "do_orm_execute", _executed)
    event.listen(sessions, "before_commit", _committing)
    event.listen(sessions, "after_rollback", _rolled_back)


def _flushed(session: Session, _context: Any) -> None:
    changed = [(row, _changed(row)) for row in session.dirty]
    session.info[MODIFIED] = [row for row, names in changed if names]
    # What a look may rest on; a table says in `UNSEEN` which of its columns none does.
    seen = [row for row, names in changed if names - getattr(row, "UNSEEN", frozenset())]
    for row in (*session.new, *seen, *session.deleted):
        _note(session, row.__table__, row)


def _changed(row: Any) -> set[str]:
    """The attributes of a row that are not as they were read; only those can be that were set at all."""
    state = inspect(row)
    return {name for name in state.committed_state if state.attrs[name].history.has_changes()}


def _note(session: Session, table: Table, row: Any) -> None:
    if table is _GARDENS:
        _add(session, _GARDENS, row.id)
    elif table is _PEOPLE:
        _add(session, _PEOPLE, row.id)
    elif (column := parent(table)) is not None:
        number = getattr(row, column.name)
        _add(session, _points_at(column), _EVERY if number is None and column.nullable else number)


def _points_at(column: Column[Any]) -> Table:
    return next(key.column.table for key in column.foreign_keys)


def _add(session: Session, table: Table, number: Any) -> None:
    if number is None:
        return
    session.info.setdefault(_CHANGED, defaultdict(set))[table].add(number)
    session.info[_COUNT] = changes(session) + 1


def _executed(state: ORMExecuteState) -> Any:
    """A statement that has changed many rows: of one garden, where it says of which, else of all."""
    if not (state.is_insert or state.is_update or state.is_delete) or state.execution_options.get(OURS):
        return None
    statement: Any = state.statement
    table = statement.table
    column = parent(table) if table not in (_GARDENS, _PEOPLE) else None
    if table not in (_GARDENS, _PEOPLE) and column is None:
        return None
    result: Any = state.invoke_statement()
    if result.rowcount:
        _add(state.session, *(_of_whom(statement, table) or (_GARDENS, _EVERY)))
    return result


def _of_whom(statement: Any, table: Table) -> tuple[Table, Any] | None:
    """The garden, or the row of one garden (a member, a place), whose rows alone a statement about many has changed."""
    if table == _PEOPLE:  # who was put on one garden's list may be a member of others
        return None
    own = [column for column in table.columns if column.name == "garden_id"]
    for column in (*own, *table.columns):
        to = _points_at(column) if column.foreign_keys else None
        leads = to is _GARDENS or (to is not None and to is not _PEOPLE and "garden_id" in to.c)
        if to is not None and leads and (number := _equals(statement, column)) is not None:
            return to, number
    return None


def _equals(statement: Any, column: Column[Any]) -> Any:
    """What the statement's rows have in a column, where it says so plainly."""
    for one in getattr(statement, "_where_criteria", ()):
        if isinstance(one, BinaryExpression) and one.operator is operators.eq and isinstance(one.right, BindParameter):
            left: Any = one.left
            if left.table.name == column.table.name and left.name == column.name:
                return one.right.effective_value
    return None


def _committing(session: Session) -> None:
    if session.in_nested_transaction():
        return
    session.flush()
    changed = session.info.get(_CHANGED)
    _forget(session)
    session.info[RAISED] = {}
    if changed:
        raised = session.execute(_raised(changed), execution_options=UNNOTED)
        session.info[RAISED] = {} if _EVERY in changed.get(_GARDENS, ()) else dict(raised.all())


def _rolled_back(session: Session) -> None:
    """A part of the transaction that is undone leaves what was changed before it: that stays noted, and it is one change
    more, since what was looked at within that part holds no longer.
    """
    if not session.in_nested_transaction():
        _forget(session)
    elif changes(session):
        session.info[_COUNT] = changes(session) + 1


def _forget(session: Session) -> None:
    session.info.pop(_CHANGED, None)
    session.info.pop(_COUNT, None)


def _raised(changed: dict[Table, set[Any]]) -> Any:
    raised = update(_GARDENS).values(revision=_GARDENS.c.revision + 1, next_look_at=None)
    if _EVERY in changed.get(_GARDENS, ()):
        return raised
    return raised.where(or_(*_whose(changed))).returning(_GARDENS.c.id, _GARDENS.c.revision)


def _whose(changed: dict[Table, set[Any]]) -> Iterable[Any]:
    for table, numbers in changed.items():
        if table is _GARDENS:
            yield _GARDENS.c.id.in_(numbers)
        elif table is _PEOPLE:
            yield _GARDENS.c.id.in_(select(_MEMBERS.c.garden_id).where(_MEMBERS.c.person_id.in_(numbers)))
        else:
            whose = select(table.c.garden_id).where(table.c.id.in_(numbers))
            yield _GARDENS.c.id.in_(whose)
            if table.c.garden_id.nullable:  # what is nobody's own is everybody's
                yield exists(whose.where(table.c.garden_id.is_(None)))
