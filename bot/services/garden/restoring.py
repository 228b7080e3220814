"""A copy of the database put in its place again: checked first, and what stood there is kept beside it."""

from __future__ import annotations

import asyncio
import contextlib
import os
import sqlite3
from datetime import datetime
from pathlib import Path

from sqlalchemy import inspect

from bot.services.garden.backups import BackupError, client, copy_file, put_in_place
from bot.storage import schema
from bot.storage.lock import single_instance
from bot.storage.session import Database

__all__ = ["restore"]

#: How a file begins: sqlite.org/fileformat.html, 1.3; pg_dump's custom format (its source, pg_backup_archiver.h).
_SQLITE, _POSTGRES = b"SQLite format 3\x00", b"PGDMP"
_RESTORE_S = 3600.0


async def restore(database: Database, copy: Path, now: datetime) -> Path | None:
    """Put a copy in the database's place, brought up to date; gives where the file before is kept, None without one.

    The bot must be stopped: raises AlreadyRunning. A server's database must be empty. Raises BackupError, and nothing
    was changed.
    """
    kind = await asyncio.to_thread(_kind, copy)
    if kind != (_SQLITE if database.is_sqlite else _POSTGRES):
        other = "PostgreSQL" if database.is_sqlite else "SQLite"
        raise BackupError(
            f"{copy} is a copy of {other}, and {database.address} is not; restore it into {other}, then use "
            "gatepost move-database"
        )
    kept = None
    if database.is_sqlite:
        kept = await asyncio.to_thread(_put_file, copy, Path(str(database.url.database)), now)
    else:
        await _put_dump(database, copy)
    await schema.upgrade(database)
    return kept


def _kind(copy: Path) -> bytes:
    with copy.open("rb") as file:
        begins = file.read(len(_SQLITE))
    found = next((kind for kind in (_SQLITE, _POSTGRES) if begins.startswith(kind)), None)
    if found is None:
        raise BackupError(f"{copy} is no copy of a database; name a file that gatepost backup made")
    return found


def _put_file(copy: Path, target: Path, now: datetime) -> Path | None:
    if target.exists() and copy.samefile(target):
        raise BackupError(f"{copy} is the database itself; name a copy of it")
    with single_instance(target):
        part = target.with_name(f".{target.name}.{os.getpid()}.part")
        try:
            _check(copy)
            copy_file(copy, part)
            kept = _set_aside(target, now)
            put_in_place(part, target)
        except sqlite3.Error as error:
            raise BackupError(f"{copy} cannot be restored ({error}); use another copy") from error
        finally:
            part.unlink(missing_ok=True)
    return kept


def _check(copy: Path) -> None:
    """Raises BackupError for what is not this program's or one before it, sqlite3.Error for what cannot be read."""
    with contextlib.closing(sqlite3.connect(f"{copy.resolve().as_uri()}?mode=ro", uri=True)) as opened:
        try:
            revision = opened.execute("SELECT version_num FROM alembic_version").fetchone()
        except sqlite3.OperationalError:
            revision = None
    if revision is None:
        raise BackupError(f"{copy} holds no garden; name a file that gatepost backup made")
    if not schema.is_known(revision[0]):
        raise BackupError(f"{copy} was made by a newer program; install that one again, or use an older copy")


def _set_aside(target: Path, now: datetime) -> Path | None:
    """The file that is there, under another name; what its journal holds goes with it."""
    if not target.exists():
        return None
    with contextlib.suppress(sqlite3.DatabaseError):  # a damaged one is kept as it is
        _fold(target)
    kept = target.with_name(f"{target.name}.before-{now:%Y-%m-%dT%H%M%SZ}")
    for ending in ("-wal", "-shm", "-journal", ""):
        with contextlib.suppress(FileNotFoundError):
            target.with_name(f"{target.name}{ending}").rename(f"{kept}{ending}")
    return kept


def _fold(target: Path) -> None:
    """All of it into the one file, which fails while another program is at it."""
    with contextlib.closing(sqlite3.connect(target, timeout=0)) as opened:
        try:
            opened.execute("PRAGMA journal_mode=DELETE")
        except sqlite3.OperationalError as error:
            if getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY:
                raise BackupError(f"{target} is in use by another program; stop that one first") from error
            raise


async def _put_dump(database: Database, copy: Path) -> None:
    async with database.engine.connect() as connection:
        tables = await connection.run_sync(lambda plain: inspect(plain).get_table_names())
    if tables:
        raise BackupError(
            f"{database.address} holds {len(tables)} tables already; make an empty database, name it in "
            "GATEPOST_DATABASE_URL, and restore into that"
        )
    status, _ = await client(
        database.url,
        "pg_restore",
        *("--no-owner", "--no-privileges", "--single-transaction", "--exit-on-error", str(copy)),
        most_s=_RESTORE_S,
    )
    if status != 0:
        raise BackupError(
            f"pg_restore ended with {status}, expected 0, and nothing was stored; it may be older than the copy: install "
            "the client programs of the server's version, or run it by hand to see why"
        )
