"""Two pages on a port of its own, off unless set: /healthz and /metrics, in Prometheus's text format 0.0.4.

Numbers only: no name, no word of anybody's, no secret.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from datetime import datetime, timedelta
from functools import partial

from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession
from tornado.httputil import HTTPServerRequest

from bot.app import App
from bot.chat.wire import outbox
from bot.cli.web import Answer, Page, listening
from bot.forecasts.request import SERVICES
from bot.storage import moments
from bot.storage.models import Garden, Inbox, Outbox, Weather

__all__ = ["LATE", "answering"]

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
