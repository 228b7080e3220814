"""The demo's invented garden on stage, on the Monday morning before its cold night."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.cli.demo import _FOLDER, _furnish
from bot.core.tasks.rota import Problem, Solution
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from tests.dialogues.talk import MONDAY_AT, Talk
from tests.support.stored import Stored


async def nobody(problem: Problem) -> Solution:
    """A solver that names nobody: the rota is not what these dialogues are about."""
    return Solution((), (), proven=True)


@pytest.fixture
async def stage(stored: Stored, apart: Path | None) -> AsyncIterator[Stage]:
    source = Source(f"file:{_FOLDER / 'forecast.json'}")
    async with stored.opened(_furnish, apart) as database, on_stage(database, source, MONDAY_AT) as on:
        on.app.solve = nobody
        yield on


@pytest.fixture
def talk(stage: Stage) -> Talk:
    return Talk(stage)
