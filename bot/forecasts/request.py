"""Asking one weather service, politely: seldom, identified, bounded, and less often after each failure.

Nothing here sleeps, reads a clock or stores: `now` and the last state come in, the next state goes out. The library
that sends the requests logs whole addresses, with the garden's coordinates, at INFO: keep its logger at WARNING.
Rules: api.met.no Terms of Service and HTTP status codes; open-meteo.com terms (both read 2026-11-25 via copies).

The latest forecast: which service is asked first, which falls in, and when a garden's turn is.

What is kept of a service's last answer between two requests, as its terms ask. The caller keeps it, as JSON.
"""

from __future__ import annotations

import asyncio
import hashlib
import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx

from bot.core.weather.forecast import Forecast, ForecastError
from bot.forecasts import file, met_norway, open_meteo
from bot.forecasts.reader import Point, parse_json, shortened, within


@dataclass(frozen=True, slots=True)
class Stored:
    """One service's state for one place.

    body: the last good answer, empty before there was one. fetched_at: when it was fetched or last confirmed.
    expires_at: no request before it. last_modified: that header's text, word for word.
    retry_after_at: after a failure, no request before it. leave_until_at: the service wants no request before it, for
    whichever place. failures: how many in a row.
    note: why the last request failed, or what the service warns of; empty when all is well.
    """

    service: str
    point: Point
    body: str = ""
    fetched_at: datetime | None = None
    expires_at: datetime | None = None
    last_modified: str | None = None
    retry_after_at: datetime | None = None
    failures: int = 0
    note: str = ""
    leave_until_at: datetime | None = None

    @property
    def due_at(self) -> datetime | None:
        """From when on the service's terms allow a request; None for now."""
        return max((at for at in (self.expires_at, self.retry_after_at) if at is not None), default=None)

    def due(self, now: datetime) -> bool:
        """Whether the service's terms allow a request now."""
        return self.due_at is None or self.due_at <= now


def to_row(stored: Stored) -> dict[str, Any]:
    """As plain JSON values."""
    return {name: value.isoformat() if isinstance(value, datetime) else value for name, value in asdict(stored).items()}


def from_row(row: Mapping[str, Any]) -> Stored | None:
    """The Stored that `to_row` made; None where the row is of another form, so that the service is asked anew."""
    try:
        known = {"leave_until_at": None, **row}  # there are rows from before it was kept
        values = {name: known[name] for name in (field.name for field in fields(Stored))}
        moments = {name: _moment(value) for name, value in values.items() if name.endswith("_at")}
        return Stored(**{**values, **moments, "point": Point(**values["point"])})
    except (KeyError, TypeError, ValueError):
        return None


def _moment(value: Any) -> datetime | None:
    return None if value is None else datetime.fromisoformat(value).astimezone(UTC)


logger = logging.getLogger(__name__)

MAX_BYTES = 2_000_000
UNSAID_EXPIRY = timedelta(hours=1)  # where a service names no Expires
LONGEST_EXPIRY = timedelta(hours=24)
FIRST_WAIT, LONGEST_WAIT = timedelta(minutes=10), timedelta(hours=6)
LONGEST_RETRY_AFTER = timedelta(hours=24)
REFUSED_WAIT = timedelta(hours=12)  # the same request will be refused again
_HOPS = 3
_WHOLE_S = 60.0
_TIMEOUT = httpx.Timeout(20.0, connect=10.0)
_PASSING = (408, 425, 429)  # of the 4xx, those that may succeed when repeated


@dataclass(frozen=True, slots=True)
class Service:
    url: str
    query: Callable[[Point], dict[str, str]]
    parse: Callable[..., Forecast]
    needs_contact: bool
    floor: timedelta  # never ask more often


SERVICES: Mapping[str, Service] = {
    open_meteo.NAME: Service(open_meteo.URL, open_meteo.query, open_meteo.parse, False, timedelta(hours=1)),
    met_norway.NAME: Service(met_norway.URL, met_norway.query, met_norway.parse, True, timedelta(minutes=10)),
}
#: What goes with a service's forecast and never stands in for it: an ensemble, which says how sure it is, or the gusts
#: that it has only for a part of the world.
BESIDE: Mapping[str, str] = {open_meteo.NAME: open_meteo.ENSEMBLE_NAME, met_norway.NAME: open_meteo.GUSTS_NAME}
_KNOWN: Mapping[str, Service] = {
    **SERVICES,
    open_meteo.ENSEMBLE_NAME: Service(
        open_meteo.ENSEMBLE_URL, open_meteo.ensemble_query, open_meteo.parse, False, timedelta(hours=3)
    ),
    open_meteo.GUSTS_NAME: Service(open_meteo.URL, open_meteo.gusts_query, open_meteo.parse, False, timedelta(hours=3)),
}


