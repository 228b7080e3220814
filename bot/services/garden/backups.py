"""Copies of the database by the clock: one a day, the oldest removed, readable by nobody but the bot's own account.

SQLite is copied by its online backup, which takes a consistent picture while the bot works (sqlite.org, "SQLite Backup
API"); PostgreSQL by pg_dump, where it is installed. A copy is written under another name first: what bears a day is whole.

A copy of the database put in its place again: checked first, and what stood there is kept beside it.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import os
import shutil
import sqlite3
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from sqlalchemy import URL, inspect

from bot.storage import schema
from bot.storage.claims import single_instance
from bot.storage.session import Database

_LOG = logging.getLogger(__name__)

_SQLITE, _POSTGRES = ".sqlite3", ".dump"
_PREFIX = "gatepost-"
_LATE = timedelta(days=2)  # a day missed may be a machine that was off; two are a fault
_DUMP_S = 600.0


class BackupError(RuntimeError):
    """No copy could be made. The text says why and what to do, and holds no secret."""


@dataclass(frozen=True, slots=True)
class Plan:
    """folder: where copies go; kept: how many."""

    folder: Path
    kept: int


async def daily(database: Database, plan: Plan, now: datetime) -> Path | None:
    """Make today's copy if there is none; the new file, or None. A second call the same day does nothing.

    Days are those of UTC. Raises BackupError.
    """
    target = plan.folder / f"{_PREFIX}{now.date().isoformat()}{_ending(database)}"
    if _is_in_memory(database) or await asyncio.to_thread(target.exists):
        return None
    await asyncio.to_thread(_remove_halves, plan.folder)
    await copy_to(database, target)
    await asyncio.to_thread(_remove_old, plan)
    return target


def name_now(database: Database, now: datetime) -> str:
    """The name of a copy that somebody asked for; it bears a moment, and so is never removed with the daily ones."""
    return f"{_PREFIX}{now:%Y-%m-%dT%H%M%SZ}{_ending(database)}"


async def copy_to(database: Database, target: Path) -> None:
    """A whole copy under this name, which must be free; its folder is made if missing. Raises BackupError."""
    if await asyncio.to_thread(target.exists):
        raise BackupError(f"{target} is there already; name another file")
    if database.is_sqlite and not await asyncio.to_thread(Path(str(database.url.database)).is_file):
        raise BackupError(f"there is no database yet at {database.url.database}; gatepost init makes it")
    try:
        await asyncio.to_thread(target.parent.mkdir, parents=True, exist_ok=True, mode=0o700)
        part = target.parent / f".{target.name}.{os.getpid()}.part"
        try:
            if database.is_sqlite:
                await asyncio.to_thread(copy_file, Path(str(database.url.database)), part)
            else:
                await _dump(database.url, part)
            await asyncio.to_thread(put_in_place, part, target)
        finally:
            await asyncio.to_thread(part.unlink, missing_ok=True)
    except (OSError, sqlite3.Error) as error:
        raise BackupError(
            f"no backup in {target.parent} ({type(error).__name__}): is there room, and may we write?"
        ) from error
    _LOG.info("backup made: %s", target.name)


def _ending(database: Database) -> str:
    return _SQLITE if database.is_sqlite else _POSTGRES


def _is_in_memory(database: Database) -> bool:
    return database.is_sqlite and database.url.database in (None, "", ":memory:")


def made(folder: Path) -> list[tuple[date, Path]]:
    """The whole copies that are there, the oldest first."""
    found = []
    for path in folder.glob(f"{_PREFIX}*") if folder.is_dir() else ():
        with contextlib.suppress(ValueError):
            if path.suffix in (_SQLITE, _POSTGRES):
                found.append((date.fromisoformat(path.stem.removeprefix(_PREFIX)), path))
    return sorted(found)


def state(url: str, folder: Path | None, now: datetime) -> tuple[bool, str]:
    """Whether backups are well, and a line that says so or what to do."""
    if folder is None:
        return True, "backups: off (GATEPOST_BACKUPS); see to copies of the database yourself"
    if not url.startswith("sqlite") and shutil.which("pg_dump") is None:
        return (
            False,
            "backups: pg_dump is not installed; install the PostgreSQL client programs, or set GATEPOST_BACKUPS=off",
        )
    copies = made(folder)
    if not copies:
        return True, f"backups: none yet in {folder}; gatepost run makes the first within the hour"
    on, path = copies[-1]
    if now.date() - on > _LATE:
        return False, f"backups: the last is of {on}, in {folder}; is gatepost run running, and is there room?"
    return True, f"backups: {len(copies)}, the last {path.name}"


def _remove_halves(folder: Path) -> None:
    """What a killed process left half written; a copy that somebody makes by hand has a longer name."""
    with contextlib.suppress(OSError):
        for part in folder.glob(f".{_PREFIX}????-??-??.*.part"):
            part.unlink(missing_ok=True)


def copy_file(source: Path, part: Path) -> None:
    """SQLite's online backup, checked: one file, readable by its owner only. Raises OSError or sqlite3.Error."""
    part.touch(mode=0o600)
    with (
        contextlib.closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True, timeout=30)) as original,
        contextlib.closing(sqlite3.connect(part)) as copy,
    ):
        original.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # one file, with nothing beside it
        (verdict,) = copy.execute("PRAGMA quick_check").fetchone()
        if verdict != "ok":
            raise sqlite3.DatabaseError("the copy is not whole")


