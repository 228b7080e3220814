"""Reading official warnings: files by the Common Alerting Protocol, and the Atom or RSS feeds that list them.

CAP 1.2 (urn:oasis:names:tc:emergency:cap:1.2; 1.1 has the same elements), Atom (RFC 4287), RSS 2.0. XML comes from
elsewhere: entities, document types and references to other files are refused (defusedxml).

Asking for official warnings: a feed seldom and with its own headers, each of its files once.

An address may come from an organiser, so it may not lead into the network that the bot runs in: https, a public name,
and a host whose every address is public.
"""

from __future__ import annotations

import asyncio
import ipaddress
import socket
from collections.abc import Awaitable, Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from urllib.parse import urljoin, urlsplit
from xml.etree.ElementTree import Element, ParseError

import httpx
from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from bot.core.warnings.official import Alert, Area, Info, Point, Reference, Shape
from bot.core.weather.forecast import ForecastError
from bot.forecasts.file import http_date
from bot.forecasts.reader import shortened
from bot.forecasts.request import Answer, get, retry_after, user_agent

MOST_LINKS = 500
_LONGEST_WORDS = 4000
_CAP_TYPE = "application/cap+xml"


def parse(text: str) -> Alert:
    """The message in one file. Raises ForecastError where it is none, or lacks what the standard requires."""
    root = _root(text)
    if _local(root) != "alert":
        raise ForecastError(f"this is <{_local(root)[:40]}>, expected a CAP <alert>; is it the list of warnings?")
    sent_at = _moment(root, "sent")
    if sent_at is None:
        raise ForecastError(
            "the warning does not say when it was sent; expected <sent>2026-03-05T21:00:00+00:00</sent>"
        )
    me = Reference(_needed(root, "sender"), _needed(root, "identifier"), sent_at)
    return Alert(
        me=me,
        status=_needed(root, "status"),
        kind=_needed(root, "msgType"),
        scope=_text(root, "scope") or "Public",
        references=tuple(_references(_text(root, "references"))),
        infos=tuple(_info(one) for one in _all(root, "info")),
    )


def is_alert(text: str) -> bool:
    """Whether it is one message rather than a list of them. Raises ForecastError where it is no XML."""
    return _local(_root(text)) == "alert"


def links(text: str, base: str) -> tuple[str, ...]:
    """The addresses of the CAP files that a feed lists, in its order. Raises ForecastError where it is no feed."""
    root = _root(text)
    if _local(root) == "feed":
        found = [_atom_link(entry) for entry in _all(root, "entry")]
    elif _local(root) == "rss":
        found = [_text(item, "link") for channel in _all(root, "channel") for item in _all(channel, "item")]
    else:
        raise ForecastError(f"this is <{_local(root)[:40]}>, expected an Atom or RSS feed, or a CAP alert")
    return tuple(dict.fromkeys(urljoin(base, link) for link in found if link))[:MOST_LINKS]


def _atom_link(entry: Element) -> str:
    """The link to the CAP file where one says so, else the first; the identifier where there is none."""
    found = [one for one in _all(entry, "link") if one.get("href")]
    best = next((one for one in found if one.get("type") == _CAP_TYPE), None) or next(iter(found), None)
    return (best.get("href") or "").strip() if best is not None else _text(entry, "id")


def _root(text: str) -> Element:
    try:
        root: Element = fromstring(text.strip().encode())
    except (ParseError, DefusedXmlException, ValueError, LookupError) as error:
        raise ForecastError(
            f"this is no XML that is read here ({type(error).__name__}); is the address right?"
        ) from error
    return root


def _info(node: Element) -> Info:
    return Info(
        language=_text(node, "language") or "en-US",  # the standard's default (3.2.2)
        event=_text(node, "event"),
        urgency=_text(node, "urgency"),
        severity=_text(node, "severity") or "Unknown",
        certainty=_text(node, "certainty"),
        categories=tuple((one.text or "").strip() for one in _all(node, "category")),
        responses=tuple((one.text or "").strip() for one in _all(node, "responseType")),
        effective_at=_moment(node, "effective"),
        onset_at=_moment(node, "onset"),
        expires_at=_moment(node, "expires"),
        issuer=_text(node, "senderName"),
        headline=_text(node, "headline"),
        description=_text(node, "description"),
        instruction=_text(node, "instruction"),
        web=_text(node, "web"),
        areas=tuple(_area(one) for one in _all(node, "area")),
    )


def _area(node: Element) -> Area:
    shapes = [
        *(_polygon(one.text or "") for one in _all(node, "polygon")),
        *(_circle(one.text or "") for one in _all(node, "circle")),
    ]
    codes = [(_text(one, "valueName"), _text(one, "value")) for one in _all(node, "geocode")]
    return Area(
        words=_text(node, "areaDesc"),
        shapes=tuple(one for one in shapes if one is not None),
        codes=tuple((name, value) for name, value in codes if name and value),
    )


def _polygon(text: str) -> Shape | None:
    """ "latitude,longitude" four times or more, the first again at the end; None where it is not that."""
    points = tuple(_points(text.split()))
    return Shape(points) if len(points) >= 4 and len(points) == len(text.split()) and points[0] == points[-1] else None


def _circle(text: str) -> Shape | None:
    """ "latitude,longitude radius", the radius in km."""
    centre, _, radius = text.strip().partition(" ")
    points = tuple(_points([centre]))
    try:
        return Shape(points, float(radius)) if points and float(radius) >= 0.0 else None
    except ValueError:
        return None


def _points(pairs: list[str]) -> Iterator[Point]:
    for pair in pairs:
        try:
            latitude, longitude = (float(part) for part in pair.split(","))
        except ValueError:
            continue
        if abs(latitude) <= 90.0 and abs(longitude) <= 180.0:
            yield latitude, longitude


def _references(text: str) -> Iterator[Reference]:
    """ "sender,identifier,sent", parted by spaces; what is not that is left out."""
    for one in text.split():
        parts = one.split(",")
        sent_at = _aware(parts[-1])
        if len(parts) >= 3 and sent_at is not None:
            yield Reference(parts[0], ",".join(parts[1:-1]), sent_at)


def _needed(node: Element, name: str) -> str:
    text = _text(node, name)
    if not text:
        raise ForecastError(f"the warning has no <{name}>, which the standard requires")
    return text


def _moment(node: Element, name: str) -> datetime | None:
    return _aware(_text(node, name))


def _aware(text: str) -> datetime | None:
    """A moment as the standard wants it, with its offset; None where it is none."""
    try:
        at = datetime.fromisoformat(text.strip())
        return at.astimezone(UTC) if at.tzinfo is not None else None
    except (ValueError, OverflowError):
        return None


def _all(node: Element, name: str) -> list[Element]:
    return [one for one in node if _local(one) == name]


def _text(node: Element, name: str) -> str:
    found = next(iter(_all(node, name)), None)
    return " ".join((found.text or "").split())[:_LONGEST_WORDS] if found is not None else ""


def _local(node: Element) -> str:
    return node.tag.rpartition("}")[2] if isinstance(node.tag, str) else ""


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
    if is_alert(answer.body):
        return Listed((url,), next_at, kept, answer.body)
    return Listed(links(answer.body, url), next_at, kept)


async def warning(http: httpx.AsyncClient, url: str, contact: str, resolve: Resolve = public_addresses) -> str:
    """The text of one CAP file that can be read. Raises ForecastError."""
    answer = await _asked(http, url, contact, {}, resolve)
    if answer.status != 200:
        raise ForecastError(f"status {answer.status}")
    parse(answer.body)
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
