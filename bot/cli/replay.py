"""`gatepost replay`: every message that the bot would have sent on some days, in a copy of the garden, disturbing nobody."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from bot.chat.wire.world import Message
from bot.cli.moments import Wrong, forecast_path, garden_zone, moment, opened, recorded
from bot.cli.playing import Spoken, as_json, as_phone, play, read_script
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, copied, on_stage
from bot.storage.schema import upgrade
from bot.storage.session import Database


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--from", dest="start", required=True, help="first moment, ISO; in the garden's time zone if it names none"
    )
    parser.add_argument("--to", dest="end", required=True, help="last moment, ISO")
    parser.add_argument("--forecast", type=forecast_path, required=True, help="a recorded forecast, or a folder")
    parser.add_argument("--answers", type=Path, help="CSV of who answers what and when: at,who,where,what")
    parser.add_argument("--json", action="store_true", help="print the messages as a JSON list")


async def run(args: argparse.Namespace) -> int:
    try:
        async with opened() as database, rehearsal(database) as copy:
            await _replay(args, copy)
    except (Wrong, OSError) as error:
        print(f"replay: {error}", file=sys.stderr)
        return 2
    return 0


@asynccontextmanager
async def rehearsal(database: Database) -> AsyncIterator[Database]:
    """A copy of the records in a temporary file, gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        copy = Database(f"sqlite+aiosqlite:///{folder}/rehearsal.sqlite3")
        try:
            await upgrade(copy)
            async with copied(database, copy):
                yield copy
        finally:
            await copy.close()


async def _replay(args: argparse.Namespace, database: Database) -> None:
    zone = await garden_zone(database)
    if zone is None:
        raise Wrong("there is no garden yet; load one with: gatepost import FOLDER")
    start, end = moment(args.start, zone), moment(args.end, zone)
    if end <= start:
        raise Wrong(f"--to is {args.end}, not after --from {args.start}")
    await recorded(database, args.forecast, start)
    script = read_script(args.answers, zone) if args.answers else []
    said: list[dict[str, Any]] = []
    async with on_stage(database, Source(f"file:{args.forecast}"), start) as stage:
        async for one in play(stage, end, script):
            if isinstance(one, Message):
                said.append(as_json(stage, one))
            if not args.json:
                _show(stage, one, zone)
    if args.json:
        print(json.dumps(said, ensure_ascii=False, indent=2))


def _show(stage: Stage, one: Message | Spoken, zone: ZoneInfo) -> None:
    if isinstance(one, Message):
        print(as_phone(stage, one, zone))
        return
    deed = one.deed
    print(f"{stage.clock.at.astimezone(zone):%a %d %b %H:%M}  {deed.who} in {deed.where}: {deed.what}\n")
