"""`gatepost say --as NAME TEXT`: one message in, the replies out, on the real bot without the network."""

from __future__ import annotations

import argparse
import asyncio
import json
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.chat.wire.world import Message
from bot.cli.moments import LATEST_AT, Wrong, forecast_path, garden_zone, moment, opened, recorded
from bot.cli.playing import as_json, as_phone
from bot.config import SettingsError, read
from bot.services.weather.garden_forecast import Source
from bot.stage import NotAlone, Stage, on_stage
from bot.storage.session import Database


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--as", dest="name", required=True, help="the member who speaks, by name")
    parser.add_argument("--in", dest="where", choices=("group", "private"), default="private", help="where they write")
    parser.add_argument(
        "--now", help="the moment, ISO, on the garden's clock (default: now, or the forecast's first hour)"
    )
    parser.add_argument("--forecast", type=forecast_path, help="a recorded forecast, or a folder of them")
    parser.add_argument("--json", action="store_true", help="print the replies as a JSON list")
    parser.add_argument("--file", type=Path, help="a file that they send; the text is then written beside it")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="where to write the files that the bot sends")
    parser.add_argument("text", nargs="?", default="", help="what they write")


async def run(args: argparse.Namespace) -> int:
    try:
        async with opened() as database:
            await _say(args, database)
    except (Wrong, NotAlone, SettingsError) as error:
        print(f"say: {error}", file=sys.stderr)
        return 2
    return 0


async def _say(args: argparse.Namespace, database: Database) -> None:
    zone = await garden_zone(database)
    if zone is None:
        raise Wrong("there is no garden yet; load one with: gatepost import FOLDER")
    now = moment(args.now, zone) if args.now else datetime.now(UTC)
    if args.forecast:
        forecast = await recorded(database, args.forecast, now if args.now else LATEST_AT)
        reaches = forecast.hours[0].at <= now <= forecast.hours[-1].at
        now = now if args.now or reaches else forecast.hours[0].at
    settings = read()
    source = Source(f"file:{args.forecast}" if args.forecast else settings.forecast, settings.contact)
    async with on_stage(database, source, now) as stage:
        await _speak(args, stage, zone)


async def _speak(args: argparse.Namespace, stage: Stage, zone: ZoneInfo) -> None:
    user_id = stage.user(args.name)
    if user_id is None:
        known = ", ".join(sorted(user.first_name for user in stage.people()))
        raise Wrong(f"nobody is called {args.name[:40]!r}; the members are {known}")
    chat = user_id if args.where == "private" else stage.group_of(user_id)
    if args.file is not None:
        try:
            data = await asyncio.to_thread(args.file.read_bytes)
        except OSError as error:
            raise Wrong(f"{args.file} cannot be read ({type(error).__name__})") from error
        stage.api.send_file(user_id, chat, args.file.name, data, args.text)
    elif args.text:
        stage.api.write(user_id, chat, args.text)
    else:
        raise Wrong("nothing to say; give a text or --file")
    await stage.settle()
    said = list(stage.fresh())
    if args.keep is not None:
        await asyncio.to_thread(_keep, args.keep, stage, said)
    if args.json:
        print(json.dumps([as_json(stage, message) for message in said], ensure_ascii=False, indent=2))
    else:
        print("\n".join(as_phone(stage, message, zone) for message in said))


def _keep(folder: Path, stage: Stage, said: Sequence[Message]) -> None:
    """The files among the replies, by their names."""
    folder.mkdir(parents=True, exist_ok=True)
    for message in said:
        if message.file_id is not None:
            (folder / Path(message.file_name or message.file_id).name).write_bytes(stage.api.files[message.file_id])
