"""Pages on a port of the bot's own, off unless set: what the chat platform and machines may send, and what monitoring asks.

Whoever listens knows the pages by path; a body is bounded, and nobody may keep a connection without saying anything.
Encryption is the business of the proxy in front (docs/deploy.md), and nothing here rests on who it says the sender is.

What is sent to us: updates by the chat platform, where it brings them, and readings by a garden's own sensors.

Two pages on a port of its own, off unless set: /healthz and /metrics, in Prometheus's text format 0.0.4.

Numbers only: no name, no word of anybody's, no secret.
"""

from __future__ import annotations

import asyncio
import json
import logging
import socket
from collections import OrderedDict, deque
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager
from datetime import datetime, timedelta
from functools import partial
from typing import Any, NamedTuple
from urllib.parse import urlsplit

from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession
from tornado.httpserver import HTTPServer
from tornado.httputil import HTTPServerRequest
from tornado.web import Application, RequestHandler

from bot.app import App
from bot.chat.wire import outbox, webhook
from bot.chat.wire.pump import log_of
from bot.config import Settings, SettingsError
from bot.forecasts.request import SERVICES
from bot.services.weather import sent_readings
from bot.services.weather.logged import COLUMNS
from bot.storage import moments
from bot.storage.models import Garden, Inbox, Outbox, Weather

_LOG = logging.getLogger(__name__)
#: It notes each malformed request with what was sent.
logging.getLogger("tornado").setLevel(logging.CRITICAL)

#: The largest body; the platform's updates are far below, though it publishes no figure.
MOST_BYTES = 1_000_000
_HEAD_BYTES = 16_384
#: To send a body, to be answered, and to send the next request on a connection, s.
_BODY_S, _ANSWER_S, _IDLE_S = 10.0, 15.0, 75.0


class Answer(NamedTuple):
    """status: of HTTP. kind: of the body."""

    status: int
    body: str = ""
    kind: str = "text/plain; charset=utf-8"


class Page(NamedTuple):
    """The only method that it takes, and what answers; called with a request whose body is whole and bounded."""

    method: str
    answer: Callable[[HTTPServerRequest], Awaitable[Answer]]


@asynccontextmanager
async def listening(setting: str, where: tuple[str, int], pages: Mapping[str, Page]) -> AsyncIterator[None]:
    """Answer while the block runs; what is being answered at its end is finished.

    setting: its name, for errors. Raises SettingsError where the port cannot be had.
    """
    host, port = where
    try:
        own = socket.create_server(where, family=socket.AF_INET6 if ":" in host else socket.AF_INET, backlog=128)
    except OSError as error:
        raise SettingsError(
            f"{setting} is {host}:{port}, which cannot be listened on ({error.strerror}); choose another, or off"
        ) from error
    at_work = set[asyncio.Task[Any]]()
    application = Application(
        [(r".*", _Handler, {"pages": pages, "at_work": at_work})], log_function=lambda _handler: None
    )
    server = HTTPServer(
        application,
        max_body_size=MOST_BYTES,
        max_header_size=_HEAD_BYTES,
        body_timeout=_BODY_S,
        idle_connection_timeout=_IDLE_S,
    )
    own.setblocking(False)
    server.add_socket(own)
    try:
        yield
    finally:
        server.stop()
        if at_work:
            await asyncio.wait(at_work, timeout=_ANSWER_S)
        await server.close_all_connections()


class _Handler(RequestHandler):
    def initialize(self, pages: Mapping[str, Page], at_work: set[asyncio.Task[Any]]) -> None:
        self._pages, self._at_work = pages, at_work

    def set_default_headers(self) -> None:
        self.clear_header("Server")

    async def _answered(self) -> None:
        page = self._pages.get(self.request.path)
        if page is None:
            found = Answer(404, f"there are {' and '.join(self._pages)}\n" if self._is_open else "not here\n")
        elif page.method != self.request.method:
            found = Answer(405, f"only {page.method}\n")
            self.set_header("Allow", page.method)
        else:
            found = await self._from(page)
        self.set_status(found.status)
        self.set_header("Content-Type", found.kind)
        await self.finish(found.body)

    get = head = post = put = patch = delete = options = _answered

    @property
    def _is_open(self) -> bool:
        """Whether the paths are nobody's secret: they only give numbers out."""
        return all(page.method == "GET" for page in self._pages.values())

    async def _from(self, page: Page) -> Answer:
        task = asyncio.current_task()
        assert task is not None
        self._at_work.add(task)
        try:
            async with asyncio.timeout(_ANSWER_S):
                return await page.answer(self.request)
        except TimeoutError:
            return Answer(503, "not now\n")
        except Exception as error:
            _LOG.error("a page failed: %s", log_of(error))
            return Answer(500, "this failed here\n")
        finally:
            self._at_work.discard(task)

    def write_error(self, status_code: int, **_more: Any) -> None:
        """Of what never reached a page: a method that HTTP does not know, a header that cannot be read."""
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(f"{status_code}\n")


