"""Daily copies of the database: whole, private, few, and good for starting again from."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
from collections.abc import AsyncIterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import URL, Connection, select

from bot.config import SettingsError, read
from bot.services.garden.backups import BackupError, Plan, daily, made, state
from bot.storage import schema
from bot.storage.models import Base, Garden
from bot.storage.session import Database
from tests.support import postgres

NOW = datetime(2026, 5, 4, 9, tzinfo=UTC)
DAY = timedelta(days=1)


def garden(name: str) -> Garden:
    return Garden(name=name, latitude=52.2, longitude=-1.5, zone="Europe/London")


@pytest.fixture
async def database(tmp_path: Path) -> AsyncIterator[Database]:
    found = Database(f"sqlite+aiosqlite:///{tmp_path / 'gatepost.sqlite3'}")
    await schema.upgrade(found)
    async with found.begin() as session:
        session.add(garden("Mallow End"))
    yield found
    await found.close()


@pytest.fixture
def plan(tmp_path: Path) -> Plan:
    return Plan(tmp_path / "backups", 3)


def _check(connection: Connection) -> None:
    config = schema._config()
    config.attributes["connection"] = connection
    command.check(config)


async def contents(database: Database) -> dict[str, list[tuple[object, ...]]]:
    async with database.begin() as session:
        return {
            table.name: [tuple(row) for row in await session.execute(select(table))]
            for table in Base.metadata.sorted_tables
        }


async def test_a_restored_copy_opens_has_this_program_s_tables_and_the_same_rows(
    database: Database, plan: Plan, tmp_path: Path
) -> None:
    copy = await daily(database, plan, NOW)
    assert copy is not None and copy.name == "gatepost-2026-05-04.sqlite3"
    place = tmp_path / "elsewhere.sqlite3"
    shutil.copy(copy, place)  # as docs/deploy.md says
    restored = Database(f"sqlite+aiosqlite:///{place}")
    assert await schema.state(restored) is schema.State.CURRENT
    async with restored.engine.connect() as connection:
        await connection.run_sync(_check)
    assert await contents(restored) == await contents(database)
    await restored.close()


async def test_a_copy_made_while_somebody_writes_holds_what_was_committed_and_no_more(
    database: Database, plan: Plan
) -> None:
    async with database.begin() as session:
        session.add(garden("Sorrel Yard"))
        await session.flush()
        copy = await daily(database, plan, NOW)
    assert copy is not None
    with sqlite3.connect(copy) as opened:
        assert opened.execute("SELECT name FROM gardens").fetchall() == [("Mallow End",)]
    opened.close()


async def test_there_is_one_a_day_and_the_oldest_go(database: Database, plan: Plan) -> None:
    for n in range(5):
        assert await daily(database, plan, NOW + n * DAY) is not None
        assert await daily(database, plan, NOW + n * DAY + timedelta(hours=3)) is None
    assert [on for on, _ in made(plan.folder)] == [date(2026, 5, 6), date(2026, 5, 7), date(2026, 5, 8)]


async def test_copies_are_for_the_bot_s_own_account_only(database: Database, plan: Plan) -> None:
    copy = await daily(database, plan, NOW)
    assert copy is not None
    assert copy.stat().st_mode & 0o777 == 0o600
    assert plan.folder.stat().st_mode & 0o777 == 0o700


async def test_what_a_killed_process_left_half_written_is_no_copy_and_goes(database: Database, plan: Plan) -> None:
    plan.folder.mkdir()
    half = plan.folder / ".gatepost-2026-05-03.sqlite3.77.part"
    half.write_bytes(b"half")
    other = plan.folder / "notes.txt"
    other.write_text("not ours")
    await daily(database, plan, NOW)
    assert not half.exists() and other.exists()
    assert len(made(plan.folder)) == 1


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
async def test_a_folder_that_may_not_be_written_is_said(database: Database, tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o500)
    with pytest.raises(BackupError, match="may we write"):
        await daily(database, Plan(closed / "backups", 3), NOW)


async def test_a_folder_that_is_a_file_is_said(database: Database, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    with pytest.raises(BackupError, match="is there room, and may we write"):
        await daily(database, Plan(tmp_path / "taken", 3), NOW)


async def test_check_says_when_the_last_was_made_and_when_one_is_overdue(database: Database, plan: Plan) -> None:
    url = str(database.url)
    assert state(url, plan.folder, NOW) == (
        True, f"backups: none yet in {plan.folder}; gatepost run makes the first within the hour",
    )  # fmt: skip
    await daily(database, plan, NOW)
    assert state(url, plan.folder, NOW + DAY) == (True, "backups: 1, the last gatepost-2026-05-04.sqlite3")
    well, line = state(url, plan.folder, NOW + 3 * DAY)
    assert not well and "2026-05-04" in line
    assert state(url, None, NOW)[0]


def test_without_pg_dump_check_says_what_to_install(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: None)
    well, line = state("postgresql+asyncpg://host/gatepost", plan.folder, NOW)
    assert not well and "pg_dump is not installed" in line


async def test_postgresql_is_dumped_and_restored_with_the_same_rows(
    postgres_server: URL, plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(postgres._binaries()), prepend=os.pathsep)  # those of the server's own version
    if shutil.which("pg_dump") is None or shutil.which("pg_restore") is None:
        pytest.skip("the PostgreSQL client programs are not on this machine")
    async with postgres.empty_database(postgres_server) as url, postgres.empty_database(postgres_server) as other:
        database, restored = Database(url), Database(other)
        await schema.upgrade(database)
        async with database.begin() as session:
            session.add(garden("Mallow End"))
        copy = await daily(database, plan, NOW)
        assert copy is not None and copy.stat().st_mode & 0o777 == 0o600
        plain = URL.create("postgresql", restored.url.username, None, restored.url.host, restored.url.port,
                           restored.url.database, restored.url.query)  # fmt: skip
        subprocess.run(["pg_restore", "--no-owner", f"--dbname={plain.render_as_string()}", copy], check=True)
        assert await schema.state(restored) is schema.State.CURRENT
        assert await contents(restored) == await contents(database)
        await database.close()
        await restored.close()


def test_settings_name_the_folder_and_refuse_a_number_that_is_none(tmp_path: Path) -> None:
    url = f"sqlite+aiosqlite:///{tmp_path / 'g.sqlite3'}"
    settings = read({"GATEPOST_DATABASE_URL": url})
    assert (settings.backups, settings.backups_kept) == (tmp_path / "backups", 14)
    assert read({"GATEPOST_DATABASE_URL": url, "GATEPOST_BACKUPS": "off"}).backups is None
    for wrong in ("0", "many", "367", "-3"):
        with pytest.raises(SettingsError, match="GATEPOST_BACKUPS_KEPT"):
            read({"GATEPOST_DATABASE_URL": url, "GATEPOST_BACKUPS_KEPT": wrong})
