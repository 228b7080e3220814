"""The demo's invented garden on stage, on the Monday morning before its cold night."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.cli.demo import _FOLDER, _furnish
from bot.core.rota import Problem, Solution
from bot.services.weather import Source
from bot.stage import Stage, on_stage
from bot.storage.schema import upgrade
from bot.storage.session import Database
from tests.dialogues.talk import MONDAY_AT, Talk


async def nobody(problem: Problem) -> Solution:
    """A solver that names nobody: the rota is not what these dialogues are about."""
    return Solution((), (), proven=True)


@pytest.fixture
async def stage(tmp_path: Path) -> AsyncIterator[Stage]:
    database = Database(f"sqlite+aiosqlite:///{tmp_path / 'garden.sqlite3'}")
    await upgrade(database)
    await _furnish(database)
    source = Source(f"file:{await asyncio.to_thread(lambda: _FOLDER / 'forecast.json')}")
    async with on_stage(database, source, MONDAY_AT) as on:
        on.app.solve = nobody
        yield on
    await database.close()


@pytest.fixture
def talk(stage: Stage) -> Talk:
    return Talk(stage)
