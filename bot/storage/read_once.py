"""What a session has read and nothing has changed since is not asked for a second time.

An answer to one message passes many rooms, and several of them ask the same. Each reading function that is marked says which
tables it reads; what it gave is kept in its session until the session changes a row of one of them.
"""

from __future__ import annotations

from collections.abc import Callable, Coroutine, Iterable
from functools import update_wrapper
from typing import Any, Concatenate, ParamSpec, TypeVar

from sqlalchemy import Table, event
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import ORMExecuteState, Session

from bot.storage.base import Base

__all__ = ["READING", "read_once", "watch"]

_Given = ParamSpec("_Given")
_Found = TypeVar("_Found")
_Read = Callable[Concatenate[AsyncSession, _Given], Coroutine[Any, Any, _Found]]

_KEPT = "read once"
#: What a session notes while a marked function reads: its tables.
READING = "reading"


def read_once(*tables: type[Base]) -> Callable[[_Read[_Given, _Found]], _Read[_Given, _Found]]:
    """tables: all that the function reads. What it gives is shared, so nobody changes it; its arguments are hashable."""
    named = frozenset(table.__tablename__ for table in tables)

    def marked(read: _Read[_Given, _Found]) -> _Read[_Given, _Found]:
        async def once(session: AsyncSession, /, *args: _Given.args, **kwargs: _Given.kwargs) -> _Found:
            sync = session.sync_session
            if sync.new or sync.deleted or sync.dirty:
                await session.flush()
            kept: dict[Any, tuple[frozenset[str], Any]] = session.info.setdefault(_KEPT, {})
            key = (read, args, *sorted(kwargs.items()))
            if key not in kept:
                outer = session.info.get(READING)
                session.info[READING] = named
                try:
                    found = await read(session, *args, **kwargs)
                finally:
                    session.info[READING] = outer
                kept[key] = (named, found)
            value: _Found = kept[key][1]
            return value

        update_wrapper(once, read)
        return once

    return marked


def watch(sessions: type[Session]) -> None:
    """Forget in every session of this class what it changes."""
    event.listen(sessions, "after_flush", _flushed)
    event.listen(sessions, "do_orm_execute", _executed)
    event.listen(sessions, "after_commit", _forget_all)
    event.listen(sessions, "after_soft_rollback", _forget_all)


def _flushed(session: Session, _context: Any) -> None:
    if session.deleted:  # and with it, perhaps, what belongs to it in other tables
        _forget_all(session)
    else:
        _forget(session, {row.__table__.name for row in (*session.new, *session.dirty)})


def _executed(state: ORMExecuteState) -> None:
    if state.is_select:
        if getattr(state.statement, "_for_update_arg", None) is not None:  # others may have written before it was ours
            _forget_all(state.session)
    else:
        table = getattr(state.statement, "table", None)
        if isinstance(table, Table) and not state.is_delete:
            _forget(state.session, {table.name})
        else:
            _forget_all(state.session)


def _forget(session: Session, changed: Iterable[str]) -> None:
    kept = session.info.get(_KEPT)
    if kept:
        changed = frozenset(changed)
        for key in [key for key, (tables, _) in kept.items() if tables & changed]:
            del kept[key]


def _forget_all(session: Session, *_more: Any) -> None:
    session.info.pop(_KEPT, None)
