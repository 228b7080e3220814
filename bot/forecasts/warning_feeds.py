"""Asking for official warnings: a feed seldom and with its own headers, each of its files once.

An address may come from an organiser, so it may not lead into the network that the bot runs in: https, a public name,
and a host whose every address is public.
"""

from __future__ import annotations

import asyncio
import ipaddress
import socket
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import urlsplit

import httpx

from bot.core.weather.forecast import ForecastError
from bot.forecasts import cap
from bot.forecasts.file import http_date
from bot.forecasts.reader import shortened
from bot.forecasts.request import Answer, get, retry_after, user_agent

__all__ = ["Listed", "Resolve", "address_problem", "listed", "public_addresses", "warning"]

#: Feeds say how long they hold (Expires); where one says less or nothing, and at most.
OFTEN, SELDOM = timedelta(minutes=5), timedelta(hours=1)
_WHOLE_S = 60.0
_LONGEST_ADDRESS = 500
_INSIDE = (".local", ".localhost", ".internal", ".home.arpa", ".lan", ".onion")

Resolve = Callable[[str], Awaitable[bool]]


@dataclass(frozen=True, slots=True)
class Listed:
    """links: of the CAP files, None where nothing has changed. body: where the address is one file itself."""

    links: tuple[str, ...] | None
    next_at: datetime
    last_modified: str | None
    body: str | None = None


def address_problem(url: str) -> str | None:
    """What is wrong with an address, None when nothing is."""
    try:
        parts = urlsplit(url)
        host, port = parts.hostname or "", parts.port
    except ValueError:
        return "it is no address"
    if len(url) > _LONGEST_ADDRESS or not url.isascii() or not url.isprintable() or " " in url:
        return "it is no address"
    if parts.scheme != "https" or parts.username is not None or port not in (None, 443):
        return "it must begin with https://, without a name or a port"
    if "." not in host or host.endswith(_INSIDE) or _is_number(host):
        return "its host must have a public name"
    return None


async def public_addresses(host: str) -> bool:
    """Whether every address of a host is a public one."""
    try:
        found = await asyncio.get_running_loop().getaddrinfo(host, 443, type=socket.SOCK_STREAM)
    except OSError:
        return False
    return bool(found) and all(ipaddress.ip_address(one[4][0]).is_global for one in found)


async def listed(
    http: httpx.AsyncClient,
    url: str,
    last_modified: str | None,
    now: datetime,
    contact: str,
    resolve: Resolve = public_addresses,
) -> Listed:
    """What the feed lists now. Raises ForecastError where it does not answer well; its text says what was wrong."""
    headers = {"If-Modified-Since": last_modified} if last_modified else {}
    answer = await _asked(http, url, contact, headers, resolve)
    expires_at = http_date(answer.headers.get("Expires")) or now
    next_at = min(max(expires_at, now + OFTEN), now + SELDOM)
    if answer.status == 304:
        return Listed(None, next_at, last_modified)
    if answer.status != 200:
        wait = retry_after(answer.headers.get("Retry-After"), now)
        raise ForecastError(f"status {answer.status}" + (f", asked to wait {wait}" if wait > timedelta(0) else ""))
    kept = (answer.headers.get("Last-Modified") or "")[:80] or None
    if cap.is_alert(answer.body):
        return Listed((url,), next_at, kept, answer.body)
    return Listed(cap.links(answer.body, url), next_at, kept)


async def warning(http: httpx.AsyncClient, url: str, contact: str, resolve: Resolve = public_addresses) -> str:
    """The text of one CAP file that can be read. Raises ForecastError."""
    answer = await _asked(http, url, contact, {}, resolve)
    if answer.status != 200:
        raise ForecastError(f"status {answer.status}")
    cap.parse(answer.body)
    return answer.body


async def _asked(http: httpx.AsyncClient, url: str, contact: str, headers: dict[str, str], resolve: Resolve) -> Answer:
    if problem := address_problem(url):
        raise ForecastError(f"{shortened(url)}: {problem}")
    if not await resolve(urlsplit(url).hostname or ""):
        raise ForecastError(f"{shortened(urlsplit(url).hostname)} has no public address")
    sent = {"User-Agent": user_agent(contact, False), "Accept": "application/cap+xml, application/atom+xml, */*;q=0.5"}
    try:
        async with asyncio.timeout(_WHOLE_S):
            return await get(http, httpx.URL(url), {**sent, **headers})
    except (httpx.HTTPError, httpx.InvalidURL, TimeoutError) as error:
        raise ForecastError(f"no answer ({type(error).__name__})") from error


def _is_number(host: str) -> bool:
    try:
        ipaddress.ip_address(host.strip("[]"))
    except ValueError:
        return host.replace(".", "").isdecimal() or host.startswith("0x")
    return True
