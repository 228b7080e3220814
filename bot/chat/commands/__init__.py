"""The commands, one module each: each names its word, says in a line what it does, and answers."""

from __future__ import annotations

from typing import Protocol

from bot.chat.commands import (
    away,
    calendar,
    calloff,
    crop,
    duties,
    export,
    frost,
    garden,
    help,
    hoseban,
    journal,
    keys,
    language,
    learned,
    limits,
    me,
    members,
    oncall,
    outdoors,
    outlook,
    picture,
    places,
    rehearse,
    report,
    rules,
    setup,
    start,
    swap,
    wall,
    warn,
    week,
    wishes,
)
from bot.chat.turn import Turn
from bot.i18n import Say

__all__ = ["COMMANDS", "Command"]


class Command(Protocol):
    """A module of this package. One with FOR = Role.ORGANISER is listed to organisers only."""

    WORD: str

    def about(self, say: Say) -> str: ...

    async def answer(self, turn: Turn) -> None: ...


#: In the order in which the help lists them.
COMMANDS: tuple[Command, ...] = (
    week,
    outdoors,
    crop,
    outlook,
    picture,
    frost,
    duties,
    swap,
    away,
    wishes,
    journal,
    calendar,
    oncall,
    hoseban,
    wall,
    keys,
    rules,
    warn,
    calloff,
    rehearse,
    learned,
    limits,
    setup,
    places,
    members,
    report,
    export,
    me,
    garden,
    language,
    help,
    start,
)
