"""/places"""

from __future__ import annotations

from bot.chat.turn import Turn
from bot.core.garden import Role
from bot.i18n import Say

WORD = "places"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("plots, beds, pots, tunnels and thermometers: add, rename, remove")


async def answer(turn: Turn) -> None:
    return None
