"""What a session has read and nothing has changed since is not asked for a second time.

An answer to one message passes many rooms, and several of them ask the same. Each reading function that is marked says which
tables it reads; what it gave is kept in its session until the session changes a row of one of them.

What a look rests on lasts beyond the session: while the garden's revision stands, and where only this process has raised it,
but for what reads a table that was changed with it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Coroutine, Hashable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import update_wrapper
from typing import Any, Concatenate, ParamSpec, TypeVar

from sqlalchemy import Table, event
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import ORMExecuteState, Session

from bot.storage.base import Base
from bot.storage.kept import Kept
from bot.storage.revision import MODIFIED, OURS, RAISED, rests_on

_Given = ParamSpec("_Given")
_Found = TypeVar("_Found")
_Wanted = TypeVar("_Wanted", bound=Hashable)
_Read = Callable[Concatenate[AsyncSession, _Given], Coroutine[Any, Any, _Found]]
_ReadMany = Callable[[AsyncSession, Collection[_Wanted]], Coroutine[Any, Any, Mapping[_Wanted, _Found]]]

_ONCE = "read once"
#: What a session notes while a marked function reads: its tables.
READING = "reading"
#: Of a session: what lasts, by garden (`Kept`); by garden, with which revision and which reads it began; the tables that
#: it has changed, `_EVERY` where that may be any.
READS, _BEGAN, _CHANGED, _EVERY = "reads", "read since", "tables changed", "every table"

#: By function and arguments, the garden's number first where it lasts: its tables, and what it gave.
_Key = tuple[Any, ...]
_Kept = tuple[frozenset[str], Any]
#: The revision of a garden under which these hold.
Reads = tuple[int, Mapping[_Key, _Kept]]
#: The functions whose reads last.
_LASTING: set[Any] = set()


def read_once(*tables: type[Base]) -> Callable[[_Read[_Given, _Found]], _Read[_Given, _Found]]:
    """tables: all that the function reads. What it gives is shared, so nobody changes it; its arguments are hashable."""
    return lambda read: _marked(read, tables, lasts=False)


def lasting(*tables: type[Base]) -> Callable[[_Read[_Given, _Found]], _Read[_Given, _Found]]:
    """The same, and it lasts beyond the session. What it gives are plain values, no rows; its first argument is the garden,
    by its number or its row."""
    return lambda read: _marked(read, tables, lasts=True)


def _marked(read: _Read[_Given, _Found], tables: Iterable[type[Base]], *, lasts: bool) -> _Read[_Given, _Found]:
    named = frozenset(table.__tablename__ for table in tables)
    if lasts and not all(rests_on(Base.metadata.tables[name]) for name in named):
        raise TypeError(f"{read.__name__}: a change of what it reads must raise the garden's revision")
    if lasts:
        _LASTING.add(read)

    async def once(session: AsyncSession, /, *args: _Given.args, **kwargs: _Given.kwargs) -> _Found:
        kept = await _kept(session)
        first = (getattr(args[0], "id", args[0]),) if lasts else ()
        key = (read, *first, *args[len(first) :], *sorted(kwargs.items()))
        if key not in kept:
            with _reading(session, named):
                found = await read(session, *args, **kwargs)
            kept[key] = (named, found)
        value: _Found = kept[key][1]
        return value

    update_wrapper(once, read)
    return once


def read_each(
    *tables: type[Base],
) -> Callable[[_ReadMany[_Wanted, _Found]], _ReadMany[_Wanted, _Found]]:
    """The same for a function that reads for many at once: it is asked only for those that were not read yet."""
    named = frozenset(table.__tablename__ for table in tables)

    def marked(read: _ReadMany[_Wanted, _Found]) -> _ReadMany[_Wanted, _Found]:
        async def each(session: AsyncSession, wanted: Collection[_Wanted], /) -> Mapping[_Wanted, _Found]:
            kept = await _kept(session)
            if new := [one for one in wanted if (read, one) not in kept]:
                with _reading(session, named):
                    found = await read(session, new)
                kept.update({(read, one): (named, found[one]) for one in new})
            return {one: kept[read, one][1] for one in wanted}

        update_wrapper(each, read)
        return each

    return marked


async def _kept(session: AsyncSession) -> dict[_Key, _Kept]:
    """What this session has read and not changed since."""
    sync = session.sync_session
    if sync.new or sync.deleted or sync.dirty:
        await session.flush()
    kept: dict[_Key, _Kept] = session.info.setdefault(_ONCE, {})
    return kept


@contextmanager
def _reading(session: AsyncSession, named: frozenset[str]) -> Iterator[None]:
    outer = session.info.get(READING)
    session.info[READING] = named if outer is None else named & outer
    try:
        yield
    finally:
        session.info[READING] = outer


def resume(session: AsyncSession, garden_id: int, revision_n: int) -> None:
    """What was read of the garden before holds in this session, too, where its revision is still the same."""
    info = session.info
    began: dict[int, Reads] = info.setdefault(_BEGAN, {})
    if garden_id in began:
        return
    store: Kept[Reads] = info[READS]
    before = store.get(garden_id)
    changed: set[str] = info.get(_CHANGED, set())
    still = before[1] if before is not None and before[0] == revision_n else {}
    began[garden_id] = revision_n, still
    kept = info.setdefault(_ONCE, {})
    for key, one in _unchanged(still, changed).items():
        kept.setdefault(key, one)


def forget(session: Session) -> None:
    """All that was read, since others may have changed it meanwhile."""
    session.info.pop(_ONCE, None)
    session.info.pop(_BEGAN, None)


def _unchanged(reads: Mapping[_Key, _Kept], changed: set[str]) -> dict[_Key, _Kept]:
    return {} if _EVERY in changed else {key: one for key, one in reads.items() if not one[0] & changed}


def watch(sessions: type[Session]) -> None:
    """Forget in every session of this class what it changes; after `revision.watch`."""
    event.listen(sessions, "after_flush", _flushed)
    event.listen(sessions, "do_orm_execute", _executed)
    event.listen(sessions, "after_commit", _committed)
    event.listen(sessions, "after_soft_rollback", _rolled_back)


def _flushed(session: Session, _context: Any) -> None:
    if session.deleted:  # and with it, perhaps, what belongs to it in other tables
        _forget_all(session)
    else:
        _forget(session, {row.__table__.name for row in (*session.new, *session.info[MODIFIED])})


def _executed(state: ORMExecuteState) -> None:
    if state.is_select:
        if getattr(state.statement, "_for_update_arg", None) is not None:  # others may have written before it was ours
            forget(state.session)
    elif not state.execution_options.get(OURS):
        table = getattr(state.statement, "table", None)
        if isinstance(table, Table) and not state.is_delete:
            _forget(state.session, {table.name})
        else:
            _forget_all(state.session)


def _forget(session: Session, changed: set[str]) -> None:
    session.info.setdefault(_CHANGED, set()).update(changed)
    kept = session.info.get(_ONCE)
    if kept:
        for key in [key for key, (tables, _) in kept.items() if tables & changed]:
            del kept[key]


def _forget_all(session: Session) -> None:
    session.info.setdefault(_CHANGED, set()).add(_EVERY)
    session.info.pop(_ONCE, None)


def _rolled_back(session: Session, _previous: Any) -> None:
    forget(session)


def _committed(session: Session) -> None:
    """What lasts is kept under the revision that the garden has now, unless others have raised it meanwhile."""
    info = session.info
    kept = info.pop(_ONCE, {})
    raised = info.pop(RAISED, None)
    if raised is None:  # a part of the transaction
        return
    changed = info.pop(_CHANGED, set())
    store: Kept[Reads] = info[READS]
    began: dict[int, Reads] = info.pop(_BEGAN, {})
    for garden_id in raised.keys() - began.keys():
        if (before := store.get(garden_id)) is not None:
            began[garden_id] = before
    for garden_id, (revision_n, reads) in began.items():
        if raised.get(garden_id, revision_n + 1) == revision_n + 1:
            ours = {key: one for key, one in kept.items() if key[0] in _LASTING and key[1] == garden_id}
            store.put(garden_id, (raised.get(garden_id, revision_n), _unchanged(reads, changed) | ours))
