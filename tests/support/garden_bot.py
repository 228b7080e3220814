"""The whole bot as `gatepost run` starts it, but with a clock of the test's own, to be killed at any moment.

Each look of the watch moves the clock on, so that however slow the machine is, the garden lives through the same
moments. The clock stands in a file, and so goes on where a dead process left it. What goes by real seconds in the
chat library (time-outs) is shortened; what the bot's own limits hold back is not held back, since a fortnight passes
in a minute. Of several processes one moves the clock, and when it dies another.
"""

from __future__ import annotations

import asyncio
import contextlib
import fcntl
import math
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from itertools import count
from pathlib import Path
from typing import IO
from unittest.mock import patch

from sqlalchemy import Column, Integer, MetaData, Table, func, insert, select
from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Update
from telegram.request import HTTPXRequest

from bot import jobs
from bot.app import App, build
from bot.chat.wire import outbox
from bot.chat.wire.pace import Pace
from bot.cli import run
from bot.config import Settings
from bot.services.tasks import solving
from bot.storage.claims import single_instance
from bot.storage.models import Outbox
from bot.storage.schema import upgrade
from bot.storage.session import Database
from bot.storage.states import SendState
from tests.support.bot_api import TOKEN
from tests.support.group_messages import solve_here

__all__ = ["EFFECTS", "FileClock", "serve"]

#: One row for each time that an update took effect; nothing keeps a second one out.
EFFECTS = Table("effects", MetaData(), Column("id", Integer, primary_key=True), Column("update_id", Integer))
#: After the last day the clock goes slowly, so that what is still to be sent is sent.
AFTERWARDS = timedelta(seconds=20)
TICK_S = 0.02
GLANCE_S, PATIENCE_S, DEAD_S = 0.02, 1.0, 2.0


@dataclass(slots=True)
class FileClock:
    """The garden's moment, in a file that outlives whoever moves it."""

    path: Path

    def __call__(self) -> datetime:
        return datetime.fromisoformat(self.path.read_text(encoding="ascii"))

    def set(self, at: datetime) -> None:
        beside = self.path.with_suffix(".new")
        beside.write_text(at.isoformat(), encoding="ascii")
        beside.replace(self.path)

    def seconds(self) -> float:
        return self().timestamp()


class Turns:
    """Of processes that share a clock: one moves it, until it dies; each looks once a moment, and it stands still meanwhile.

    The locks are the system's, which lets go of them when their holder is killed.
    """

    def __init__(self, clock: FileClock) -> None:
        self._clock, self._looked_at = clock, datetime.min.replace(tzinfo=UTC)
        self._moving, self._looking = (clock.path.with_suffix(end).open("a+") for end in (".moving", ".looking"))

    @asynccontextmanager
    async def to_move(self) -> AsyncIterator[bool]:
        """Whether the clock is ours to move; if so, nobody looks while the block runs."""
        is_ours = _is_locked(self._moving, fcntl.LOCK_EX)
        while is_ours and not _is_locked(self._looking, fcntl.LOCK_EX):
            await asyncio.sleep(0.002)
        try:
            yield is_ours
        finally:
            if is_ours:
                fcntl.lockf(self._looking, fcntl.LOCK_UN)

    @contextlib.contextmanager
    def to_look(self) -> Iterator[bool]:
        """Whether to look now; if so, the clock stands still while the block runs."""
        looks = self._clock() != self._looked_at and _is_locked(self._looking, fcntl.LOCK_SH)
        if looks:
            self._looked_at = self._clock()
        try:
            yield looks
        finally:
            if looks:
                fcntl.lockf(self._looking, fcntl.LOCK_UN)


def _is_locked(file: IO[str], how: int) -> bool:
    try:
        fcntl.lockf(file, how | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


async def serve(database_url: str, base_url: str, folder: str, step_min: str, end: str, solver: str, port: str) -> None:
    """Run until killed. folder: holds `clock` and the forecasts in `forecasts/`.

    solver: `apart`, in a process of its own as in production, or `here`, which saves the second that it takes to start.
    port: where a webhook brings updates, with any number of such processes on one PostgreSQL; 0 to ask for them, alone.
    """
    clock, database = FileClock(Path(folder) / "clock"), Database(database_url)
    settings = Settings(TOKEN, database_url, base_url, f"file:{folder}/forecasts", "", "ERROR")
    if port != "0":
        settings = replace(settings, web=("127.0.0.1", int(port)), webhook="https://proxy.example/updates")
    turns, step, end_at = Turns(clock), timedelta(minutes=int(step_min)), datetime.fromisoformat(end)

    async def look(app: jobs.Watcher, _http: object) -> None:
        assert isinstance(app, App)
        async with turns.to_move() as is_ours:
            if is_ours:
                now = clock()
                await _until_sent(app.database, now)
                clock.set(now + (_step(now, step) if now < end_at else AFTERWARDS))
        with turns.to_look() as is_time:
            if is_time:
                await app.watch()

    handle = App.handle

    async def counted(app: App, update: Update, session: AsyncSession) -> None:
        await session.execute(insert(EFFECTS).values(update_id=update.update_id))
        await handle(app, update, session)

    # A call is made within one moment of this clock, so none is taken for lost because the clock leapt meanwhile.
    solved = {"apart": solving.solve, "here": solve_here}[solver]
    # Of several, what a killed one was sending is found by its age: the clock has leapt twice since, so it was waited for.
    stale = timedelta(days=1) if database.is_sqlite else 3 * step + timedelta(minutes=1)
    alone = single_instance(Path(database.url.database or "")) if database.is_sqlite else contextlib.nullcontext()
    unhurried = partial(Pace, per_s=math.inf, chat=(1, 0.0), group=(1, 0.0), clock=clock.seconds)
    with (
        patch.object(jobs, "JOBS", (jobs.Job("watch", TICK_S, look),)),
        patch.object(run, "Pace", unhurried),
        patch.object(run, "build", partial(build, solve=solved)),
        patch.object(outbox, "STALE", stale),
        patch.object(outbox, "LOOK_S", 0.5),
        patch.object(run, "HTTPXRequest", partial(HTTPXRequest, read_timeout=0.5)),
        patch.object(App, "handle", counted),
        alone,
    ):
        await upgrade(database)
        await run.serve(settings, database, clock)


def _step(now: datetime, step: timedelta) -> timedelta:
    """Little happens at night."""
    return step if 4 <= now.hour < 21 else 3 * step


async def _until_sent(database: Database, now: datetime) -> None:
    """The clock leaps by minutes, in which the sender would be long done; so it waits for it.

    For what is on its way as long as it takes, or for DEAD_S where whoever sends it may have been killed; for what is due a
    second at most, since an earlier message may hold it up.
    """
    on_its_way, due = Outbox.state == SendState.SENDING, Outbox.state == SendState.PENDING
    for waited_s in (turn * GLANCE_S for turn in count()):
        wanted = on_its_way | (due & (Outbox.send_at <= now)) if waited_s < PATIENCE_S else on_its_way
        async with database.begin() as session:
            if not await session.scalar(select(func.count()).select_from(Outbox).where(wanted)):
                return
        if waited_s >= DEAD_S and not database.is_sqlite:
            return
        await asyncio.sleep(GLANCE_S)
