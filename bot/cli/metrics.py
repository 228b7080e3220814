"""Two pages on a port of its own, off unless set: /healthz and /metrics, in Prometheus's text format 0.0.4.

Numbers only: no name, no word of anybody's, no secret.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.app import App
from bot.chat.wire import outbox
from bot.config import SettingsError
from bot.forecasts.request import SERVICES
from bot.storage import moments
from bot.storage.models import Garden, Inbox, Weather

__all__ = ["LATE", "answering"]

#: Three times as long as the bot takes to write down that it lives.
LATE = timedelta(minutes=15)
_REQUEST_S, _MOST_BYTES = 5.0, 8192

Numbers = Mapping[str, float]


@asynccontextmanager
async def answering(app: App, where: tuple[str, int] | None) -> AsyncIterator[None]:
    """Answer while the block runs. Raises SettingsError where the port cannot be had."""
    if where is None:
        yield
        return

    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with contextlib.suppress(OSError, TimeoutError, asyncio.IncompleteReadError, asyncio.LimitOverrunError):
            async with asyncio.timeout(_REQUEST_S):
                head = await reader.readuntil(b"\r\n\r\n")
                status, kind, body = await _page(app, head.split(b"\r\n", 1)[0])
                length = len(body.encode())
                writer.write(f"HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\n".encode())
                writer.write(f"Connection: close\r\n\r\n{body}".encode())
                await writer.drain()
        writer.close()

    host, port = where
    try:
        server = await asyncio.start_server(serve, host, port, limit=_MOST_BYTES)
    except OSError as error:
        raise SettingsError(
            f"GATEPOST_METRICS is {host}:{port}, which cannot be listened on ({error.strerror}); choose another, or off"
        ) from error
    async with server:
        yield


async def _page(app: App, asked: bytes) -> tuple[str, str, str]:
    method, _, rest = asked.partition(b" ")
    path = rest.partition(b" ")[0].partition(b"?")[0]
    if path not in (b"/healthz", b"/metrics"):
        return "404 Not Found", "text/plain", "there are /healthz and /metrics\n"
    if method != b"GET":
        return "405 Method Not Allowed", "text/plain", "only GET\n"
    try:
        async with app.database.begin() as session:
            numbers = await _numbers(session, app.now())
    except Exception as error:
        return "503 Service Unavailable", "text/plain", f"the database does not answer ({type(error).__name__})\n"
    if path == b"/metrics":
        return "200 OK", "text/plain; version=0.0.4", _in_text(numbers)
    age_s = numbers.get("gatepost_alive_age_seconds", 0.0)
    if age_s > LATE.total_seconds():
        return "503 Service Unavailable", "text/plain", f"the last sign of life is {age_s:.0f} s old\n"
    return "200 OK", "text/plain", "ok\n"


async def _numbers(session: AsyncSession, now: datetime) -> Numbers:
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
    """A gauge a line, its type before the first of its name."""
    lines: list[str] = []
    for name, value in numbers.items():
        of = f"# TYPE {name.partition('{')[0]} gauge"
        lines += [*([] if of in lines else [of]), f"{name} {value:g}"]
    return "\n".join([*lines, ""])
