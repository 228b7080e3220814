"""`gatepost export FOLDER`: a garden's records as the spreadsheets that `gatepost import` reads."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from bot.cli.moments import opened
from bot.services.garden.records.exporting import export_csv
from bot.services.garden.records.from_xlsx import export_xlsx
from bot.services.garden.records.rows import same
from bot.storage.garden import gardens
from bot.storage.session import Database


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="where to write; it is made if missing")
    parser.add_argument("--garden", metavar="NAME", help="which garden; not needed when there is only one")
    parser.add_argument("--xlsx", action="store_true", help="write one workbook, garden.xlsx, instead of CSV files")


async def run(args: argparse.Namespace) -> int:
    """0 when written; 2 when the garden cannot be told, or a file is there already."""
    try:
        async with opened() as database:
            files = await _files(database, args)
        _write(args.folder, files)
    except (LookupError, FileExistsError) as problem:
        print(f"export: {problem}", file=sys.stderr)
        return 2
    print("\n".join(str(args.folder / name) for name in files))
    return 0


async def _files(database: Database, args: argparse.Namespace) -> dict[str, bytes]:
    async with database.begin() as session:
        every = await gardens.all_gardens(session)
        found = [each for each in every if args.garden is None or same(each.name) == same(args.garden)]
        if len(found) != 1:
            names = ", ".join(each.name for each in every) or "none"
            raise LookupError(f"{len(found)} gardens fit; name one with --garden. Stored: {names}")
        if args.xlsx:
            return {"garden.xlsx": await export_xlsx(session, found[0])}
        return await export_csv(session, found[0])


def _write(folder: Path, files: dict[str, bytes]) -> None:
    """Never over a file that is there: it may hold what somebody has just filled in."""
    folder.mkdir(parents=True, exist_ok=True)
    there = [name for name in files if (folder / name).exists()]
    if there:
        raise FileExistsError(f"{folder} has {', '.join(there)} already; choose an empty folder")
    for name, data in files.items():
        (folder / name).write_bytes(data)
