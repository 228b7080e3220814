"""Pictures drawn in a process of their own, so that the bot never holds the drawing libraries and fonts in memory."""

from __future__ import annotations

from bot import worker
from bot.pictures.outlook import Outlook
from bot.pictures.report import Report
from bot.pictures.season import Season
from bot.pictures.wall import Wall

DrawingFailed = worker.WorkerFailed


async def draw(picture: Outlook | Season | Report | Wall) -> bytes:
    """The picture as PNG, the wall sheet as PDF. Raises DrawingFailed; may simply be tried again."""
    match picture:
        case Outlook():
            module = "draw_outlook"
        case Season():
            module = "draw_season"
        case Report():
            module = "draw_report"
        case Wall():
            module = "draw_wall"
    return await worker.run("picture", f"bot.pictures.{module}:draw", picture, bytes)
