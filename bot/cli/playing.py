"""Some days played on a stage: the clock run forward, people's answers from a script, everything said listed.

A message as a phone shows it, for the terminal, and its stable form as JSON (docs/commands.md).
"""

from __future__ import annotations

import csv
import textwrap
from collections.abc import AsyncIterator, Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from bot.chat.wire.world import Message
from bot.cli.moments import Wrong, moment
from bot.stage import Stage

_COLUMNS = ["at", "who", "where", "what"]


@dataclass(frozen=True, slots=True)
class Deed:
    """Somebody presses a button or writes. where: group or private. what: a button's label, else a message.

    at: the moment, aware, UTC; it is done at the first step of the play that is not before it.
    """

    at: datetime
    who: str
    where: str
    what: str


@dataclass(frozen=True, slots=True)
class Spoken:
    """What a member did, as it is shown between the bot's messages."""

    deed: Deed
    pressed: bool


def read_script(path: Path, zone: ZoneInfo) -> list[Deed]:
    """A CSV with the columns at,who,where,what, in order of time. Raises Wrong with the line's number."""
    with path.open(newline="", encoding="utf-8-sig") as file:
        reader = csv.DictReader(file)
        if reader.fieldnames is None or list(reader.fieldnames) != _COLUMNS:
            raise Wrong(f"{path.name} has the columns {reader.fieldnames}; expected {','.join(_COLUMNS)}")
        deeds = []
        for row in reader:
            if row["where"] not in ("group", "private"):
                raise Wrong(f"{path.name} line {reader.line_num}: where is {row['where']!r}; write group or private")
            deeds.append(Deed(moment(row["at"], zone), row["who"], row["where"], row["what"]))
    return sorted(deeds, key=lambda deed: deed.at)


async def play(stage: Stage, to: datetime, script: Iterable[Deed] = ()) -> AsyncIterator[Message | Spoken]:
    """Everything that is said and done until `to`, in order."""
    waiting = list(script)
    await stage.tick()
    for message in stage.fresh():
        yield message
    for now in stage.steps(to):
        while waiting and waiting[0].at <= now:
            yield act(stage, waiting.pop(0))
            await stage.settle()
            for message in stage.fresh():
                yield message
        await stage.tick()
        for message in stage.fresh():
            yield message


def act(stage: Stage, deed: Deed) -> Spoken:
    """Press the newest button of that name in that chat, else write. Raises Wrong for an unknown name."""
    user_id = stage.user(deed.who)
    if user_id is None:
        raise Wrong(f"nobody is called {deed.who[:40]!r}; write a member's name as in members.csv")
    chat = user_id if deed.where == "private" else stage.group_of(user_id)
    for message in reversed(stage.api.said(chat)):
        if any(key["text"] == deed.what for row in message.keyboard for key in row):
            stage.api.press(user_id, message, deed.what)
            return Spoken(deed, pressed=True)
    stage.api.write(user_id, chat, deed.what)
    return Spoken(deed, pressed=False)


WIDTH = 58


def as_json(stage: Stage, message: Message) -> dict[str, Any]:
    """time: UTC; chat: "group" or the member's name; edited: whether it replaces an earlier text."""
    return {
        "time": (message.edited_at or message.at).isoformat(),
        "chat": _chat(stage, message),
        "text": message.text,
        "buttons": [[key["text"] for key in row] for row in message.keyboard],
        "edited": message.edited_at is not None,
    }


def as_phone(stage: Stage, message: Message, zone: ZoneInfo) -> str:
    """A bubble: the time and the chat over it, the text wrapped as on a phone, the buttons under it."""
    at = (message.edited_at or message.at).astimezone(zone)
    head = f"{at:%a %d %b %H:%M}  {_chat(stage, message)}{'  (edited)' if message.edited_at else ''}"
    lines = [wrapped for line in message.text.splitlines() for wrapped in textwrap.wrap(line, WIDTH - 4) or [""]]
    if message.kind != "text":
        lines.insert(0, f"[{message.kind}: {message.file_name or message.file_id}]")
    keys = ["  ".join(f"[{key['text']}]" for key in row) for row in message.keyboard]
    return "\n".join([head, *(f"  | {line}" for line in lines), *(f"    {row}" for row in keys), ""])


def as_change(stage: Stage, message: Message, zone: ZoneInfo) -> str:
    """An edited message by its lines that are new: nobody's phone rings, and the rest has been read before."""
    before = set(message.edits[-1].splitlines())
    new = [line for line in message.text.splitlines() if line not in before]
    at = (message.edited_at or message.at).astimezone(zone)
    head = f"{at:%a %d %b %H:%M}  {_chat(stage, message)}  (the message above now says)"
    lines = [wrapped for line in new for wrapped in textwrap.wrap(line, WIDTH - 4) or [""]]
    return "\n".join([head, *(f"  | {line}" for line in lines), ""])


def _chat(stage: Stage, message: Message) -> str:
    chat = stage.api.chats[message.chat_id]
    return "group" if chat.type != "private" else chat.title
