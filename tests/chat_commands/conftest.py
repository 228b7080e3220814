"""The bot with two invented gardens, in the first week of May."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.core.rota import Problem, Solution
from bot.core.rota_solver import solve
from bot.i18n import say
from bot.services.records.files import read_folder
from bot.services.records.importing import import_records
from bot.services.weather import Source
from bot.stage import on_stage
from bot.storage import gardens
from bot.storage.models import Base
from bot.storage.session import Database
from tests.chat_commands.dialogue import Talk, sorrel_yard
from tests.open_data import ROOT

DEMO = ROOT / "bot" / "demo"
START_AT = datetime(2026, 5, 3, 11, 0, tzinfo=UTC)  # a Sunday


@pytest.fixture
async def database(tmp_path: Path) -> AsyncIterator[Database]:
    opened = Database(f"sqlite+aiosqlite:///{tmp_path / 'gatepost.sqlite3'}")
    async with opened.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)
    files = await asyncio.to_thread(read_folder, DEMO / "garden")
    async with opened.begin() as session:
        report = await import_records(session, files, say("en", "Europe/London"), START_AT)
        assert not report.problems
        await sorrel_yard(session, (await gardens.all_gardens(session))[0], START_AT)
    yield opened
    await opened.close()


@pytest.fixture
async def talk(database: Database) -> AsyncIterator[Talk]:
    """A mild Sunday; a cold night comes on Tuesday, a windy day on Friday."""
    async with on_stage(database, Source(f"file:{DEMO / 'forecast.json'}"), START_AT, solve=_solve) as stage:
        yield Talk(stage)


async def _solve(problem: Problem) -> Solution:
    return solve(problem)
