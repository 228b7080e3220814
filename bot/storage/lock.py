"""One process for one SQLite file: a lock that the operating system lets go of when the process dies."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["AlreadyRunning", "single_instance"]


class AlreadyRunning(RuntimeError):
    """Another process runs the bot on the same database file."""


@contextmanager
def single_instance(database: Path) -> Iterator[None]:
    """Hold `DATABASE.lock` beside the database file, or raise AlreadyRunning at once."""
    path = database.with_name(database.name + ".lock")
    # "a+" keeps the number of the process that holds the lock readable for the one that is refused.
    with os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600), "a+") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.seek(0)
            holder = file.read().strip() or "unknown"
            raise AlreadyRunning(f"{database} is in use by process {holder}; stop that one first") from None
        file.truncate(0)
        file.write(str(os.getpid()))
        file.flush()
        yield
