"""The whole bot as `gatepost run` starts it, but with a clock of the test's own, to be killed at any moment.

Each look of the watch moves the clock on, so that however slow the machine is, the garden lives through the same
moments. The clock stands in a file, and so goes on where a dead process left it. What goes by real seconds in the
chat library (time-outs) is shortened; what the bot's own limits hold back is not held back, since a fortnight passes
in a minute.
"""

from __future__ import annotations

import asyncio
import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from itertools import count
from pathlib import Path
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
from bot.storage.lock import single_instance
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
GLANCE_S, PATIENCE_S = 0.02, 1.0


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


async def serve(database_url: str, base_url: str, folder: str, step_min: str, end: str, solver: str) -> None:
    """Run until killed. folder: holds `clock` and the forecasts in `forecasts/`.

    solver: `apart`, in a process of its own as in production, or `here`, which saves the second that it takes to start.
    """
    clock, database = FileClock(Path(folder) / "clock"), Database(database_url)
    settings = Settings(TOKEN, database_url, base_url, f"file:{folder}/forecasts", "", "ERROR")
    step, end_at = timedelta(minutes=int(step_min)), datetime.fromisoformat(end)

    async def look(app: jobs.Watcher, _http: object) -> None:
        assert isinstance(app, App)
        now = clock()
        await _until_sent(app.database, now)
        clock.set(now + (_step(now, step) if now < end_at else AFTERWARDS))
        await app.watch()

    handle = App.handle

    async def counted(app: App, update: Update, session: AsyncSession) -> None:
        await session.execute(insert(EFFECTS).values(update_id=update.update_id))
        await handle(app, update, session)

    # A call is made within one moment of this clock, so none is taken for lost because the clock leapt meanwhile.
    solved = {"apart": solving.solve, "here": solve_here}[solver]
    unhurried = partial(Pace, per_s=math.inf, chat=(1, 0.0), group=(1, 0.0), clock=clock.seconds)
    with (
        patch.object(jobs, "JOBS", (jobs.Job("watch", TICK_S, look),)),
        patch.object(run, "Pace", unhurried),
        patch.object(run, "build", partial(build, solve=solved)),
        patch.object(outbox, "STALE", timedelta(days=1)),
        patch.object(run, "HTTPXRequest", partial(HTTPXRequest, read_timeout=0.5)),
        patch.object(App, "handle", counted),
        single_instance(Path(database.url.database or "")),
    ):
        await upgrade(database)
        await run.serve(settings, database, clock)


def _step(now: datetime, step: timedelta) -> timedelta:
    """Little happens at night."""
    return step if 4 <= now.hour < 21 else 3 * step


async def _until_sent(database: Database, now: datetime) -> None:
    """The clock leaps by minutes, in which the sender would be long done; so it waits for it.

    For what is on its way as long as it takes; for what is due a second at most, since an earlier message may hold it up.
    """
    on_its_way, due = Outbox.state == SendState.SENDING, Outbox.state == SendState.PENDING
    for turn in count():
        wanted = on_its_way | (due & (Outbox.send_at <= now)) if turn < PATIENCE_S / GLANCE_S else on_its_way
        async with database.begin() as session:
            if not await session.scalar(select(func.count()).select_from(Outbox).where(wanted)):
                return
        await asyncio.sleep(GLANCE_S)
