"""Records out as a workbook. Heavy to import, as reading one is: never in the bot's own process."""

from __future__ import annotations

from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.garden.records.exporting import tables
from bot.services.garden.records.from_xlsx import write_xlsx
from bot.storage.models import Garden

__all__ = ["export_xlsx"]


async def export_xlsx(session: AsyncSession, garden: Garden) -> bytes:
    """The garden as one workbook, a sheet for each file."""
    return write_xlsx(await tables(session, garden))
