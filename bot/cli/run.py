"""`gatepost run`: long polling until stopped."""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import logging
import signal
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import httpx
from telegram import Bot
from telegram.error import Conflict, InvalidToken, NetworkError, RetryAfter
from telegram.request import HTTPXRequest

from bot.app import App, build
from bot.chat import errand_work, outbox
from bot.chat.inbox import poll
from bot.chat.introducing import introduce
from bot.chat.pace import Pace
from bot.chat.redact import quieten
from bot.config import Settings, SettingsError, file_url, read
from bot.jobs import schedule
from bot.services.backups import Plan
from bot.services.weather import Source
from bot.storage.lock import AlreadyRunning, single_instance
from bot.storage.schema import upgrade
from bot.storage.session import Database

__all__ = ["add_arguments", "run", "serve"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Everything comes from the environment."""


async def run(args: argparse.Namespace) -> int:
    try:
        settings = read()
    except SettingsError as error:
        print(error, file=sys.stderr)
        return 2
    if not settings.token:
        print("GATEPOST_TOKEN is not set; ask the chat platform's bot desk for a token and set it", file=sys.stderr)
        return 2
    logging.basicConfig(level=settings.log_level, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    quieten()
    database = Database(settings.database_url)
    try:
        with _alone(database):
            await upgrade(database)
            await serve(settings, database, lambda: datetime.now(UTC))
    except AlreadyRunning as error:
        print(error, file=sys.stderr)
        return 3
    except Conflict:
        print("another process polls with this token; stop that one first", file=sys.stderr)
        return 3
    except InvalidToken:
        print("the chat platform does not know this token; copy GATEPOST_TOKEN again whole", file=sys.stderr)
        return 2
    except NetworkError as error:
        print(f"the chat platform cannot be reached ({type(error).__name__}); is the network up?", file=sys.stderr)
        return 4
    finally:
        await database.close()
    return 0


async def serve(settings: Settings, database: Database, now: Callable[[], datetime]) -> None:
    """Poll, work and send until SIGTERM or SIGINT, or until one of them fails for good, which is raised."""
    stop = asyncio.Event()
    for sign in (signal.SIGTERM, signal.SIGINT):
        asyncio.get_running_loop().add_signal_handler(sign, stop.set)
    bot = Bot(
        settings.token,
        base_url=settings.bot_api_url,
        base_file_url=file_url(settings.bot_api_url),
        request=HTTPXRequest(connection_pool_size=32),
        get_updates_request=HTTPXRequest(connection_pool_size=2, read_timeout=10),
    )
    app = build(database, bot, now=now, source=Source(settings.forecast, settings.contact), pace=Pace())
    app.backups = Plan(settings.backups, settings.backups_kept) if settings.backups else None
    await _known(app, stop)
    async with app.application, httpx.AsyncClient() as http:
        await introduce(app.bot)
        await app.refresh_weather(http)
        scheduler = schedule(app, http)
        scheduler.start()
        try:
            await _together(app, stop)
        finally:
            scheduler.shutdown(wait=False)


async def _known(app: App, stop: asyncio.Event) -> None:
    """Ask the platform who we are until it answers: a network that is slow to come up must not end the bot."""
    for pause_s in (1, 2, 5, 10, 30, 60):
        try:
            await app.bot.initialize()
            return
        except InvalidToken:
            raise
        except (NetworkError, RetryAfter) as error:
            logging.getLogger(__name__).warning("the chat platform does not answer (%s)", type(error).__name__)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stop.wait(), pause_s)
        if stop.is_set():
            return
    await app.bot.initialize()


async def _together(app: App, stop: asyncio.Event) -> None:
    """The loops; when one ends, the others end too."""
    loops = (
        poll(app.bot, app.database, stop, app.now, app.wake_inbox),
        app.workers().run(app.wake_inbox, stop),
        outbox.run(app.bot, app.database, app.now, pace=app.pace, hooks=app.hooks, wake=app.wake_outbox, stop=stop),
        errand_work.run(app.desk, done=app.wake_outbox.set, wake=app.wake_errands, stop=stop),
    )
    tasks = [asyncio.create_task(loop) for loop in loops]
    await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
    stop.set()
    # The others end in their own time, so that a message on its way is settled.
    for failed in await asyncio.gather(*tasks, return_exceptions=True):
        if isinstance(failed, BaseException):
            raise failed


@contextlib.contextmanager
def _alone(database: Database) -> Iterator[None]:
    """On SQLite one process runs; PostgreSQL's row claims let several share the work."""
    if not database.is_sqlite or not database.url.database:
        yield
        return
    with single_instance(Path(database.url.database)):
        yield
