"""An empty database, the bot on a platform in memory, and a group chat with three people."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from tests.open_data import ROOT
from tests.setting_up.village import AMIRA, GROUP, HANA, JOE, MONDAY_AT, Village
from tests.support.stored import Stored, with_every_table


@pytest.fixture
async def village(stored: Stored, apart: Path | None) -> AsyncIterator[Village]:
    source = Source(f"file:{ROOT / 'bot' / 'demo' / 'forecast.json'}")
    async with stored.opened(with_every_table, apart) as database, on_stage(database, source, MONDAY_AT) as stage:
        for number, name in ((AMIRA, "Amira"), (HANA, "Hana"), (JOE, "Joe")):
            stage.api.add_user(number, name)
        group = stage.api.add_group(GROUP, "Elm Lane Allotments", topics={5})
        group.statuses |= {AMIRA: "creator", HANA: "administrator", JOE: "member"}
        yield Village(stage)
