"""What runs by the clock, a line each. What is due stands in tables; a job only asks "what is due by now"."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol

import httpx
from apscheduler.schedulers.asyncio import AsyncIOScheduler
from apscheduler.triggers.base import BaseTrigger

from bot.chat.wire.pump import log_of

_LOG = logging.getLogger(__name__)
#: Its note of every run of every job would be 50,000 lines a day.
logging.getLogger("apscheduler").setLevel(logging.ERROR)
#: How often the plan itself is held against the clock.
CHECK_S = 10.0


class Watcher(Protocol):
    """What the jobs do, by the running bot."""

    @property
    def is_sure_of_time(self) -> bool: ...

    async def watch(self) -> None: ...

    async def refresh_weather(self, http: httpx.AsyncClient) -> None: ...

    async def refresh_official(self, http: httpx.AsyncClient) -> None: ...
    async def fetch_past_nights(self, http: httpx.AsyncClient) -> None: ...

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
    Job("official", 60, lambda app, http: app.refresh_official(http)),
    Job("watch", 30, lambda app, http: app.watch()),
    Job("past nights", 3600, lambda app, http: app.fetch_past_nights(http)),
    Job("moment", 300, lambda app, http: app.note_moment()),
    Job("tidy", 3600, lambda app, http: app.tidy()),
    Job("backup", 3600, lambda app, http: app.back_up()),
)


class Pause(BaseTrigger):  # type: ignore[misc]  # the library is untyped
    """At once, and then a pause after now: the library's own interval reckons each run that a jump of the clock left out,
    millions for a year.
    """

    def __init__(self, every_s: float) -> None:
        self.every_s = every_s

    def get_next_fire_time(self, previous_fire_time: datetime | None, now: datetime) -> datetime:
        return now if previous_fire_time is None else now + timedelta(seconds=self.every_s)


async def run(app: Watcher, http: httpx.AsyncClient, stop: asyncio.Event) -> None:
    """Every job at once and then by its clock, each by itself, until stopped; what is at work then is cut off.

    The weather is asked for before anybody looks at it. A job that is late still runs, once, and never beside itself.
    """
    await run_once(WEATHER, app, http)
    at_work = set[asyncio.Task[None]]()
    scheduler = AsyncIOScheduler(timezone=UTC)
    for job in JOBS:
        scheduler.add_job(
            _tick,
            Pause(job.every_s),
            args=(job, app, http, at_work),
            id=job.name,
            misfire_grace_time=None,
            coalesce=True,
            max_instances=1,
        )
    scheduler.start()
    try:
        while not await _stopped(stop, CHECK_S):
            bring_near(scheduler, datetime.now(UTC))
    finally:
        cut_off = tuple(at_work)
        scheduler.shutdown(wait=False)
        for task in cut_off:
            task.cancel()
        await asyncio.gather(*cut_off, return_exceptions=True)


def bring_near(scheduler: AsyncIOScheduler, now: datetime) -> None:
    """A clock that was wrong for one tick has put the next runs as far ahead as it was wrong: they are due now."""
    for job in JOBS:
        planned = scheduler.get_job(job.name)
        if planned is not None and planned.next_run_time - now > timedelta(seconds=2 * job.every_s):
            planned.modify(next_run_time=now)


async def _stopped(stop: asyncio.Event, within_s: float) -> bool:
    """Waits by seconds that pass, not by the wall clock, which may jump."""
    try:
        await asyncio.wait_for(stop.wait(), within_s)
    except TimeoutError:
        return False
    return True


async def _tick(job: Job, app: Watcher, http: httpx.AsyncClient, at_work: set[asyncio.Task[None]]) -> None:
    # The scheduler awaits only what is declared async; anything else it would run in a thread.
    task = asyncio.ensure_future(run_once(job, app, http))
    at_work.add(task)
    try:
        await task
    finally:
        at_work.discard(task)


async def run_once(job: Job, app: Watcher, http: httpx.AsyncClient) -> None:
    """One run, unless the time itself is in doubt; one that fails is logged, and tried at the next tick."""
    if not app.is_sure_of_time:
        return
    try:
        await job.run(app, http)
    except Exception as error:
        _LOG.error("the job %s failed; tried again in %g s: %s", job.name, job.every_s, log_of(error))
