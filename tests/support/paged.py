"""An answer with all that its buttons show of it."""

from __future__ import annotations

from typing import Protocol

from bot.chat.wire.world import Message

__all__ = ["Talks", "page_with", "pages", "pressed", "whole"]

_MORE = {
    "Show the rest", "Show more", "Show more entries", "Show more notes", "Show all entries", "Show all plants", "Show all crops",
    "All about it",
}  # fmt: skip


class Talks(Protocol):
    """Whoever writes and presses as members do."""

    async def said(self, name: str, text: str) -> Message: ...

    async def press(self, name: str, message: Message, button: str) -> list[Message]: ...


async def pages(talk: Talks, name: str, text: str) -> list[Message]:
    """The answer to a private message, and what comes by its buttons until nothing is left out."""
    return await _rest(talk, name, [await talk.said(name, text)])


async def pressed(talk: Talks, name: str, message: Message, button: str) -> str:
    """What a button shows, over as many screens as it takes."""
    return "\n".join(one.text for one in await _rest(talk, name, await talk.press(name, message, button)))


async def _rest(talk: Talks, name: str, found: list[Message]) -> list[Message]:
    while more := [key["text"] for row in found[-1].keyboard for key in row if key["text"] in _MORE]:
        found += await talk.press(name, found[-1], more[0])
    return found


async def whole(talk: Talks, name: str, text: str) -> str:
    return "\n".join(one.text for one in await pages(talk, name, text))


async def page_with(talk: Talks, name: str, text: str, words: str) -> Message:
    """The screen on which the words stand."""
    return next(one for one in await pages(talk, name, text) if words in one.text)
