"""One database, opened once: SQLite by default, PostgreSQL by its address, the same code on both.

SQLite's own driver under asynchronous sessions, without a thread: each call is done when it is made.

A statement takes less time than handing it to a thread, or even to another coroutine, and back. What may take long, a lock
that another program holds, is not waited for in here: the call fails at once, and `storage.session` tries again while
everything else goes on.
"""

from __future__ import annotations

import asyncio
import contextlib
import errno
import logging
import os
import sqlite3
import stat
from collections.abc import AsyncIterator, Awaitable, Callable, Generator, Mapping
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

from sqlalchemy import URL, AsyncAdaptedQueuePool, Pool, event, make_url
from sqlalchemy.dialects import registry
from sqlalchemy.dialects.sqlite.base import SQLiteExecutionContext
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.ext.asyncio import AsyncEngine, AsyncSession, async_sessionmaker, create_async_engine
from sqlalchemy.orm import Session
from sqlalchemy.util import await_only

from bot.storage import read_once, revision
from bot.storage.kept import Kept
from bot.storage.trouble import Trouble, trouble

_LOG = logging.getLogger(__name__)
_Result = TypeVar("_Result")

_NAME = "in_place"


class _Done:
    """Awaited where a connection insists that something is."""

    def __await__(self) -> Generator[Any, None, None]:
        return
        yield


_DONE = _Done()


class _Cursor(sqlite3.Cursor):
    async def _async_soft_close(self) -> None:
        """What the sessions ask of an asynchronous one; there is nothing behind it to end."""


class _Connection(sqlite3.Connection):
    def cursor(self, factory: Any = _Cursor) -> Any:
        return super().cursor(factory)


class _Context(SQLiteExecutionContext):
    def create_server_side_cursor(self) -> Any:
        return self._dbapi_connection.cursor()  # every cursor of SQLite's reads on as it is asked


#: What a connection is to be opened with.
ARGUMENTS: Mapping[str, Any] = {"factory": _Connection}


class _InPlaceDialect(SQLiteDialect_pysqlite):
    """Says that it is asynchronous, which the sessions ask for, and never has anything to wait for."""

    driver = _NAME
    is_async = True
    supports_statement_cache = True
    supports_server_side_cursors = True
    execution_ctx_cls = _Context

    @classmethod
    def get_pool_class(cls, url: URL) -> type[Pool]:
        return AsyncAdaptedQueuePool

    def do_execute(self, cursor: Any, statement: str, parameters: Any, context: Any = None) -> None:
        _insist()
        cursor.execute(statement, parameters)

    def do_executemany(self, cursor: Any, statement: str, parameters: Any, context: Any = None) -> None:
        _insist()
        cursor.executemany(statement, parameters)

    def get_driver_connection(self, connection: Any) -> Any:
        return connection


registry.register(f"sqlite.{_NAME}", __name__, _InPlaceDialect.__name__)


def in_place(url: URL) -> URL:
    """The same database by this driver, whichever the address names."""
    return url.set(drivername=f"sqlite+{_NAME}")


#: The longest that PostgreSQL may take to let us in, and for one statement, s.
CONNECT_S, COMMAND_S = 10.0, 60.0
#: What a session notes of itself (`info`): a message to send, long work to do.
TO_SEND, TO_DO = "to send", "to do"
#: Of a connection: nothing is written in this transaction.
_READS = "gatepost_reads"
#: So many gardens have their last look kept: some hundred kilobytes each.
LOOKS_N = 256
#: Between two tries: doubled from the first, no longer than the last, s.
FIRST_PAUSE_S, LONGEST_PAUSE_S = 0.05, 10.0


#: How many calls of sessions are being answered at once: one within another, since nothing of them is waited for.
_answering = 0


def _insist() -> None:
    """What nobody has asked a session for, such as an attribute that is read by itself, fails here as on PostgreSQL."""
    if not _answering:
        await_only(_DONE)


def _at_once(call: Callable[..., _Result], *given: Any, **named: Any) -> _Result:
    global _answering
    _answering += 1
    try:
        return call(*given, **named)
    finally:
        _answering -= 1


