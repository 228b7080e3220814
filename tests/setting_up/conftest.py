"""An empty database, the bot on a platform in memory, and a group chat with three people."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.services.weather import Source
from bot.stage import on_stage
from bot.storage.models import Base
from bot.storage.session import Database
from tests.open_data import ROOT
from tests.setting_up.village import AMIRA, GROUP, HANA, JOE, MONDAY_AT, Village


@pytest.fixture
async def village(tmp_path: Path) -> AsyncIterator[Village]:
    database = Database(f"sqlite+aiosqlite:///{tmp_path / 'empty.sqlite3'}")
    async with database.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)
    source = Source(f"file:{ROOT / 'bot' / 'demo' / 'forecast.json'}")
    async with on_stage(database, source, MONDAY_AT) as stage:
        for number, name in ((AMIRA, "Amira"), (HANA, "Hana"), (JOE, "Joe")):
            stage.api.add_user(number, name)
        group = stage.api.add_group(GROUP, "Elm Lane Allotments", topics={5})
        group.statuses |= {AMIRA: "creator", HANA: "administrator", JOE: "member"}
        yield Village(stage)
    await database.close()