class Throttled(ForecastError):
    """The service wants to be left alone. asked: its Retry-After, if any."""

    def __init__(self, why: str, asked: str | None) -> None:
        super().__init__(why)
        self.asked = asked

    def until(self, now: datetime) -> datetime:
        return now + max(retry_after(self.asked, now), FIRST_WAIT)


@dataclass(frozen=True, slots=True)
class Answer:
    status: int
    headers: httpx.Headers
    body: str


async def fetch(
    service: str,
    point: Point,
    stored: Stored | None,
    now: datetime,
    http: httpx.AsyncClient,
    contact: str,
    *,
    paused: Mapping[str, datetime] | None = None,
) -> Stored:
    """The state after asking `service`, if it may be asked by now; what was stored for another place is forgotten.

    A failure is told in the state's note and puts off the next request. paused: as in `latest`. Raises
    ForecastError where `contact` cannot be sent.
    """
    point = point.rounded()
    kept = stored if stored is not None and stored.point == point else Stored(service, point)
    if not kept.due(now) or (paused or {}).get(service, now) > now:
        return kept
    headers = {"User-Agent": user_agent(contact, _KNOWN[service].needs_contact), "Accept": "application/json"}
    if kept.body and kept.last_modified:
        headers["If-Modified-Since"] = kept.last_modified
    url = httpx.URL(_KNOWN[service].url, params=_KNOWN[service].query(point))
    try:
        async with asyncio.timeout(_WHOLE_S):
            answer = await get(http, url, headers)
    except ForecastError as error:
        return _failed(kept, now, str(error))
    except (httpx.HTTPError, httpx.InvalidURL, TimeoutError) as error:
        return _failed(kept, now, f"no answer ({type(error).__name__})")
    return _taken(kept, answer, now)


async def once(url: str, query: Mapping[str, str], http: httpx.AsyncClient, contact: str) -> str:
    """The body of one good answer, bounded; when to ask again is the caller's. Raises ForecastError,
    Throttled where the service wants to be left alone."""
    headers = {"User-Agent": user_agent(contact, needed=False), "Accept": "application/json"}
    try:
        async with asyncio.timeout(_WHOLE_S):
            answer = await get(http, httpx.URL(url, params=query), headers)
    except (httpx.HTTPError, httpx.InvalidURL, TimeoutError) as error:
        raise ForecastError(f"no answer ({type(error).__name__})") from error
    if answer.status != httpx.codes.OK:
        why = f"status {answer.status}{_reason(answer.body)}"
        raise Throttled(why, answer.headers.get("Retry-After")) if _throttles(answer) else ForecastError(why)
    return answer.body


def read(stored: Stored) -> Forecast:
    """The Forecast in the stored answer. Raises ForecastError where there is none."""
    if not stored.body:
        raise ForecastError(f"{stored.service} has not answered yet; ask again later")
    parse = _KNOWN[stored.service].parse
    return parse(parse_json(stored.body), fetched_at=stored.fetched_at, near=stored.point)


def user_agent(contact: str, needed: bool) -> str:
    contact = contact.strip()
    if needed and not contact:
        raise ForecastError("MET Norway refuses requests without a contact; set a mail address or page as the contact")
    if not contact.isascii() or not contact.isprintable():
        raise ForecastError("the contact has letters that cannot be sent; use a plain mail address or page")
    return f"Gatepost/0.1 {contact}".strip()


async def get(http: httpx.AsyncClient, url: httpx.URL, headers: Mapping[str, str]) -> Answer:
    """The answer, over redirects within the host only. Raises ForecastError on another host or an answer too long."""
    for _ in range(_HOPS):
        async with http.stream("GET", url, headers=headers, timeout=_TIMEOUT, follow_redirects=False) as response:
            if not response.has_redirect_location:
                return Answer(response.status_code, response.headers, await _bounded(response))
            target = url.join(response.headers["Location"])
        if (target.scheme, target.host, target.port) != (url.scheme, url.host, url.port):
            raise ForecastError(
                f"it sends on to {shortened(target.host)}, which is not followed; has its address changed?"
            )
        url = target
    raise ForecastError("it sends on in circles")


async def _bounded(response: httpx.Response) -> str:
    body = bytearray()
    async for chunk in response.aiter_bytes():
        body += chunk
        if len(body) > MAX_BYTES:
            raise ForecastError(f"its answer is over {MAX_BYTES} bytes, too long for a forecast")
    return body.decode("utf-8", "replace")


def _taken(kept: Stored, answer: Answer, now: datetime) -> Stored:
    """The state after an answer came."""
    if answer.status == 304 and kept.body:
        return _fresh(kept, answer, now, kept.body)
    if answer.status in (200, 203):
        fresh = _fresh(kept, answer, now, answer.body)
        try:
            read(fresh)
        except ForecastError as error:
            return _failed(kept, now, str(error))
        return fresh
    refused = 400 <= answer.status < 500 and answer.status not in _PASSING
    asked = REFUSED_WAIT if refused else retry_after(answer.headers.get("Retry-After"), now)
    failed = _failed(kept, now, f"status {answer.status}{_reason(answer.body)}", asked)
    return replace(failed, leave_until_at=failed.retry_after_at) if _throttles(answer) else failed