class _InPlaceSession(AsyncSession):
    """Answers when it is asked: what makes a call that can wait takes longer than most statements."""

    async def execute(self, statement: Any, params: Any = None, **named: Any) -> Any:
        named["execution_options"] = {**named.get("execution_options", {}), "prebuffer_rows": True}
        return _at_once(self.sync_session.execute, statement, params, **named)

    async def scalar(self, statement: Any, params: Any = None, **named: Any) -> Any:
        named["execution_options"] = {**named.get("execution_options", {}), "prebuffer_rows": True}
        return _at_once(self.sync_session.scalar, statement, params, **named)

    async def get(self, entity: Any, ident: Any, **named: Any) -> Any:
        return _at_once(self.sync_session.get, entity, ident, **named)

    async def get_one(self, entity: Any, ident: Any, **named: Any) -> Any:
        return _at_once(self.sync_session.get_one, entity, ident, **named)

    async def flush(self, objects: Any = None) -> None:
        _at_once(self.sync_session.flush, objects)

    async def commit(self) -> None:
        _at_once(self.sync_session.commit)

    async def rollback(self) -> None:
        _at_once(self.sync_session.rollback)

    async def close(self) -> None:
        _at_once(self.sync_session.close)


class _Session(Session):
    """A session that raises the revision of each garden whose rows it changes, and asks for nothing twice."""


revision.watch(_Session)
read_once.watch(_Session)


class Database:
    """The engine and its sessions. A session is one unit of work: it commits at the end of `begin`, or not at all.

    patience_s: how long a transaction waits to begin while the database is locked, restarting or out of reach; `inf` for
    a process that is to outlive all of that. Looks at gardens are kept beside it, under their revisions (`Kept`), what
    was read for them, and official warnings that were read.
    """

    def __init__(self, url: str, *, patience_s: float = 30.0) -> None:
        """url: `sqlite+aiosqlite:///PATH` or `postgresql+asyncpg://...`."""
        self.url = make_url(url)
        self.patience_s = patience_s
        self.is_sqlite = self.url.get_backend_name() == "sqlite"
        self.engine = _sqlite_engine(self.url) if self.is_sqlite else _postgres_engine(url)
        self.kept: Kept[Any] = Kept(LOOKS_N)
        self.alerts: Kept[Any] = Kept(LOOKS_N)
        self.reads: Kept[Any] = Kept(LOOKS_N)
        self._session = async_sessionmaker(
            self.engine,
            class_=_InPlaceSession if self.is_sqlite else AsyncSession,
            sync_session_class=_Session,
            expire_on_commit=False,
            info={"kept": self.kept, "alerts": self.alerts, read_once.READS: self.reads},
        )
        self._is_away = False
        self._writers: WeakKeyDictionary[asyncio.AbstractEventLoop, asyncio.Lock] = WeakKeyDictionary()

    @property
    def is_away(self) -> bool:
        """Whether somebody is waiting for it to come back."""
        return self._is_away

    @property
    def address(self) -> str:
        """Where it is, for people: never with a password."""
        return self.url.render_as_string(hide_password=True)

    @asynccontextmanager
    async def read(self) -> AsyncIterator[AsyncSession]:
        """A session that only reads, and keeps nobody from writing meanwhile."""
        session = await self._waited_for(lambda: self._opened(reads=True), connecting=True, reads=True)
        async with self._closed(session):
            yield session

    @asynccontextmanager
    async def begin(self) -> AsyncIterator[AsyncSession]:
        """A session in one writing transaction: all of it is stored at the end, or nothing is."""
        async with self._alone():
            session = await self._waited_for(self._opened, connecting=True)
            async with self._closed(session):
                try:
                    yield session
                except BaseException:
                    await session.rollback()
                    raise
                await session.commit()

    @asynccontextmanager
    async def _closed(self, session: AsyncSession) -> AsyncIterator[None]:
        """Closed at the end, whatever comes. Where nothing is waited for, nothing can cut it off, so no task need do it."""
        if not self.is_sqlite:
            async with session:
                yield
            return
        try:
            yield
        finally:
            await session.close()

    def _alone(self) -> AbstractAsyncContextManager[object]:
        """On SQLite one transaction writes at a time: the others of this process wait in line, each in its turn."""
        if not self.is_sqlite:
            return contextlib.nullcontext()
        return self._writers.setdefault(asyncio.get_running_loop(), asyncio.Lock())

    async def insist(self, deed: Callable[[AsyncSession], Awaitable[_Result]]) -> _Result:
        """The deed in one transaction, again while the database is away.

        For what must not get lost, and does no harm twice: whether it was stored is not known when the commit is cut off.
        """

        async def attempt() -> _Result:
            async with self.begin() as session:
                return await deed(session)

        return await self._waited_for(attempt)

    async def connected(self, deed: Callable[[AsyncEngine], Awaitable[_Result]]) -> _Result:
        """A deed with a connection of its own, such as a migration, again while the database is away."""
        return await self._waited_for(lambda: deed(self.engine), connecting=True)

    async def close(self) -> None:
        await self.engine.dispose()

    async def _opened(self, *, reads: bool = False) -> AsyncSession:
        """A session whose transaction has begun; until then nothing can have been lost."""
        session = self._session()
        try:
            await session.connection(execution_options={_READS: reads})
        except BaseException:
            await session.close()
            raise
        return session

    async def _waited_for(
        self, attempt: Callable[[], Awaitable[_Result]], *, connecting: bool = False, reads: bool = False
    ) -> _Result:
        loop, pause_s = asyncio.get_running_loop(), FIRST_PAUSE_S
        until = loop.time() + self.patience_s
        while True:
            try:
                found = await attempt()
            except Exception as error:
                if trouble(error, connecting=connecting) is not Trouble.PASSING or loop.time() >= until:
                    raise
                self._say(away=True, why=type(error).__name__)
                await asyncio.sleep(pause_s)
                pause_s = min(pause_s * 2, LONGEST_PAUSE_S)
            else:
                if not reads:  # a file that is locked can still be read
                    self._say(away=False)
                return found

    def _say(self, *, away: bool, why: str = "") -> None:
        """Once when it goes, once when it is back."""
        if away and not self._is_away:
            _LOG.warning(
                "the database %s is locked or away (%s); waiting for it. Is GATEPOST_DATABASE_URL right?",
                self.address,
                why,
            )
        elif self._is_away and not away:
            _LOG.warning("the database %s is there again", self.address)
        self._is_away = away