def _for_client(url: URL) -> tuple[str, dict[str, str]]:
    """Address and environment for PostgreSQL's own programs.

    The password goes by the environment: arguments can be read by every account of the machine.
    """
    plain = URL.create("postgresql", url.username, None, url.host, url.port, url.database, url.query)
    return plain.render_as_string(), {**os.environ, **({"PGPASSWORD": str(url.password)} if url.password else {})}


async def client(url: URL, name: str, *arguments: str, most_s: float, without: str = "") -> tuple[int, bytes]:
    """Run one of PostgreSQL's own programs on a database: how it ended, and what it complained of.

    without: what else can be done where it is not installed. Raises BackupError then, and where it takes too long.
    """
    program = shutil.which(name)
    if program is None:
        raise BackupError(f"{name} is not installed; install the PostgreSQL client programs{without}")
    address, environ = _for_client(url)
    process = await asyncio.create_subprocess_exec(
        *(program, f"--dbname={address}", *arguments),
        env=environ,
        stdout=asyncio.subprocess.DEVNULL,
        stderr=asyncio.subprocess.PIPE,
    )
    try:
        _, told = await asyncio.wait_for(process.communicate(), most_s)
    except TimeoutError:
        process.kill()
        await process.wait()
        raise BackupError(f"{name} took more than {most_s:g} s; is the database locked?") from None
    assert process.returncode is not None
    return process.returncode, told


async def _dump(url: URL, part: Path) -> None:
    await asyncio.to_thread(part.touch, mode=0o600)
    status, told = await client(
        url,
        "pg_dump",
        *("--format=custom", "--no-owner", f"--file={part}"),
        most_s=_DUMP_S,
        without=", or set GATEPOST_BACKUPS=off",
    )
    if status != 0:
        why = "it is older than the server; install the client programs of the server's version"
        if b"server version mismatch" not in told:
            why = "run it by hand to see why"
        raise BackupError(f"pg_dump ended with {status}, expected 0: {why}")


def put_in_place(part: Path, target: Path) -> None:
    """On the disk before it bears its name, so that a cut of power leaves no half copy under it."""
    part.chmod(0o600)
    with part.open("rb") as file:
        os.fsync(file.fileno())
    part.replace(target)


def _remove_old(plan: Plan) -> None:
    for _, path in made(plan.folder)[: -plan.kept]:
        path.unlink(missing_ok=True)


#: How a file begins: sqlite.org/fileformat.html, 1.3; pg_dump's custom format (its source, pg_backup_archiver.h).
_SQLITE_HEAD, _POSTGRES_HEAD = b"SQLite format 3\x00", b"PGDMP"
_RESTORE_S = 3600.0


async def restore(database: Database, copy: Path, now: datetime) -> Path | None:
    """Put a copy in the database's place, brought up to date; gives where the file before is kept, None without one.

    The bot must be stopped: raises AlreadyRunning. A server's database must be empty. Raises BackupError, and nothing
    was changed.
    """
    kind = await asyncio.to_thread(_kind, copy)
    if kind != (_SQLITE_HEAD if database.is_sqlite else _POSTGRES_HEAD):
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
        begins = file.read(len(_SQLITE_HEAD))
    found = next((kind for kind in (_SQLITE_HEAD, _POSTGRES_HEAD) if begins.startswith(kind)), None)
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
