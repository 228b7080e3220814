"""A database with Teasel Lane in it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Base
from bot.storage.session import Database
from tests.journal.teasel_lane import plant_garden


@pytest.fixture
async def session(tmp_path: Path) -> AsyncIterator[AsyncSession]:
    """One unit of work in Teasel Lane, on SQLite."""
    opened = Database(f"sqlite+aiosqlite:///{tmp_path / 'journal.sqlite3'}")
    async with opened.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)
    async with opened.begin() as unit:
        await plant_garden(unit)
        yield unit
    await opened.close()
