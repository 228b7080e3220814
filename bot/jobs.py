"""What runs by the clock, a line each. What is due stands in tables; a job only asks "what is due by now"."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any, Protocol

import httpx
from apscheduler.schedulers.asyncio import AsyncIOScheduler

__all__ = ["JOBS", "Job", "Watcher", "schedule"]


class Watcher(Protocol):
    """What the jobs do, by the running bot."""

    async def watch(self) -> None: ...

    async def refresh_weather(self, http: httpx.AsyncClient) -> None: ...


@dataclass(frozen=True, slots=True)
class Job:
    name: str
    every_s: int
    run: Callable[[Watcher, httpx.AsyncClient], Awaitable[None]]


#: Short ticks: a job that was late or lost is made up for by the next.
JOBS: tuple[Job, ...] = (
    Job("watch", 30, lambda app, http: app.watch()),
    Job("weather", 300, lambda app, http: app.refresh_weather(http)),
)


def schedule(app: Watcher, http: httpx.AsyncClient) -> Any:
    """A scheduler with every job, not started. A job that is late still runs, once, and never beside itself."""
    scheduler = AsyncIOScheduler(timezone="UTC")
    for job in JOBS:
        scheduler.add_job(
            job.run,
            "interval",
            args=(app, http),
            seconds=job.every_s,
            id=job.name,
            misfire_grace_time=None,
            coalesce=True,
            max_instances=1,
        )
    return scheduler
