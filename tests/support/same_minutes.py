"""The same days played twice: the garden looked at when it is due, and at every tick. What is said must be the same.

The garden is the demo's, its weather and people are invented. Forecasts are kept in the garden's rows, as in service.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from time import process_time

from sqlalchemy import select

from bot.demo.weather import Day, answer
from bot.forecasts.reader import Point
from bot.forecasts.request import Stored, to_row
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.models import Garden, Outbox, Weather
from bot.storage.session import Database
from bot.storage.states import SendState
from tests.support.group_messages import furnished
from tests.support.neighbours import Neighbours
from tests.support.talk import first_who_can

__all__ = ["Heard", "heard", "issued"]

#: When, in which chat, and the text as it stands then.
Heard = tuple[datetime, int, str]
_SERVICE = "open-meteo"


async def heard(
    folder: Path,
    seen: Callable[[datetime], Sequence[Day]],
    start_at: datetime,
    end_at: datetime,
    *,
    seed: int,
    tick: timedelta,
    issued_every: timedelta,
    every_look: bool,
) -> tuple[list[Heard], int, float]:
    """All that the bot said or changed, in order; how many looks it took, and how much processor time, s.

    seen: the days that a forecast issued at a moment tells, from that day on.
    """
    name = "every" if every_look else "due"
    database = Database(f"sqlite+aiosqlite:///{folder}/{name}.sqlite3")
    await furnished(database, start_at)
    said, looks_n, looked_s = list[Heard](), 0, 0.0
    issued_at = start_at
    await issued(database, seen(issued_at), issued_at)
    async with on_stage(database, Source(_SERVICE), start_at, first_who_can) as stage:
        stage.app.every_look = every_look
        people = Neighbours(stage.api, [user.id for user in stage.people()], stage.clock, random.Random(seed))
        while stage.clock.at < end_at:
            stage.clock.at += tick
            if stage.clock.at - issued_at >= issued_every:
                issued_at = stage.clock.at
                await issued(database, seen(issued_at), issued_at)
            people.live()
            pressed, stage.api.pending = stage.api.pending, []
            for one in pressed:  # one after the other, so that nothing hangs on who of two was the quicker
                stage.api.pending = [one]
                await stage.settle()
            looks_n += len(await stage.app._due(0))
            began_s = process_time()
            await stage.app.watch()
            looked_s += process_time() - began_s
            if await _waits(database):
                await stage.settle()
            said += [(stage.clock.at, one.chat_id, one.text) for one in stage.fresh()]
    await database.close()
    return said, looks_n, looked_s


async def _waits(database: Database) -> bool:
    """Whether anything is to be sent."""
    async with database.read() as session:
        return await session.scalar(select(Outbox.id).where(Outbox.state == SendState.PENDING).limit(1)) is not None


async def issued(database: Database, days: Sequence[Day], at: datetime) -> None:
    """A new answer of the weather service, kept as the bot keeps it."""
    body = json.dumps(answer(datetime.combine(at.date(), time(), UTC), days))
    async with database.begin() as session:
        for garden in await session.scalars(select(Garden)):
            point = Point(garden.latitude, garden.longitude, garden.altitude_m).rounded()
            stored = to_row(Stored(_SERVICE, point, body, fetched_at=at, expires_at=at + timedelta(hours=24)))
            row = await session.scalar(select(Weather).where(Weather.garden_id == garden.id))
            if row is None:
                session.add(Weather(garden_id=garden.id, service=_SERVICE, stored=stored))
            else:
                row.stored = stored
