"""The drill: a garden is copied, harmed, and put back as it was; then carried to a PostgreSQL, and compared there."""

from __future__ import annotations

import asyncio
import os
import sqlite3
import stat
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Table, create_engine
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.garden import moving
from bot.storage import schema
from bot.storage.claims import single_instance
from tests.cli.conftest import Run
from tests.support import postgres


def rows(path: Path) -> list[str]:
    """All that a file holds, as SQLite itself writes it out."""
    with closing(sqlite3.connect(path)) as connection:
        return sorted(connection.iterdump())


def harm(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("delete from plantings")
        connection.execute("update people set name = 'Somebody'")
        connection.commit()


def copy_in(out: str) -> Path:
    return Path(out.splitlines()[0])


def test_what_was_copied_comes_back_and_what_was_there_is_kept(run: Run, garden: Path, tmp_path: Path) -> None:
    own = tmp_path / "own.sqlite3"
    status, out, complaints = run("backup")
    assert status == 0, complaints
    copy = copy_in(out)
    assert copy.parent == tmp_path / "backups" and stat.S_IMODE(copy.stat().st_mode) == 0o600
    before = rows(own)
    harm(own)
    harmed = rows(own)
    status, out, complaints = run("restore", copy)
    assert status == 0, complaints
    assert rows(own) == before and stat.S_IMODE(own.stat().st_mode) == 0o600
    (kept,) = tmp_path.glob("own.sqlite3.before-*")
    assert rows(kept) == harmed and str(kept) in out
    assert not list(tmp_path.glob(".*.part"))


def test_a_copy_is_made_while_somebody_else_has_the_database_open_and_never_over_another_file(
    run: Run, garden: Path, tmp_path: Path
) -> None:
    own, copy = tmp_path / "own.sqlite3", tmp_path / "copies" / "mine.sqlite3"
    with closing(sqlite3.connect(own, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        other.execute("delete from plantings")
        assert run("backup", copy)[0] == 0
        other.execute("ROLLBACK")
    assert rows(copy) == rows(own), "what was not committed is not in it"
    status, _, complaints = run("backup", copy)
    assert status == 5 and "is there already" in complaints


def test_nothing_is_restored_while_the_bot_runs(run: Run, garden: Path, tmp_path: Path) -> None:
    copy = copy_in(run("backup")[1])
    before = rows(tmp_path / "own.sqlite3")
    with single_instance(tmp_path / "own.sqlite3"):
        status, _, complaints = run("restore", copy)
    assert status == 3 and "stop that one first" in complaints
    assert rows(tmp_path / "own.sqlite3") == before


def test_nothing_is_restored_while_another_program_writes(run: Run, garden: Path, tmp_path: Path) -> None:
    copy = copy_in(run("backup")[1])
    with closing(sqlite3.connect(tmp_path / "own.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        status, _, complaints = run("restore", copy)
        other.execute("ROLLBACK")
    assert status == 5 and "in use by another program" in complaints
    assert not list(tmp_path.glob("*.before-*"))


@pytest.mark.parametrize("what", ["missing", "text", "cut off", "another program's", "newer", "a dump", "itself"])
def test_a_file_that_cannot_be_restored_changes_nothing(run: Run, garden: Path, tmp_path: Path, what: str) -> None:
    own, wrong = tmp_path / "own.sqlite3", tmp_path / "wrong.sqlite3"
    if what == "text":
        wrong.write_text("minutes of the meeting")
    elif what == "cut off":
        run("backup", wrong)
        data = wrong.read_bytes()
        wrong.write_bytes(data[: len(data) // 2])
    elif what in ("another program's", "newer"):
        run("backup", wrong)
        with closing(sqlite3.connect(wrong)) as connection:
            connection.execute(
                "drop table alembic_version" if what != "newer" else "update alembic_version set version_num = 'ffff'"
            )
            connection.commit()
    elif what == "a dump":
        wrong.write_bytes(b"PGDMP\x01\x0e")
    elif what == "itself":
        wrong = own
    before = rows(own)
    status, _, complaints = run("restore", wrong)
    assert status == 5 and str(wrong) in complaints and "Traceback" not in complaints
    assert rows(own) == before
    assert not list(tmp_path.glob("*.before-*")) and not list(tmp_path.glob(".*.part"))


def test_a_damaged_database_is_replaced_and_kept(run: Run, garden: Path, tmp_path: Path) -> None:
    own = tmp_path / "own.sqlite3"
    copy, before = copy_in(run("backup")[1]), rows(own)
    for beside in tmp_path.glob("own.sqlite3-*"):
        beside.unlink()
    own.write_bytes(b"\x00" * 4096)
    assert run("code")[0] == 5
    assert run("restore", copy)[0] == 0
    assert rows(own) == before
    (kept,) = tmp_path.glob("own.sqlite3.before-*")
    assert kept.read_bytes() == b"\x00" * 4096


def test_a_copy_of_an_older_program_is_brought_up_to_date(run: Run, garden: Path, tmp_path: Path) -> None:
    old = tmp_path / "old.sqlite3"
    config = schema._config()
    newest = ScriptDirectory.from_config(config).get_revision("head")
    assert newest is not None and isinstance(newest.down_revision, str)
    engine = create_engine(f"sqlite:///{old}")
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, newest.down_revision)
    engine.dispose()
    status, _, complaints = run("restore", old)
    assert status == 0, complaints
    with closing(sqlite3.connect(tmp_path / "own.sqlite3")) as restored:
        assert restored.execute("select version_num from alembic_version").fetchone() == (newest.revision,)


@contextmanager
def empty_postgres(server: URL) -> Iterator[str]:
    """The address of a database without any table; from outside of a loop."""
    context = postgres.empty_database(server)
    with ThreadPoolExecutor(1) as pool:
        runner = pool.submit(asyncio.Runner).result()
        url = pool.submit(runner.run, context.__aenter__()).result()
        try:
            yield url
        finally:
            pool.submit(runner.run, context.__aexit__(None, None, None)).result()
            pool.submit(runner.close).result()


def count_by_table(path: Path) -> dict[str, int]:
    with closing(sqlite3.connect(path)) as connection:
        names = [name for (name,) in connection.execute("select name from sqlite_master where type = 'table'")]
        return {name: connection.execute(f"select count(*) from {name}").fetchone()[0] for name in names}


def test_a_garden_moves_from_sqlite_to_postgresql_and_back_with_every_row(
    run: Run, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, postgres_server: URL
) -> None:
    own = tmp_path / "own.sqlite3"
    run("say", "--as", "Tobias", "--now", "2026-05-04T09:00", "Planted 12 lettuces in Bed 1")
    before, counts = rows(own), count_by_table(own)
    assert counts["outbox"] and counts["journal"]
    with empty_postgres(postgres_server) as url:
        monkeypatch.setenv("GATEPOST_DATABASE_URL", url)
        status, out, complaints = run("move-database", own)
        assert status == 0, complaints
        assert f"{sum(counts.values()) - counts['alembic_version']} rows" in out
        assert rows(own) == before, "the old one stays as it was"
        # New rows get numbers after those that came.
        status, _, complaints = run("say", "--as", "Tobias", "--now", "2026-05-04T09:05", "Planted 3 peppers in Bed 1")
        assert status == 0, complaints
        status, _, complaints = run("move-database", own)
        assert status == 2 and "is not empty" in complaints
        monkeypatch.setenv("GATEPOST_DATABASE_URL", f"sqlite+aiosqlite:///{tmp_path / 'back.sqlite3'}")
        assert run("move-database", url)[0] == 0
    back = count_by_table(tmp_path / "back.sqlite3")
    assert back["outbox"] > counts["outbox"] and back["plots"] == counts["plots"]
    with closing(sqlite3.connect(tmp_path / "back.sqlite3")) as connection:
        assert connection.execute("pragma foreign_key_check").fetchall() == []
    there = set(rows(tmp_path / "back.sqlite3"))
    plain = [one for one in before if one.startswith(('INSERT INTO "plantings"', 'INSERT INTO "members"'))]
    assert plain and not [one for one in plain if one not in there]


def test_a_row_that_comes_out_otherwise_is_found_and_nothing_is_moved(
    run: Run, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copied = moving._copied

    async def spoilt(table: Table, old: AsyncSession, new: AsyncSession) -> int:
        count = await copied(table, old, new)
        if table.name == "plots":
            await new.execute(table.update().where(table.c.id == 2).values(name="another"))
        return count

    monkeypatch.setattr(moving, "_copied", spoilt)
    monkeypatch.setenv("GATEPOST_DATABASE_URL", f"sqlite+aiosqlite:///{tmp_path / 'new.sqlite3'}")
    status, _, complaints = run("move-database", tmp_path / "own.sqlite3")
    assert status == 2 and "plots is not the same" in complaints
    assert count_by_table(tmp_path / "new.sqlite3")["plots"] == 0


def test_a_row_that_does_not_fit_there_moves_nothing(
    run: Run, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, postgres_server: URL
) -> None:
    """PostgreSQL refuses what SQLite keeps: text with a zero byte (PostgreSQL manual, 8.3)."""
    own = tmp_path / "own.sqlite3"
    with closing(sqlite3.connect(own)) as connection:
        connection.execute("update people set name = 'secret' || char(0) || 'words' where id = 1")
        connection.commit()
    with empty_postgres(postgres_server) as url:
        monkeypatch.setenv("GATEPOST_DATABASE_URL", url)
        status, _, complaints = run("move-database", own)
        assert status == 2 and "people" in complaints and "secret" not in complaints
        assert run("check", "--offline")[1].count("gardens: none yet") == 1


def test_a_dump_of_postgresql_is_restored_into_an_empty_one_and_refused_by_a_full_one(
    run: Run, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, postgres_server: URL
) -> None:
    monkeypatch.setenv("PATH", str(postgres._binaries()), prepend=os.pathsep)
    monkeypatch.setenv("GATEPOST_BACKUPS", str(tmp_path / "copies"))
    with empty_postgres(postgres_server) as url, empty_postgres(postgres_server) as other:
        monkeypatch.setenv("GATEPOST_DATABASE_URL", url)
        assert run("move-database", tmp_path / "own.sqlite3")[0] == 0
        status, out, complaints = run("backup")
        assert status == 0, complaints
        copy = copy_in(out)
        status, _, complaints = run("restore", copy)
        assert status == 5 and "make an empty database" in complaints
        monkeypatch.setenv("GATEPOST_DATABASE_URL", other)
        status, _, complaints = run("restore", copy)
        assert status == 0, complaints
        monkeypatch.setenv("GATEPOST_DATABASE_URL", f"sqlite+aiosqlite:///{tmp_path / 'back.sqlite3'}")
        assert run("move-database", other)[0] == 0
    assert count_by_table(tmp_path / "back.sqlite3") == count_by_table(tmp_path / "own.sqlite3")
