"""`gatepost restore FILE`: the database as it was when the copy was made."""

from __future__ import annotations

import argparse
import asyncio
from datetime import UTC, datetime
from pathlib import Path

from bot.config import database_url
from bot.services.garden.backups import restore
from bot.storage.session import Database


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="a copy that gatepost backup or gatepost run made")


async def run(args: argparse.Namespace) -> int:
    """0 when it is restored."""
    made_at = datetime.fromtimestamp((await asyncio.to_thread(args.file.stat)).st_mtime, UTC)
    database = Database(database_url())
    try:
        kept = await restore(database, args.file, datetime.now(UTC))
    finally:
        await database.close()
    print(f"Restored {args.file} into {database.address}.")
    if kept is not None:
        print(f"What was there is kept as {kept}; remove it when all is well.")
    print(
        f"The bot now knows what it knew when the copy was made (the file is of {made_at:%Y-%m-%d %H:%M} UTC). People who "
        "asked after that to be forgotten must be forgotten again. Next: gatepost check, gatepost run"
    )
    return 0
