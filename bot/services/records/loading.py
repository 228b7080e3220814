"""Records in, for those who hold no session: one transaction of its own."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from bot.i18n import Say
from bot.services.records.importing import import_records
from bot.services.records.report import Report
from bot.storage.session import Database

__all__ = ["load"]


async def load(database: Database, files: Mapping[str, bytes], say: Say, now: datetime, *, dry_run: bool) -> Report:
    """Load spreadsheets by file name. With dry_run nothing is stored, and the report says what would have been."""
    async with database.begin() as session:
        return await import_records(session, files, say, now, dry_run=dry_run)
