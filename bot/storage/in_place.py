"""The SQLite driver without a thread of its own: each call is done when it is made.

A statement takes less time than handing it to a thread and back. What may take long, a lock that another program holds, is
not waited for in here: the call fails at once, and `storage.session` tries again while everything else goes on.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Generator
from typing import Any

from aiosqlite import Connection

__all__ = ["connect"]


def connect(path: str, **parameters: Any) -> Connection:
    return _InPlace(lambda: sqlite3.connect(path, **parameters), iter_chunk_size=64)


class _InPlace(Connection):
    def __await__(self) -> Generator[Any, None, Connection]:
        return self._opened().__await__()

    async def _opened(self) -> Connection:
        self._connection = self._connector()
        return self

    async def _execute(self, fn: Callable[..., Any], *args: Any, **kwargs: Any) -> Any:
        if self._connection is None:
            raise ValueError("Connection closed")
        return fn(*args, **kwargs)

    async def close(self) -> None:
        self.stop()

    def stop(self) -> None:
        self._running = False
        if self._connection is not None:
            self._connection.close()
            self._connection = None
