"""What an error of the database means: trying again later helps, a person is needed, or neither."""

from __future__ import annotations

import errno
import sqlite3
import sys
from enum import StrEnum

from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm.exc import StaleDataError


class Trouble(StrEnum):
    PASSING = "locked, restarting or out of reach for a while"
    PERSON = "needs a person"


#: Result codes of SQLite (sqlite.org/rescode.html): what others hold, and what only a person can mend.
_BUSY = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_PROTOCOL})
_SQLITE_ADVICE = {
    sqlite3.SQLITE_FULL: "its disk is full; make room there",
    sqlite3.SQLITE_READONLY: "it may not be written to; give the bot's account the right to write to the file and its folder",
    sqlite3.SQLITE_CANTOPEN: "it cannot be opened; is the folder there, and may the bot's account write to it?",
    sqlite3.SQLITE_PERM: "the bot's account has no right to it; give it the right to read and write",
    sqlite3.SQLITE_IOERR: "its disk fails, or is full; look at the disk and make room",
    sqlite3.SQLITE_CORRUPT: "it is damaged; restore the newest backup (docs/deploy.md)",
    sqlite3.SQLITE_NOTADB: "the file is no database; look at the path, or restore the newest backup (docs/deploy.md)",
}
#: Classes and codes of PostgreSQL (its manual, appendix A): 08 connections, 40 rolled back, 53 short of something, 55 in
#: use, 57P the server is stopped; 23505 is another transaction that was quicker with the same row.
_PASSING = ("08", "40", "53", "55P03", "57P01", "57P02", "57P03", "23505")
_POSTGRES_ADVICE = {
    "28": "it refuses the user or the password; put them right in the address",
    "3D000": "the server has no database of that name; create it, or put the address right",
    "42501": "its user lacks a right there; make it the owner of the tables",
    "53100": "its disk is full; make room there",
}


_FILE_ADVICE = {
    errno.ENOSPC: "make room on its disk",
    errno.EDQUOT: "make room, or ask for a larger quota",
    errno.EFBIG: "no file may grow so large there; make room on its disk",
    errno.EACCES: "give the account that runs this the right to it",
    errno.EPERM: "give the account that runs this the right to it",
    errno.EROFS: "its disk may only be read; use another path",
    errno.ENOENT: "is the path right? Make the folder first",
    errno.ENOTDIR: "a part of the path is a file; is the path right?",
    errno.EISDIR: "it is a folder; name a file",
}


def file_advice(error: OSError) -> str:
    """What is wrong with a file or folder, and what to do."""
    what = error.strerror or type(error).__name__
    return f"{what}; {_FILE_ADVICE.get(error.errno or 0, 'look at the path and the disk')}"


def trouble(error: BaseException, *, connecting: bool = False) -> Trouble | None:
    """None for an error that is none of the database's, or that its own statement caused.

    connecting: it happened while a connection was opened, where the network's own errors come bare.
    """
    if isinstance(error, StaleDataError):
        return Trouble.PASSING  # another transaction was quicker
    if _advice(error) is not None:
        return Trouble.PERSON
    if isinstance(error, DBAPIError) and error.connection_invalidated:
        return Trouble.PASSING
    if isinstance(error, TimeoutError) or (connecting and isinstance(error, (OSError, *_of_asyncpg("InterfaceError")))):
        return Trouble.PASSING
    if connecting and _is_cut_off(error):
        return Trouble.PASSING
    if _sqlite_code(error) in _BUSY or _state(error).startswith(_PASSING):
        return Trouble.PASSING
    return None


def what_to_do(error: BaseException, address: str) -> str:
    """For whoever runs the bot. address: where the database is, without a password."""
    advice = _advice(error) or "it is locked or does not answer; see what else uses it, and whether its server runs"
    return f"the database {address}: {advice} (GATEPOST_DATABASE_URL; {type(_cause(error)).__name__})"


def _advice(error: BaseException) -> str | None:
    if isinstance(error, OSError) and error.filename is not None:  # a file's; the network's name none
        return file_advice(error)
    state = _state(error)
    found = _SQLITE_ADVICE.get(_sqlite_code(error))
    return found or next((words for code, words in _POSTGRES_ADVICE.items() if state.startswith(code)), None)


def _cause(error: BaseException) -> BaseException:
    """The driver's own error: below SQLAlchemy's, and for asyncpg below SQLAlchemy's dress of it."""
    found: BaseException = error
    if isinstance(error, DBAPIError) and error.orig is not None:
        found = error.orig
    return found.__cause__ if isinstance(found.__cause__, _of_asyncpg("PostgresError")) else found


def _is_cut_off(error: BaseException) -> bool:
    """Whether a connection was ended by the server while it was made ready: the driver then trips over its own steps."""
    orig = error.orig if isinstance(error, DBAPIError) else None
    return isinstance(orig.__cause__ if orig is not None else None, _of_asyncpg("InternalClientError"))


def _of_asyncpg(name: str) -> tuple[type[Exception], ...]:
    """The driver's class of errors; none where the driver is not even loaded."""
    driver = sys.modules.get("asyncpg")
    return (getattr(driver, name),) if driver is not None else ()


def _sqlite_code(error: BaseException) -> int:
    """The primary result code; 0 for none. Extended codes hold it in their lowest byte."""
    return int(getattr(_cause(error), "sqlite_errorcode", 0) or 0) & 0xFF


def _state(error: BaseException) -> str:
    """The SQLSTATE; empty for none."""
    return str(getattr(_cause(error), "sqlstate", "") or "")
