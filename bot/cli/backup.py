"""`gatepost backup`: a copy of the database now, also while the bot works."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from pathlib import Path

from bot.config import SettingsError, read
from bot.services.garden import backups
from bot.storage.session import Database


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "file", nargs="?", type=Path, metavar="FILE", help="where to (default: a new name in GATEPOST_BACKUPS)"
    )


async def run(args: argparse.Namespace) -> int:
    """0 when it is made. The database is copied as it is, whatever program it is of."""
    settings = read()
    database = Database(settings.database_url)
    file: Path | None = args.file
    if file is None and settings.backups is not None:
        file = settings.backups / backups.name_now(database, datetime.now(UTC))
    if file is None:
        raise SettingsError("GATEPOST_BACKUPS is off; name the file to write: gatepost backup FILE")
    try:
        await backups.copy_to(database, file)
    finally:
        await database.close()
    print(f"{file}\nIt holds what the database holds, people's names too: keep it where only you can read it.")
    return 0
