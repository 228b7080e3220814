"""Every job by the clock really runs, and one that fails does not keep it from running again."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import datetime, timedelta, tzinfo
from typing import Self, cast

import httpx
import pytest

from bot import jobs

EVERY_JOB = {
    "weather", "refresh_official", "watch", "fetch_past_nights", "note_moment", "tidy", "back_up",
}  # fmt: skip


class Counting:
    """Counts what it was asked to do."""

    is_sure_of_time = True

    def __init__(self) -> None:
        self.watched = self.refreshed = 0
        self.order: list[str] = []

    def __getattr__(self, name: str) -> object:
        async def done(*_: object) -> None:
            self.order.append(name)

        return done

    async def watch(self) -> None:
        self.order.append("watch")
        self.watched += 1
        if self.watched == 1:
            raise RuntimeError("the first watch fails")

    async def refresh_weather(self, http: httpx.AsyncClient) -> None:
        self.order.append("weather")
        self.refreshed += 1


@pytest.fixture
def fast(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(jobs, "JOBS", tuple(replace(job, every_s=0.05) for job in jobs.JOBS))
    monkeypatch.setattr(jobs, "CHECK_S", 0.2)


async def live(app: Counting, seconds: float) -> None:
    stop = asyncio.Event()
    async with httpx.AsyncClient() as http:
        running = asyncio.create_task(jobs.run(cast(jobs.Watcher, app), http, stop))
        await asyncio.sleep(seconds)
        stop.set()
        await asyncio.wait_for(running, 5)


async def test_every_job_runs_at_once_and_a_failed_one_runs_again(fast: None) -> None:
    app = Counting()
    await live(app, 1.0)
    assert app.order[0] == "weather", "nobody looks at a garden before its weather was asked for"
    assert app.watched >= 2
    assert {*app.order} == {
        "weather",
        "refresh_official",
        "watch",
        "fetch_past_nights",
        "note_moment",
        "tidy",
        "back_up",
    }


async def test_nothing_runs_by_a_clock_that_is_in_doubt_and_all_of_it_when_the_doubt_is_over(fast: None) -> None:
    app = Counting()
    app.is_sure_of_time = False
    await live(app, 0.5)
    assert app.order == []
    app.is_sure_of_time = True
    await live(app, 0.5)
    assert len({*app.order}) == len(jobs.JOBS)


async def test_a_stop_does_not_wait_for_a_job_that_hangs(fast: None) -> None:
    class Hanging(Counting):
        async def tidy(self) -> None:
            await asyncio.sleep(3600)

    await live(Hanging(), 0.3)


async def test_a_clock_that_was_years_ahead_for_one_tick_keeps_no_job_from_running(
    fast: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Wrong(datetime):
        ahead = timedelta()

        @classmethod
        def now(cls, tz: tzinfo | None = None) -> Self:
            return super().now(tz) + cls.ahead

    monkeypatch.setattr("apscheduler.schedulers.base.datetime", Wrong)
    app, stop = Counting(), asyncio.Event()
    async with httpx.AsyncClient() as http:
        running = asyncio.create_task(jobs.run(cast(jobs.Watcher, app), http, stop))
        await asyncio.sleep(0.5)
        Wrong.ahead = timedelta(days=3 * 365)
        await asyncio.sleep(0.15)
        Wrong.ahead = timedelta()
        app.order.clear()
        await asyncio.sleep(1.0)
        stop.set()
        await asyncio.wait_for(running, 5)
    assert {*app.order} == {
        "weather",
        "refresh_official",
        "watch",
        "fetch_past_nights",
        "note_moment",
        "tidy",
        "back_up",
    }


def test_names_are_unique_and_ticks_of_the_watch_are_short() -> None:
    names = [job.name for job in jobs.JOBS]
    assert len(set(names)) == len(names)
    assert next(job for job in jobs.JOBS if job.name == "watch").every_s <= 30
