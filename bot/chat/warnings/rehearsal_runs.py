"""A rehearsal that was asked for is played in a process of its own, and told to whoever asked."""

from __future__ import annotations

from bot import worker
from bot.chat.warnings import rehearsal_words as wording
from bot.chat.wire.errands import Desk, opened
from bot.chat.wire.message import Button
from bot.i18n import Say
from bot.services.warnings import rehearsing
from bot.services.warnings.rehearsing import LONGEST_S, Played, Script
from bot.services.weather import garden_forecast
from bot.storage.models import Errand

__all__ = ["buttons", "pages", "play", "work"]


async def play(script: Script) -> Played:
    """Off the event loop, and never longer than LONGEST_S."""
    return await worker.run("rehearsal", "bot.rehearsal:play", script, Played, timeout_s=LONGEST_S)


async def work(desk: Desk, row: Errand) -> None:
    """Copy the garden, play, tell: the playing is between the transactions."""
    async with opened(desk, row) as scene:
        if scene is None:
            return
        if not scene.is_organiser:  # and may not read it any more
            scene.settle()
            return
        rows = await rehearsing.copy_of(scene.session, scene.garden.id)
        forecast = await garden_forecast.current(scene.session, scene.garden, desk.source, scene.now)
        answering = bool(row.asked.get("answering"))
        script = Script(scene.garden.id, rows, forecast, scene.now, scene.say.language, answering)
    played = await play(script)
    async with opened(desk, row) as scene:
        if scene is None:
            return
        if scene.is_organiser:
            told = wording.pages(scene.say, scene.garden.name, played, answering=answering)
            scene.errand.asked = {**row.asked, "pages": told}
            await scene.more(told[0], buttons(scene.say, scene.errand, 0))
        scene.settle()


def pages(row: Errand) -> list[str]:
    """What was played, HTML; empty until it has been."""
    found: list[str] = row.asked.get("pages", [])
    return found


def buttons(say: Say, row: Errand, page: int) -> list[list[Button]]:
    """Back and on; after the last page, the other way to play it."""
    total = len(pages(row))
    turn: list[Button] = []
    if page > 0:
        turn.append((say.gettext("Back"), f"played:{row.id}:{page - 1}"))
    if page + 1 < total:
        turn.append((say.gettext("Next"), f"played:{row.id}:{page + 1}"))
    if page + 1 < total or total < 2:
        return [turn] if turn else []
    answering = row.asked.get("answering")
    again = say.gettext("Play with no answers") if answering else say.gettext("Play with answers")
    return [turn, [(again, f"played:{row.id}:{'mute' if answering else 'talk'}")]]
