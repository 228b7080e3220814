"""What runs by the clock, a line each. What is due stands in tables; a job only asks "what is due by now"."""

from __future__ import annotations

import logging
import traceback
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Protocol

import httpx
from apscheduler.schedulers.asyncio import AsyncIOScheduler

__all__ = ["JOBS", "Job", "Watcher", "schedule"]

_LOG = logging.getLogger(__name__)


class Watcher(Protocol):
    """What the jobs do, by the running bot."""

    async def watch(self) -> None: ...

    async def refresh_weather(self, http: httpx.AsyncClient) -> None: ...

    async def rehearse(self) -> int: ...

    async def tidy(self) -> None: ...

    async def back_up(self) -> None: ...


@dataclass(frozen=True, slots=True)
class Job:
    name: str
    every_s: float
    run: Callable[[Watcher, httpx.AsyncClient], Awaitable[object]]


#: Short ticks: a job that was late or lost is made up for by the next.
JOBS: tuple[Job, ...] = (
    Job("watch", 30, lambda app, http: app.watch()),
    Job("weather", 300, lambda app, http: app.refresh_weather(http)),
    Job("rehearse", 10, lambda app, http: app.rehearse()),
    Job("tidy", 3600, lambda app, http: app.tidy()),
    Job("backup", 3600, lambda app, http: app.back_up()),
)


def schedule(app: Watcher, http: httpx.AsyncClient) -> Any:
    """A scheduler with every job, not started; each runs at once and then by its clock.

    A job that is late still runs, once, and never beside itself; one that fails is logged and tried at the next tick.
    """
    scheduler = AsyncIOScheduler(timezone=UTC)
    for job in JOBS:
        scheduler.add_job(
            _run,
            "interval",
            args=(job, app, http),
            seconds=job.every_s,
            id=job.name,
            next_run_time=datetime.now(UTC),
            misfire_grace_time=None,
            coalesce=True,
            max_instances=1,
        )
    return scheduler


async def _run(job: Job, app: Watcher, http: httpx.AsyncClient) -> None:
    # The scheduler awaits only what is declared async; anything else it would run in a thread.
    try:
        await job.run(app, http)
    except Exception as error:
        # Where and how, without the error's text, which may hold what a person wrote.
        where = "".join(traceback.format_tb(error.__traceback__))
        kind = type(error).__name__
        _LOG.error("the job %s failed (%s); tried again in %g s\n%s", job.name, kind, job.every_s, where)
