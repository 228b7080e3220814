"""The invented garden on stage on a Monday morning in May, its weather calm until a story says otherwise."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import AsyncIterator, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from bot.chat.wording import brief
from bot.services.weather import Source
from bot.stage import on_stage
from bot.storage.session import Database
from tests.chat.lane import MONDAY_AT, Lane, first_who_can
from tests.support.group_messages import furnished
from tests.support.invented_weather import calm, write


@pytest.fixture(scope="session")
def furnished_file(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A database with the garden in it, to be copied; made in a thread, since a loop may run already."""
    path = tmp_path_factory.mktemp("lane") / "garden.sqlite3"

    async def make() -> None:
        database = Database(f"sqlite+aiosqlite:///{path}")
        await furnished(database, MONDAY_AT)
        await database.close()

    with ThreadPoolExecutor(1) as pool:
        pool.submit(asyncio.run, make()).result()
    yield path


@pytest.fixture
def whole_messages(monkeypatch: pytest.MonkeyPatch) -> None:
    """Warnings and asks in full, as Show all gives them, for stories that read every line of them."""
    monkeypatch.setattr(brief, "ROWS", 1000)


@pytest.fixture
async def lane(furnished_file: Path, tmp_path: Path) -> AsyncIterator[Lane]:
    shutil.copy(furnished_file, tmp_path / "garden.sqlite3")
    database = Database(f"sqlite+aiosqlite:///{tmp_path / 'garden.sqlite3'}")
    forecast = tmp_path / "forecast.json"
    write(forecast, [calm()] * 10, MONDAY_AT)
    async with on_stage(database, Source(f"file:{forecast}"), MONDAY_AT, first_who_can) as stage:
        yield Lane(stage, forecast)
    await database.close()
