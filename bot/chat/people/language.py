"""/language: which language I speak with you."""

from __future__ import annotations

from bot.chat.request import Request
from bot.i18n import LANGUAGES, Say

WORD = "language"


def about(say: Say) -> str:
    return say.gettext("the language I speak with you")


async def answer(request: Request) -> None:
    buttons = [[(name, f"lang:{code}") for code, name in LANGUAGES.items()]]
    await request.reply(request.say.gettext("Which language should I use with you?"), buttons)
