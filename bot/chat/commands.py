"""The commands, one module each, in the room that they are about: each names its word, what it does, and answers."""

from __future__ import annotations

from typing import Protocol

from bot.chat import help
from bot.chat.calendar import calendar
from bot.chat.garden import export, garden_choice, places, setup, wording
from bot.chat.growing import crop, outdoors, own_crops, rules, week
from bot.chat.journal import last_notes
from bot.chat.people import away, keys, language, me, members, start, wishes
from bot.chat.request import Request
from bot.chat.season import report, wall
from bot.chat.tasks import hose_ban, on_call, swap, turns
from bot.chat.warnings import calloff, limits, official, rehearse, warn
from bot.chat.weather import frost, learned, nights, picture
from bot.i18n import Say


class Command(Protocol):
    """Such a module. One with FOR = Role.ORGANISER is listed to organisers only."""

    WORD: str

    def about(self, say: Say) -> str: ...

    async def answer(self, request: Request) -> None: ...


#: In the order in which the help lists them.
COMMANDS: tuple[Command, ...] = (
    week,
    outdoors,
    crop,
    nights,
    picture,
    frost,
    turns,
    swap,
    away,
    wishes,
    last_notes,
    calendar,
    on_call,
    hose_ban,
    wall,
    keys,
    rules,
    own_crops,
    warn,
    calloff,
    official,
    rehearse,
    learned,
    limits,
    setup,
    places,
    members,
    report,
    export,
    me,
    garden_choice,
    language,
    wording,
    help,
    start,
)
