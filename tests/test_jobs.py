"""Every job by the clock really runs, and one that fails does not keep it from running again."""

from __future__ import annotations

import asyncio
from typing import cast

import httpx
import pytest

from bot import jobs


class Counting:
    """Counts what it was asked to do."""

    def __init__(self) -> None:
        self.watched = self.refreshed = 0

    def __getattr__(self, name: str) -> object:
        async def done(*_: object) -> None:
            return None

        return done

    async def watch(self) -> None:
        self.watched += 1
        if self.watched == 1:
            raise RuntimeError("the first watch fails")

    async def refresh_weather(self, http: httpx.AsyncClient) -> None:
        self.refreshed += 1


async def test_every_job_runs_at_once_and_a_failed_one_runs_again(monkeypatch: pytest.MonkeyPatch) -> None:
    fast = tuple(jobs.Job(job.name, 1, job.run) for job in jobs.JOBS)
    monkeypatch.setattr(jobs, "JOBS", fast)
    app = Counting()
    async with httpx.AsyncClient() as http:
        scheduler = jobs.schedule(cast(jobs.Watcher, app), http)
        scheduler.start()
        async with asyncio.timeout(10):
            while app.watched < 2 or app.refreshed < 1:
                await asyncio.sleep(0.05)
        scheduler.shutdown(wait=False)
    assert app.refreshed >= 1


def test_names_are_unique_and_ticks_of_the_watch_are_short() -> None:
    names = [job.name for job in jobs.JOBS]
    assert len(set(names)) == len(names)
    assert next(job for job in jobs.JOBS if job.name == "watch").every_s <= 30