READINGS = "/readings"
#: So often a garden's sensors may send in a minute; gardens that are remembered.
MOST_A_MINUTE, _GARDENS_N = 30, 10_000
_BEARER = "bearer "
_JSON = "application/json"


@asynccontextmanager
async def taking(app: App, settings: Settings) -> AsyncIterator[None]:
    """Listen while the block runs, where the settings say so. Raises SettingsError."""
    if settings.web is None:
        yield
        return
    pages = {READINGS: Page("POST", partial(_readings, app, _Rate(app)))}
    if settings.webhook:
        pages[urlsplit(settings.webhook).path] = Page("POST", partial(_update, app))
    async with listening("GATEPOST_WEB", settings.web, pages):
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


#: Three times as long as the bot takes to write down that it lives.
LATE = timedelta(minutes=15)
Numbers = Mapping[str, float]


@asynccontextmanager
async def answering(app: App, where: tuple[str, int] | None) -> AsyncIterator[None]:
    """Answer while the block runs. Raises SettingsError where the port cannot be had."""
    if where is None:
        yield
        return
    pages = {path: Page("GET", partial(_page, app)) for path in ("/healthz", "/metrics")}
    async with listening("GATEPOST_METRICS", where, pages):
        yield


async def _page(app: App, asked: HTTPServerRequest) -> Answer:
    try:
        async with app.database.begin() as session:
            numbers = await _numbers(session, app.now()) | _of_process(app)
    except Exception as error:
        return Answer(503, f"the database does not answer ({type(error).__name__})\n")
    if asked.path == "/metrics":
        return Answer(200, _in_text(numbers), "text/plain; version=0.0.4")
    age_s = numbers.get("gatepost_alive_age_seconds", 0.0)
    if age_s > LATE.total_seconds():
        return Answer(503, f"the last sign of life is {age_s:.0f} s old\n")
    return Answer(200, "ok\n")


def _of_process(app: App) -> dict[str, float]:
    found = {
        "gatepost_solver_runs_total": float(app.tally.solver_n),
        "gatepost_solver_seconds_total": app.tally.solver_s,
    }
    if app.tally.looked_at is not None:
        found["gatepost_look_age_seconds"] = _age_s(app.tally.looked_at, app.now())
    return found


async def _numbers(session: AsyncSession, now: datetime) -> dict[str, float]:
    """By name, with labels; what is not known yet is left out."""
    waiting = select(func.count(), func.min(Inbox.received_at)).where(Inbox.done_at.is_(None))
    count, oldest_at = (await session.execute(waiting)).one()
    found = {
        "gatepost_gardens": float(await session.scalar(select(func.count()).select_from(Garden)) or 0),
        "gatepost_inbox_waiting": float(count),
        "gatepost_inbox_oldest_age_seconds": _age_s(oldest_at, now) if oldest_at else 0.0,
    }
    for state, n in (await outbox.counts(session)).items():
        found[f'gatepost_outbox_messages{{state="{state}"}}'] = float(n)
    retried = select(func.count()).select_from(Outbox).where(Outbox.attempts > 1)
    found["gatepost_outbox_retried_messages"] = float(await session.scalar(retried) or 0)
    if (alive_at := await moments.last(session)) is not None:
        found["gatepost_alive_age_seconds"] = _age_s(alive_at, now)
    if (forecast_at := await _oldest_forecast(session)) is not None:
        found["gatepost_forecast_oldest_age_seconds"] = _age_s(forecast_at, now)
    return found


async def _oldest_forecast(session: AsyncSession) -> datetime | None:
    """When the garden that is worst off got its newest forecast."""
    newest: dict[int, datetime] = {}
    # The whole of a forecast is long, and this is asked for every few seconds.
    moments_of = select(Weather.garden_id, Weather.stored["fetched_at"].as_string())
    for garden_id, text in await session.execute(moments_of.where(Weather.service.in_(SERVICES))):
        if text is not None:
            at = datetime.fromisoformat(text)
            newest[garden_id] = max(at, newest.get(garden_id, at))
    return min(newest.values(), default=None)


def _age_s(at: datetime, now: datetime) -> float:
    return max((now - at).total_seconds(), 0.0)


def _in_text(numbers: Numbers) -> str:
    """A number a line, its type before the first of its name."""
    lines: list[str] = []
    for name, value in numbers.items():
        bare = name.partition("{")[0]
        of = f"# TYPE {bare} {'counter' if bare.endswith('_total') else 'gauge'}"
        lines += [*([] if of in lines else [of]), f"{name} {value:g}"]
    return "\n".join([*lines, ""])
