"""`gatepost run`: updates come, by long polling or a webhook, until stopped."""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import importlib.util
import logging
import math
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Coroutine, Iterator
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import httpx
from telegram import Bot
from telegram.error import InvalidToken, NetworkError, RetryAfter
from telegram.request import HTTPXRequest

from bot import jobs
from bot.app import App, build
from bot.chat.wire import errand_work, outbox, webhook
from bot.chat.wire.inbox import poll
from bot.chat.wire.pace import Pace
from bot.chat.wire.profile import introduce
from bot.chat.wire.pump import log_of
from bot.cli import logs, web
from bot.cli.watchdog import Watchdog, notify
from bot.config import Settings, file_url, read
from bot.core.clock import AGREES_FOR, Clock
from bot.services.garden.backups import Plan
from bot.services.warnings import official
from bot.services.weather.garden_forecast import Source
from bot.storage import moments
from bot.storage.claims import count_processes, single_instance
from bot.storage.schema import upgrade
from bot.storage.session import Database

_LOG = logging.getLogger(__name__)

#: From the signal to stop: what is begun may end by itself for so long, s; then it is cut off, and then the process.
GRACE_S, END_S = 4.0, 9.0
#: How often somebody looks whether the clock has jumped, s.
GLANCE_S = 10.0
#: A doubt that lasts so long is told to organisers, s: nothing is done by the clock meanwhile.
LASTING_S = 3600.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Everything comes from the settings."""


async def run(args: argparse.Namespace) -> int:
    settings = read()
    if not settings.token:
        print("GATEPOST_TOKEN is not set; gatepost init asks for it (docs/deploy.md: how to get one)", file=sys.stderr)
        return 2
    logs.begin(settings.log_level, as_json=settings.log_json)
    database = Database(settings.database_url, patience_s=math.inf)
    try:
        with _alone(database):
            await upgrade(database)
            await serve(settings, database, Clock(lambda: datetime.now(UTC), _steady_s), ending=_end_for_certain)
    finally:
        await database.close()
    return 0


def _steady_s() -> float:
    """Seconds that only pass, those of a machine that sleeps too where the system counts them."""
    return time.clock_gettime(time.CLOCK_BOOTTIME) if hasattr(time, "CLOCK_BOOTTIME") else time.monotonic()


def _end_for_certain() -> None:
    """Whatever hangs, the process ends: all that it does may be cut off anywhere."""

    def end() -> None:
        print(f"not everything ended within {END_S:g} s; it is cut off", file=sys.stderr, flush=True)
        os._exit(1)

    timer = threading.Timer(END_S, end)
    timer.daemon = True
    timer.start()


async def serve(
    settings: Settings,
    database: Database,
    now: Callable[[], datetime],
    *,
    ending: Callable[[], None] = lambda: None,
) -> None:
    """Take updates, work and send until SIGTERM or SIGINT, or until one of them fails for good, which is raised.

    ending: called as soon as it is to end.
    """
    stop = asyncio.Event()
    _heed_signals(stop, ending)
    _without_searching()
    notify("READY=1")  # the database is open; that the network is there as well may take a while
    bot = Bot(
        settings.token,
        base_url=settings.bot_api_url,
        base_file_url=file_url(settings.bot_api_url),
        request=HTTPXRequest(connection_pool_size=32),
        get_updates_request=HTTPXRequest(connection_pool_size=2, read_timeout=10),
    )
    app = build(database, bot, now=now, source=Source(settings.forecast, settings.contact), pace=Pace())
    app.backups = Plan(settings.backups, settings.backups_kept) if settings.backups else None
    if isinstance(now, Clock):
        app.clock = now
        async with database.begin() as session:
            now.started(await moments.last(session))
    async with database.begin() as session:
        await official.of_operator(session, settings.warnings, now())
    if not await _known(app, stop):
        return
    watchdog = Watchdog(is_excused=lambda: database.is_away or not app.is_sure_of_time)
    app.alive = watchdog.alive
    async with app.application, httpx.AsyncClient() as http, web.answering(app, settings.metrics):
        await introduce(app.bot)
        async with watchdog.watching(), web.taking(app, settings):
            await _together(app, http, stop, ending, settings.webhook)


def _without_searching() -> None:
    """The library below the chat library's looks for this package at each request and does without it; where it is not
    installed, that searches every folder of packages each time.
    """
    if importlib.util.find_spec("sniffio") is None:
        sys.modules["sniffio"] = None  # type: ignore[assignment]


def _heed_signals(stop: asyncio.Event, ending: Callable[[], None]) -> None:
    """By the interpreter's own handlers, which are heard while something keeps the loop busy, too."""
    loop = asyncio.get_running_loop()

    def told(_sign: int, _frame: object) -> None:
        notify("STOPPING=1")
        ending()
        loop.call_soon_threadsafe(stop.set)

    for sign in (signal.SIGTERM, signal.SIGINT):
        signal.signal(sign, told)


