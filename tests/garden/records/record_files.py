"""Small gardens as spreadsheet files, for the tests beside this module. Every name is invented."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime

from sqlalchemy import func, select

from bot.i18n import say
from bot.services.garden.records.from_xlsx import read_xlsx
from bot.services.garden.records.importing import import_records
from bot.services.garden.records.problems import Report
from bot.storage.models import Base
from bot.storage.session import Database

NOW = datetime(2026, 5, 4, 9, tzinfo=UTC)
SAY = say("en", "UTC")
GARDEN = "name,latitude,longitude,zone\nMallow End,52.21,-1.52,Europe/London\n"


async def bring(database: Database, *, dry_run: bool = False, **tables: str | bytes) -> Report:
    """Import tables given by name, as text or bytes of a CSV file, into the garden that they name."""
    files = {f"{name}.csv": text.encode() if isinstance(text, str) else text for name, text in tables.items()}
    return await bring_files(database, files, dry_run=dry_run)


async def bring_files(database: Database, files: Mapping[str, bytes], *, dry_run: bool = False) -> Report:
    async with database.begin() as session:
        return await import_records(session, files, SAY, NOW, dry_run=dry_run, workbook=read_xlsx)


async def stored_rows(database: Database) -> int:
    """How many rows the database holds in all of its tables."""
    async with database.begin() as session:
        counts = [
            await session.scalar(select(func.count()).select_from(table)) for table in Base.metadata.sorted_tables
        ]
        return sum(count or 0 for count in counts)


def said(report: Report) -> list[str]:
    return [problem.text for problem in report.problems]
