"""A database with Teasel Lane in it."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.session import Database
from tests.journal.teasel_lane import plant_garden
from tests.support.stored import Stored, with_every_table


async def planted(database: Database) -> None:
    await with_every_table(database)
    async with database.begin() as unit:
        await plant_garden(unit)


@pytest.fixture
async def session(stored: Stored) -> AsyncIterator[AsyncSession]:
    """One unit of work in Teasel Lane, on SQLite."""
    async with stored.opened(planted) as opened, opened.begin() as unit:
        yield unit
