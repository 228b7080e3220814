"""What runs by the clock, a line each. What is due stands in tables; a job only asks "what is due by now"."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Protocol

import httpx

from bot.chat.pump import log_of

__all__ = ["JOBS", "Job", "Watcher", "run", "run_once"]

_LOG = logging.getLogger(__name__)


class Watcher(Protocol):
    """What the jobs do, by the running bot."""

    @property
    def is_sure_of_time(self) -> bool: ...

    async def watch(self) -> None: ...

    async def refresh_weather(self, http: httpx.AsyncClient) -> None: ...

    async def rehearse(self) -> int: ...

    async def tidy(self) -> None: ...

    async def back_up(self) -> None: ...

    async def note_moment(self) -> None: ...


@dataclass(frozen=True, slots=True)
class Job:
    name: str
    every_s: float
    run: Callable[[Watcher, httpx.AsyncClient], Awaitable[object]]


#: Short ticks: a job that was late or lost is made up for by the next.
WEATHER = Job("weather", 300, lambda app, http: app.refresh_weather(http))
JOBS: tuple[Job, ...] = (
    WEATHER,
    Job("watch", 30, lambda app, http: app.watch()),
    Job("rehearse", 10, lambda app, http: app.rehearse()),
    Job("moment", 300, lambda app, http: app.note_moment()),
    Job("tidy", 3600, lambda app, http: app.tidy()),
    Job("backup", 3600, lambda app, http: app.back_up()),
)


async def run(app: Watcher, http: httpx.AsyncClient, stop: asyncio.Event) -> None:
    """Every job at once and then after its pause, each by itself, until stopped; what is at work then is cut off.

    The weather is asked for before anybody looks at it. Pauses are seconds that pass, not moments of the wall clock,
    which may jump.
    """
    await run_once(WEATHER, app, http)
    jobs = [asyncio.ensure_future(_repeat(job, app, http)) for job in JOBS]
    try:
        await stop.wait()
    finally:
        for job in jobs:
            job.cancel()
        await asyncio.gather(*jobs, return_exceptions=True)


async def _repeat(job: Job, app: Watcher, http: httpx.AsyncClient) -> None:
    while True:
        await run_once(job, app, http)
        await asyncio.sleep(job.every_s)


async def run_once(job: Job, app: Watcher, http: httpx.AsyncClient) -> None:
    """One run, unless the time itself is in doubt; one that fails is logged, and tried at the next tick."""
    if not app.is_sure_of_time:
        return
    try:
        await job.run(app, http)
    except Exception as error:
        _LOG.error("the job %s failed; tried again in %g s: %s", job.name, job.every_s, log_of(error))