def make_private(file: str) -> None:
    """Nobody but the bot's own account reads the file: it holds people's names. SQLite gives what lies beside it the same
    rights. Raises OSError, which names the file, when it can't be worked with.

    A file that is there is never opened here: closing it would end the locks that SQLite has on it ("How To Corrupt An
    SQLite Database File", 2.2).
    """
    if file.startswith("file:") or file in ("", ":memory:"):
        return
    with contextlib.suppress(FileExistsError):
        os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        return
    wrong = errno.EISDIR if Path(file).is_dir() else 0 if os.access(file, os.R_OK | os.W_OK) else errno.EACCES
    if wrong:
        raise OSError(wrong, os.strerror(wrong), file)
    for path in (Path(file), Path(f"{file}-wal"), Path(f"{file}-shm")):
        with contextlib.suppress(OSError):  # another account's, or gone again
            mode = stat.S_IMODE(path.stat().st_mode)
            if mode & 0o077:
                path.chmod(mode & 0o700)


# hide_parameters: the text of an error must not carry what people wrote.


def _postgres_engine(url: str) -> AsyncEngine:
    # A server that vanished from the network without a word would be waited for without end.
    limits = {"timeout": CONNECT_S, "command_timeout": COMMAND_S}
    return create_async_engine(url, pool_pre_ping=True, connect_args=limits, hide_parameters=True)


def _sqlite_engine(url: URL) -> AsyncEngine:
    # Left to itself the driver opens a deferred transaction, which fails late with "database is locked"; so it is told
    # to keep out, and each transaction that may write begins IMMEDIATE.
    connect_args = {"isolation_level": None, "timeout": 0.0, **ARGUMENTS}
    engine = create_async_engine(in_place(url), connect_args=connect_args, hide_parameters=True)

    @event.listens_for(engine.sync_engine, "do_connect")
    def _keep_private(_dialect: Any, _record: Any, arguments: Any, _parameters: Any) -> None:
        make_private(str(arguments[0]))

    @event.listens_for(engine.sync_engine, "connect")
    def _configure(connection: Any, _record: Any) -> None:
        cursor = connection.cursor()
        try:
            for pragma in ("foreign_keys=ON", "journal_mode=WAL", "synchronous=FULL"):
                cursor.execute(f"PRAGMA {pragma}")
        except BaseException:
            connection.close()  # nobody else would, and its thread would outlive the process's end
            raise
        cursor.close()

    @event.listens_for(engine.sync_engine, "begin")
    def _begin(connection: Any) -> None:
        connection.exec_driver_sql("BEGIN" if connection.get_execution_options().get(_READS) else "BEGIN IMMEDIATE")

    return engine
