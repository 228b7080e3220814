"""What the bot writes is read by its own account only, also where somebody else has chosen the path.

Rights: POSIX.1-2017, <sys/stat.h>: 0600 is read and write for the owner alone.
"""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from bot.storage.claims import single_instance
from bot.storage.session import Database
from tests.cli.conftest import Run
from tests.support.group_messages import GARDEN


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture(autouse=True)
def _open_handed() -> Iterator[None]:
    """An account whose new files everybody may read, as most systems have it."""
    before = os.umask(0o022)
    yield
    os.umask(before)


def test_a_database_at_a_path_of_ones_own_is_private_and_all_that_lies_beside_it(run: Run, tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    assert run("import", GARDEN)[0] == 0
    run("backup")
    found = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert len(found) >= 2 and {rights(path) for path in found} == {0o600}
    assert rights(tmp_path / "backups") == 0o700
    assert rights(tmp_path) == 0o755, "a folder that was there is its owner's"


async def test_one_that_others_could_read_is_closed_at_the_next_start_while_it_is_in_use(tmp_path: Path) -> None:
    path = tmp_path / "own.sqlite3"
    with closing(sqlite3.connect(path)) as other:
        other.execute("PRAGMA journal_mode=WAL")
        other.execute("create table t (x)")
        assert (rights(path), rights(Path(f"{path}-wal"))) == (0o644, 0o644)
        other.execute("BEGIN IMMEDIATE")
        database = Database(f"sqlite+aiosqlite:///{path}", patience_s=0.1)
        async with database.engine.connect() as connection:
            assert connection is not None
            assert {rights(one) for one in tmp_path.iterdir()} == {0o600}
            with (
                pytest.raises(sqlite3.OperationalError, match="locked"),
                closing(sqlite3.connect(path, timeout=0)) as third,
            ):
                third.execute("BEGIN IMMEDIATE")
        await database.close()
        other.rollback()


def test_the_lock_is_private_too(tmp_path: Path) -> None:
    with single_instance(tmp_path / "own.sqlite3"):
        assert rights(tmp_path / "own.sqlite3.lock") == 0o600
