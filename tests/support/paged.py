"""An answer with all that its buttons show of it."""

from __future__ import annotations

from typing import Protocol

from bot.chat.wire.world import Message

__all__ = ["Talks", "page_with", "pages", "whole"]

_MORE = {
    "Show the rest", "Show more entries", "Show more notes", "Show all entries", "Show all plants", "Show all crops",
    "All about it",
}  # fmt: skip


class Talks(Protocol):
    """Whoever writes and presses as members do."""

    async def said(self, name: str, text: str) -> Message: ...

    async def press(self, name: str, message: Message, button: str) -> list[Message]: ...


async def pages(talk: Talks, name: str, text: str) -> list[Message]:
    """The answer to a private message, and what comes by its buttons until nothing is left out."""
    found = [await talk.said(name, text)]
    while more := [key["text"] for row in found[-1].keyboard for key in row if key["text"] in _MORE]:
        found += await talk.press(name, found[-1], more[0])
    return found


async def whole(talk: Talks, name: str, text: str) -> str:
    return "\n".join(one.text for one in await pages(talk, name, text))


async def page_with(talk: Talks, name: str, text: str, words: str) -> Message:
    """The screen on which the words stand."""
    return next(one for one in await pages(talk, name, text) if words in one.text)
