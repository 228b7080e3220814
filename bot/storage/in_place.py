"""SQLite's own driver under asynchronous sessions, without a thread: each call is done when it is made.

A statement takes less time than handing it to a thread, or even to another coroutine, and back. What may take long, a lock
that another program holds, is not waited for in here: the call fails at once, and `storage.session` tries again while
everything else goes on.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Generator, Mapping
from typing import Any

from sqlalchemy import URL, AsyncAdaptedQueuePool, Pool
from sqlalchemy.dialects import registry
from sqlalchemy.dialects.sqlite.base import SQLiteExecutionContext
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.util import await_only

__all__ = ["ARGUMENTS", "in_place"]

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
        await_only(_DONE)
        cursor.execute(statement, parameters)

    def do_executemany(self, cursor: Any, statement: str, parameters: Any, context: Any = None) -> None:
        await_only(_DONE)
        cursor.executemany(statement, parameters)

    def get_driver_connection(self, connection: Any) -> Any:
        return connection


registry.register(f"sqlite.{_NAME}", __name__, _InPlaceDialect.__name__)


def in_place(url: URL) -> URL:
    """The same database by this driver, whichever the address names."""
    return url.set(drivername=f"sqlite+{_NAME}")
