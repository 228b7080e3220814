"""A message as a phone shows it, for the terminal, and its stable form as JSON (docs/commands.md)."""

from __future__ import annotations

import textwrap
from typing import Any
from zoneinfo import ZoneInfo

from bot.chat.wire.world import Message
from bot.stage import Stage

__all__ = ["as_change", "as_json", "as_phone"]

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