async def _known(app: App, stop: asyncio.Event) -> bool:
    """Ask the platform who we are until it answers, however long the network is down; False when we are to stop."""
    pause_s = 1.0
    while not stop.is_set():
        try:
            await app.bot.initialize()
            return True
        except InvalidToken:
            raise
        except (NetworkError, RetryAfter) as error:
            _LOG.warning(
                "the chat platform does not answer (%s); is the network up? Again in %g s",
                type(error).__name__,
                pause_s,
            )
            await _pause(stop, pause_s)
            pause_s = min(pause_s * 2, 60.0)
    return False


async def _pause(stop: asyncio.Event, seconds: float) -> None:
    with contextlib.suppress(TimeoutError):
        await asyncio.wait_for(stop.wait(), seconds)


async def _together(
    app: App, http: httpx.AsyncClient, stop: asyncio.Event, ending: Callable[[], None], webhook_url: str
) -> None:
    """The loops; when one ends, the others end too, in their own time, so that a message on its way is settled."""
    alive = partial(app.alive, "the way in")
    workers = app.workers()
    updates = (
        webhook.hold(app.bot, webhook_url, stop, alive)
        if webhook_url
        else poll(app.bot, app.database, stop, app.now, app.wake_inbox, alive=alive, workers=workers)
    )
    timed = (
        workers.run(app.wake_inbox, stop),
        outbox.run(
            app.bot,
            app.database,
            app.now,
            pace=app.pace,
            hooks=app.hooks,
            wake=app.wake_outbox,
            stop=stop,
            ahead=app.ahead,
        ),
        errand_work.run(app.desk, done=app.wake_outbox.set, wake=app.wake_errands, stop=stop),
        jobs.run(app, http, stop),
    )
    loops = [updates, _heed_clock(app, stop), count_processes(app.database, stop, app.pace.share)]
    tasks = [asyncio.create_task(loop) for loop in (*loops, *(_when_it_knows_the_time(app, stop, it) for it in timed))]
    await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
    if not stop.is_set():
        ending()
    stop.set()
    _, late = await asyncio.wait(tasks, timeout=GRACE_S)
    for task in late:
        task.cancel()
    for failed in await asyncio.gather(*tasks, return_exceptions=True):
        if isinstance(failed, Exception):
            raise failed


async def _when_it_knows_the_time(app: App, stop: asyncio.Event, loop: Coroutine[Any, Any, None]) -> None:
    """After a start at which the clock is doubted nothing but the fetching of updates goes on: it may be any time."""
    while app.clock is not None and app.clock.is_blind and not stop.is_set():
        await _pause(stop, 1.0)
    if stop.is_set():
        loop.close()
    else:
        await loop


async def _heed_clock(app: App, stop: asyncio.Event) -> None:
    """Say when the clock is doubted and when it is believed again: in the log, and where it lasts to organisers."""
    began_s, since_at, told = 0.0, None, False
    while not stop.is_set():
        clock = app.clock
        if clock is not None and clock.is_sure and since_at is not None:
            _LOG.warning("the clock is believed again; it says %s", clock().isoformat(timespec="seconds"))
            if told:
                await _tell_of_clock(app, since_at, over=True)
            since_at, told = None, False
        elif clock is not None and (doubt := clock.doubt) is not None:
            if since_at is None:
                began_s, since_at = doubt.since_s, doubt.expected
                _LOG.error(
                    "the clock says %s, expected about %s; what goes by the time waits until it has agreed with itself for "
                    "%d minutes. If it is wrong, set the machine's clock",
                    doubt.said.isoformat(timespec="seconds"), doubt.expected.isoformat(timespec="seconds"),
                    AGREES_FOR.total_seconds() // 60,
                )  # fmt: skip
            if not told and not clock.is_blind and clock.steady_s() - began_s >= LASTING_S:
                told = await _tell_of_clock(app, since_at, over=False)
        await _pause(stop, GLANCE_S)


async def _tell_of_clock(app: App, since_at: datetime, *, over: bool) -> bool:
    """Whether it could be said."""
    try:
        await app.say_of_the_clock(since_at, over=over)
    except Exception as error:
        _LOG.error("telling of the clock failed: %s", log_of(error))
        return False
    return True


@contextlib.contextmanager
def _alone(database: Database) -> Iterator[None]:
    """One process for one SQLite file. With PostgreSQL several share the work, where updates come by a webhook; the
    platform itself lets only one process poll with a token."""
    if not database.is_sqlite or not database.url.database:
        yield
        return
    with single_instance(Path(database.url.database)):
        yield
