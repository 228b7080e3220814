"""`gatepost demo`: some days in an invented garden, every message as the phones show it; nothing is left behind."""

from __future__ import annotations

import argparse
import asyncio
import shutil
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.chat.wire.world import Message
from bot.cli.playing import Deed, Spoken, act, as_change, as_phone, play, read_script
from bot.i18n import say
from bot.services.garden.records.files import read_folder
from bot.services.garden.records.importing import import_records
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from bot.storage.schema import upgrade
from bot.storage.session import Database

_FOLDER = Path(__file__).resolve().parent.parent / "demo"
_ZONE = ZoneInfo("Europe/London")
_START_AT = datetime(2026, 5, 3, 11, 0, tzinfo=UTC)
_END_AT = datetime(2026, 5, 9, 9, 0, tzinfo=UTC)
_OPENING = """\
Teasel Lane is an invented garden; its people and its weather are invented too.
It is the first week of May. A cold night comes on Tuesday, a windy day on Friday.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--pictures", type=Path, help="where to save the pictures (default: a new temporary folder)")
    parser.add_argument("--no-chat", action="store_true", help="end after the story, even at a terminal")


async def run(args: argparse.Namespace) -> int:
    folder = Path(tempfile.mkdtemp(prefix="gatepost-demo-"))
    database = Database(f"sqlite+aiosqlite:///{folder}/demo.sqlite3")
    try:
        await _furnish(database)
        async with on_stage(database, Source(f"file:{_FOLDER / 'forecast.json'}"), _START_AT) as stage:
            await _tell(stage, args.pictures)
            if sys.stdin.isatty() and not args.no_chat:
                await _go_on(stage)
    finally:
        await database.close()
        shutil.rmtree(folder, ignore_errors=True)
    return 0


async def _furnish(database: Database) -> None:
    """The invented garden, through the same import as anybody's."""
    await upgrade(database)
    files = await asyncio.to_thread(read_folder, _FOLDER / "garden")
    async with database.begin() as session:
        report = await import_records(session, files, say("en", "Europe/London"), _START_AT)
    if report.problems:
        raise RuntimeError("\n".join(str(problem) for problem in report.problems))


async def _tell(stage: Stage, pictures: Path | None) -> None:
    print(_OPENING)
    async for one in play(stage, _END_AT, read_script(_FOLDER / "answers.csv", _ZONE)):
        _show(stage, one)
    print("That was the week. Only the pictures were saved:")
    folder = pictures or Path(tempfile.mkdtemp(prefix="gatepost-pictures-"))
    for path in await asyncio.to_thread(_save, stage, folder):
        print(f"  {path}")


def _save(stage: Stage, folder: Path) -> list[Path]:
    """Every picture that was sent, numbered in the order of sending."""
    folder.mkdir(parents=True, exist_ok=True)
    saved = []
    sent = [message for message in stage.api.messages.values() if message.kind == "photo" and message.file_id]
    for number, message in enumerate(sent, 1):
        chat = stage.api.chats[message.chat_id].title
        path = folder / f"{number}-{chat.lower()}-{message.file_name or 'picture.png'}"
        path.write_bytes(stage.api.files[message.file_id or ""])
        saved.append(path)
    return saved


def _show(stage: Stage, one: Message | Spoken) -> None:
    if isinstance(one, Message):
        print(as_change(stage, one, _ZONE) if one.edited_at else as_phone(stage, one, _ZONE))
        return
    how = "taps" if one.pressed else "writes"
    where = "in the group" if one.deed.where == "group" else "privately"
    print(f"{stage.clock.at.astimezone(_ZONE):%a %d %b %H:%M}  {one.deed.who} {how} {where}: {one.deed.what}\n")


async def _go_on(stage: Stage) -> None:
    """Chat as any member until an empty line. A button is tapped by writing its label."""
    names = ", ".join(user.first_name for user in stage.people())
    print(f"Go on as anyone, for example: Tobias: what should I do this week?\n({names}; an empty line ends)")
    while line := (await asyncio.to_thread(input, "> ")).strip():
        who, colon, what = line.partition(":")
        if not colon or stage.user(who) is None or not what.strip():
            print(f"Write NAME: MESSAGE, with one of {names}.")
            continue
        act(stage, Deed(stage.clock.at, who, "private", what.strip()))
        await stage.settle()
        for message in stage.fresh():
            print(as_phone(stage, message, _ZONE))
