"""The bot with two invented gardens, in the first week of May."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.core.tasks.rota import Problem, Solution
from bot.core.tasks.rota_solver import solve
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.garden import gardens
from bot.storage.session import Database
from tests.chat_commands.dialogue import Talk, sorrel_yard
from tests.open_data import ROOT
from tests.support.group_messages import furnished
from tests.support.stored import Stored

DEMO = ROOT / "bot" / "demo"
START_AT = datetime(2026, 5, 3, 11, 0, tzinfo=UTC)  # a Sunday


async def two_gardens(database: Database) -> None:
    await furnished(database, START_AT)
    async with database.begin() as session:
        await sorrel_yard(session, (await gardens.all_gardens(session))[0], START_AT)


@pytest.fixture
async def database(stored: Stored, apart: Path | None) -> AsyncIterator[Database]:
    async with stored.opened(two_gardens, apart) as opened:
        yield opened


@pytest.fixture
async def talk(database: Database) -> AsyncIterator[Talk]:
    """A mild Sunday; a cold night comes on Tuesday, a windy day on Friday."""
    async with on_stage(database, Source(f"file:{DEMO / 'forecast.json'}"), START_AT, solve=_solve) as stage:
        yield Talk(stage)


async def _solve(problem: Problem) -> Solution:
    return solve(problem)
