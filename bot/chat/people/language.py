"""/language: which language I speak with you."""

from __future__ import annotations

from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.i18n import LANGUAGES, Say

WORD = "language"
_A_ROW = 3


def about(say: Say) -> str:
    return say.gettext("the language I speak with you")


async def answer(request: Request) -> None:
    await request.reply(request.say.gettext("Which language should I use with you?"), buttons("lang:"))


def buttons(press: str, but: str = "") -> list[list[Button]]:
    """The languages, each by its own name. press: what the data of each begins with; but: one that is left out."""
    listed: list[Button] = [(name, f"{press}{code}") for code, name in LANGUAGES.items() if code != but]
    return [listed[n : n + _A_ROW] for n in range(0, len(listed), _A_ROW)]
