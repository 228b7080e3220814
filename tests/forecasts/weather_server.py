"""A weather service that answers what a test tells it to, and remembers what it was asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import httpx

from tests.forecasts.invented import MET_NORWAY, OPEN_METEO

Reply = Callable[[httpx.Request], httpx.Response]

BODIES = {"api.open-meteo.com": OPEN_METEO, "api.met.no": MET_NORWAY}


def good(request: httpx.Request) -> httpx.Response:
    """The invented answer of whichever service is asked."""
    headers = {"Last-Modified": "Fri, 01 May 2026 17:31:04 GMT", "Expires": "Fri, 01 May 2026 18:33:00 GMT"}
    body = BODIES[request.url.host].read_bytes()
    return httpx.Response(200, headers=headers if request.url.host == "api.met.no" else {}, content=body)


def status(code: int, body: str = "", **headers: str) -> Reply:
    """The same answer each time; the names of headers are written with underscores."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return lambda request: httpx.Response(code, headers=named, text=body)


def broken(request: httpx.Request) -> httpx.Response:
    raise httpx.ConnectTimeout("no route", request=request)


@dataclass
class Server:
    """reply: how each host answers, `good` where it is not told otherwise."""

    reply: dict[str, Reply] = field(default_factory=dict)
    asked: list[httpx.Request] = field(default_factory=list)

    def __call__(self, request: httpx.Request) -> httpx.Response:
        self.asked.append(request)
        return self.reply.get(request.url.host, good)(request)

    def client(self) -> httpx.AsyncClient:
        return httpx.AsyncClient(transport=httpx.MockTransport(self))