def _fresh(kept: Stored, answer: Answer, now: datetime, body: str) -> Stored:
    note = f"{kept.service}: this version of the service is deprecated (203)" if answer.status == 203 else ""
    if note:
        logger.warning("%s", note)
    expires_at = file.http_date(answer.headers.get("Expires")) or now + UNSAID_EXPIRY
    earliest = now + _KNOWN[kept.service].floor
    return Stored(
        service=kept.service,
        point=kept.point,
        body=body,
        fetched_at=now,
        expires_at=min(max(expires_at, earliest), now + LONGEST_EXPIRY),
        last_modified=answer.headers.get("Last-Modified") or (kept.last_modified if answer.status == 304 else None),
        note=note,
    )


def _throttles(answer: Answer) -> bool:
    """Whether it has too much to do for us: RFC 6585, 4; a 503 with Retry-After, RFC 9110, 15.6.4."""
    return answer.status == 429 or (answer.status == 503 and "Retry-After" in answer.headers)


def _failed(kept: Stored, now: datetime, why: str, asked: timedelta = timedelta(0)) -> Stored:
    """The state after a failure: each one doubles the wait, and a longer one that was asked for is kept."""
    wait = max(asked, min(FIRST_WAIT * 2 ** min(kept.failures, 10), LONGEST_WAIT))
    note = f"{kept.service}: {why}"
    logger.warning("%s; next try in %s", note, wait)
    return replace(kept, retry_after_at=now + wait, failures=kept.failures + 1, note=note)


def retry_after(header: str | None, now: datetime) -> timedelta:
    """What a Retry-After header asks (RFC 9110, 10.2.3: seconds or a date), capped; none where it asks nothing."""
    if header is not None and header.strip().isdecimal():
        wait = timedelta(seconds=min(int(header.strip()[:9]), 10**6))
    else:
        wait = (file.http_date(header) or now) - now
    return min(wait, LONGEST_RETRY_AFTER)


def _reason(body: str) -> str:
    """The service's own reason, where its error is JSON that gives one."""
    try:
        reason = within(parse_json(body)).get("reason")
    except ForecastError:
        return ""
    return f": {shortened(reason)}" if reason else ""


STILL_GOOD = timedelta(hours=3)  # an answer this young is kept while its service fails, rather than change service


@dataclass(frozen=True, slots=True)
class Outcome:
    """forecast: the best to be had, None when there is none. errors: what failed or warns, a line each, no secrets."""

    forecast: Forecast | None
    stored_by_service: Mapping[str, Stored]
    errors: tuple[str, ...] = ()


def order(setting: str) -> tuple[str, ...]:
    """The sources to try in turn: the service that is set, then the other one; a file stands alone.

    Raises ForecastError on anything else.
    """
    if setting.startswith("file:"):
        return (setting,)
    if setting not in SERVICES:
        raise ForecastError(f"the forecast setting is {setting[:40]!r}, expected {', '.join(SERVICES)} or file:PATH")
    return (setting, *(name for name in SERVICES if name != setting))


def spread_s(garden_id: int, contact: str = "") -> int:
    """How many seconds past the hour this garden asks, 0-3599: always the same, and spread over gardens and bots."""
    digest = hashlib.sha256(f"{contact}/{garden_id}".encode()).digest()
    return int.from_bytes(digest[:8]) % 3600


async def latest(
    sources: Sequence[str],
    point: Point,
    stored_by_service: Mapping[str, Stored],
    now: datetime,
    http: httpx.AsyncClient,
    contact: str,
    paused: Mapping[str, datetime] | None = None,
) -> Outcome:
    """The forecast of the first source that has a good one, else the newest that is still stored, however old.

    paused: services that want to be left alone, each until when.
    """
    stored, old = dict(stored_by_service), []
    errors: list[str] = []
    for source in sources:
        try:
            if source.startswith("file:"):
                path = Path(source.removeprefix("file:"))
                return Outcome(await asyncio.to_thread(file.latest, path, now, point), stored, tuple(errors))
            state = stored[source] = await fetch(source, point, stored.get(source), now, http, contact, paused=paused)
            errors.extend([state.note] if state.note else [])
            if not state.body:
                continue
            forecast = read(state)
        except ForecastError as error:
            errors.append(str(error))
            continue
        if not state.failures or _age(state, now) <= STILL_GOOD:
            return Outcome(forecast, stored, tuple(errors))
        old.append((_age(state, now), forecast))
    return Outcome(min(old, key=lambda pair: pair[0])[1] if old else None, stored, tuple(errors))


def _age(stored: Stored, now: datetime) -> timedelta:
    return timedelta.max if stored.fetched_at is None else now - stored.fetched_at
