"""Pages on a port of the bot's own, off unless set: what the chat platform and machines may send, and what monitoring asks.

Whoever listens knows the pages by path; a body is bounded, and nobody may keep a connection without saying anything.
Encryption is the business of the proxy in front (docs/deploy.md), and nothing here rests on who it says the sender is.
"""

from __future__ import annotations

import asyncio
import logging
import socket
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager
from typing import Any, NamedTuple

from tornado.httpserver import HTTPServer
from tornado.httputil import HTTPServerRequest
from tornado.web import Application, RequestHandler

from bot.chat.wire.pump import log_of
from bot.config import SettingsError

__all__ = ["MOST_BYTES", "Answer", "Page", "listening"]

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
