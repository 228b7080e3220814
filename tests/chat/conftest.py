"""The invented garden on stage on a Monday morning in May, its weather calm until a story says otherwise."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.chat.warnings import brief
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.session import Database
from tests.chat.lane import MONDAY_AT, Lane, first_who_can
from tests.support.group_messages import furnished
from tests.support.invented_weather import calm, write
from tests.support.stored import Stored


async def on_monday(database: Database) -> None:
    await furnished(database, MONDAY_AT)


@pytest.fixture
def whole_messages(monkeypatch: pytest.MonkeyPatch) -> None:
    """Warnings and asks in full, as Show all gives them, for stories that read every line of them."""
    monkeypatch.setattr(brief, "ROWS", 1000)


@pytest.fixture
async def furnished_database(stored: Stored, apart: Path | None) -> AsyncIterator[Database]:
    async with stored.opened(on_monday, apart) as database:
        yield database


@pytest.fixture
async def lane(furnished_database: Database, tmp_path: Path) -> AsyncIterator[Lane]:
    forecast = tmp_path / "forecast.json"
    write(forecast, [calm()] * 10, MONDAY_AT)
    async with on_stage(furnished_database, Source(f"file:{forecast}"), MONDAY_AT, first_who_can) as stage:
        yield Lane(stage, forecast)
