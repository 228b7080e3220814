"""The question of ours that waits for written words, if there is one: a report in between leaves it open."""

from __future__ import annotations

from dataclasses import dataclass

from bot.chat.request import Request
from bot.chat.warnings import calloff
from bot.i18n import Say
from bot.services.garden import setup
from bot.services.garden.setup import Question


@dataclass(frozen=True, slots=True)
class Waiting:
    """still_open: what is said of it after a report. for_places: lines that say what there is are its answer."""

    still_open: str
    for_places: bool = False


async def of(request: Request) -> Waiting | None:
    """What this person was asked in private and has not answered yet."""
    if not request.private or request.person is None:
        return None
    row = await setup.of_person(request.session, request.person.id)
    belongs = request.garden is not None or bool(request.choices)
    if row is not None and row.asks != Question.LAY and setup.is_waiting(row, request.now, belongs=belongs):
        return Waiting(_setup(request.say, row.asks), for_places=row.asks == Question.ADD)
    if await calloff.is_asked(request):
        return Waiting(
            request.say.gettext("Why the warning is called off is still open: reply to that question, or tap.")
        )
    return None


def _setup(say: Say, asks: str) -> str:
    if asks == Question.ADD:
        return say.gettext("I am still waiting for your lines about plots and places.")
    if asks == Question.RENAME:
        return say.gettext("I am still waiting for the new name.")
    return say.gettext("My question about the garden is still open: /setup")
