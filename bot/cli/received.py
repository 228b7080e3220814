"""What is sent to us: updates by the chat platform, where it brings them, and readings by a garden's own sensors."""

from __future__ import annotations

import json
from collections import OrderedDict, deque
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import partial
from urllib.parse import urlsplit

from tornado.httputil import HTTPServerRequest

from bot.app import App
from bot.chat.wire import webhook
from bot.cli import web
from bot.cli.web import Answer, Page
from bot.config import Settings
from bot.services.weather import sent_readings
from bot.services.weather.logged import COLUMNS

__all__ = ["READINGS", "listening"]

READINGS = "/readings"
#: So often a garden's sensors may send in a minute; gardens that are remembered.
MOST_A_MINUTE, _GARDENS_N = 30, 10_000
_BEARER = "bearer "
_JSON = "application/json"


@asynccontextmanager
async def listening(app: App, settings: Settings) -> AsyncIterator[None]:
    """Listen while the block runs, where the settings say so. Raises SettingsError."""
    if settings.web is None:
        yield
        return
    pages = {READINGS: Page("POST", partial(_readings, app, _Rate(app)))}
    if settings.webhook:
        pages[urlsplit(settings.webhook).path] = Page("POST", partial(_update, app))
    async with web.listening("GATEPOST_WEB", settings.web, pages):
        yield


async def _update(app: App, asked: HTTPServerRequest) -> Answer:
    """200 only once it is stored: what has another answer is brought again."""
    if not webhook.is_from_platform(app.bot.token, asked.headers.get(webhook.HEADER)):
        return Answer(403, "not for you\n")
    if not await webhook.taken(app.database, asked.body, app.now):
        return Answer(400, "this is no update\n")
    app.wake_inbox.set()
    return Answer(200)


class _Rate:
    """How often each garden's sensors have sent of late."""

    def __init__(self, app: App) -> None:
        self._app = app
        self._sent_at: OrderedDict[int, deque[float]] = OrderedDict()

    def has_room(self, garden_id: int) -> bool:
        now_s = self._app.now().timestamp()
        sent_at = self._sent_at.setdefault(garden_id, deque(maxlen=MOST_A_MINUTE))
        self._sent_at.move_to_end(garden_id)
        if len(self._sent_at) > _GARDENS_N:
            self._sent_at.popitem(last=False)
        if len(sent_at) == MOST_A_MINUTE and 0 <= now_s - sent_at[0] < 60:
            return False
        sent_at.append(now_s)
        return True


async def _readings(app: App, rate: _Rate, asked: HTTPServerRequest) -> Answer:
    """What it came to, as JSON; nothing is said of a garden to whoever has not its key."""
    shown = asked.headers.get("Authorization", "")
    if shown[: len(_BEARER)].casefold() != _BEARER:
        return Answer(401, "send the garden's key: Authorization: Bearer KEY\n")
    if sent_readings.is_too_long(asked.body):
        most = f"{sent_readings.MOST_BYTES} bytes or {sent_readings.MOST_LINES} lines"
        return Answer(413, f"over {most}; send less at once\n")
    async with app.database.begin() as session:
        garden = await sent_readings.garden_of(session, shown[len(_BEARER) :].strip())
        if garden is None:
            return Answer(401, "no garden has this key; gatepost sensor-key makes one\n")
        if not rate.has_room(garden.id):
            return Answer(429, f"at most {MOST_A_MINUTE} times a minute\n")
        sent = await sent_readings.take(session, garden, asked.body, app.now())
    if sent is None:
        return Answer(400, f"the first line must name {', '.join(COLUMNS)}: time, and reading or minimum, are needed\n")
    found = {"kept": sent.kept_n, "nights": sent.nights_n, "unknown": sent.unknown, "problems": sent.problems}
    return Answer(200, json.dumps(found, ensure_ascii=False), _JSON)
