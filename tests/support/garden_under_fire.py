"""A fortnight in the demo's garden, the bot killed at seeded random moments while people press and the network fails.

One process, which asks for updates; or several on one PostgreSQL, to which a webhook brings them.
"""

from __future__ import annotations

import asyncio
import logging
import random
from collections.abc import Sequence
from contextlib import AbstractAsyncContextManager, AsyncExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import func, select

from bot.demo.weather import Day
from bot.i18n import say
from bot.services.garden.records.files import read_folder
from bot.services.garden.records.importing import import_records
from bot.storage.models import Garden, Inbox, Outbox, Person
from bot.storage.schema import upgrade
from bot.storage.session import Database
from bot.storage.states import SendState
from tests.open_data import ROOT
from tests.support.bot_api import BotApiServer
from tests.support.garden_bot import EFFECTS, FileClock
from tests.support.invented_weather import AHEAD_DAYS, EVERY, Weather, calm, write
from tests.support.neighbours import Neighbours
from tests.support.slots import Slot, slot
from tests.support.webhook_push import bringing

__all__ = ["END_AT", "GROUP", "START_AT", "Fortnight", "weather_of"]

_LOG = logging.getLogger(__name__)

GROUP = -1001000000005
FIRST_USER = 5001
#: Somebody without the app, and somebody who blocks the bot after some days.
WITHOUT_APP, BLOCKS = "Marcus", "Owen"
START_AT = datetime(2026, 5, 3, 10, tzinfo=UTC)
DAYS = 14
END_AT = START_AT + timedelta(days=DAYS)
#: From then on nobody is killed any more: what was lost of a killed one has to be found while the clock still goes.
CALM_AT = END_AT - timedelta(hours=12)
#: By day of the fortnight: nights of cold, days of wind and of heat under glass; all others harm nothing.
_EVENTS: dict[int, Day] = {
    2: (0.0, 12.0, 10.0, 1.0, 4.0, 0.0),
    4: (7.0, 14.0, 90.0, 10.0, 23.0, 3.0),
    6: (1.5, 13.0, 15.0, 1.0, 4.0, 0.0),
    7: (-1.0, 12.0, 5.0, 1.0, 4.0, 0.0),
    9: (8.0, 15.0, 90.0, 9.0, 21.0, 3.0),
    11: (1.0, 12.0, 10.0, 1.0, 4.0, 0.0),
    12: (4.5, 14.0, 30.0, 1.0, 4.0, 0.0),
}
#: So many kills at most in one fortnight; how often one comes at once after the last; how long a look takes, about, s.
MOST_N, EARLY_SHARE, LOOK_S = 200, 0.3, 0.6
#: Whatever takes longer stands still, s.
LONGEST_S = 1500.0
#: How often all processes die together, of several.
ALL_SHARE = 0.25
#: How long the bot is dead between two lives, in the garden's time: mostly a moment, at times hours.
OUTAGES = (timedelta(), timedelta(), timedelta(minutes=10), timedelta(minutes=45), timedelta(hours=3))


def weather_of(seed: int) -> Weather:
    truth = [_EVENTS.get(day, calm()) for day in range(DAYS + AHEAD_DAYS + 2)]
    return Weather(START_AT.date(), truth, seed)


@dataclass(slots=True)
class Fortnight:
    """folder: empty at first. step_min: how far the clock goes at each look of the watch, in the garden's time.

    solver: see `tests.support.garden_bot`. ports: of the processes to which a webhook brings updates; without any there is
    one process, which asks for them.
    """

    server: BotApiServer
    database: Database
    folder: Path
    clock: FileClock
    seed: int
    step_min: int
    solver: str
    ports: Sequence[int] = ()
    people: Neighbours = field(init=False)
    kills: int = 0
    _chance: random.Random = field(init=False)
    _blocks: int = 0

    async def go_through(self, kills: int) -> None:
        """Live and be killed until the fortnight is nearly over or `kills` times; then live, without faults, to the end."""
        self._chance = random.Random(self.seed)
        await self._furnish()
        async with AsyncExitStack() as stack:
            if self.ports:
                brought = bringing(self.server.api, self.ports, random.Random(self.seed))
                await stack.enter_async_context(brought)
            slots = [await stack.enter_async_context(self._slot(port)) for port in self.ports or (0,)]
            apart = timedelta(days=DAYS) / min(1.5 * kills, MOST_N)  # mostly all of them come before its end
            while self.kills < kills and self.clock() < CALM_AT:
                async with asyncio.timeout(LONGEST_S):
                    await self._live_a_while(apart)
                await self._kill(slots)
                _LOG.info("%d kills by %s", self.kills, self.clock())
            await self._to_the_end()

    async def _live_a_while(self, apart: timedelta) -> None:
        """A random stretch of the garden's time and then a part of a look; at times a life ends as it begins."""
        until = self.clock()
        if self._chance.random() >= EARLY_SHARE:
            until += self._chance.uniform(0.0, 2 / (1 - EARLY_SHARE)) * apart
        while self.clock() < min(until, CALM_AT):
            await self._live(0.02)
        await self._live(self._chance.uniform(0.0, LOOK_S))

    async def _kill(self, slots: Sequence[Slot]) -> None:
        """One of them, which is born again at once; at times all, and then nobody is there for a while."""
        struck = slots if self._chance.random() < ALL_SHARE else [self._chance.choice(slots)]
        for one in struck:
            await one.kill()
            self.kills += 1
        if len(struck) == len(slots):
            self.clock.set(self.clock() + self._chance.choice(OUTAGES))
        for one in struck:
            await one.bear()

    def _slot(self, port: int) -> AbstractAsyncContextManager[Slot]:
        url = self.database.url.render_as_string(hide_password=False)
        times = str(self.step_min), END_AT.isoformat()
        arguments = (url, self.server.base_url, str(self.folder), *times, self.solver, str(port))
        return slot("tests.support.garden_bot:serve", *arguments)

    async def _furnish(self) -> None:
        """The records, the forecasts of the whole time, and everybody on the platform."""
        self.clock.set(START_AT)
        forecasts, weather = self.folder / "forecasts", weather_of(self.seed)
        forecasts.mkdir()
        for n in range((timedelta(days=DAYS + 2)) // EVERY):
            issued_at = START_AT + n * EVERY
            write(forecasts / f"{issued_at:%m-%dT%H}.json", weather.seen(issued_at), issued_at)
        await upgrade(self.database)
        async with self.database.engine.begin() as connection:
            await connection.run_sync(EFFECTS.metadata.create_all)
        async with self.database.begin() as session:
            files = read_folder(ROOT / "bot/demo/garden")
            assert not (await import_records(session, files, say("en", "Europe/London"), START_AT)).problems
            garden = (await session.scalars(select(Garden))).one()
            garden.chat_id = GROUP
            self.server.api.add_group(GROUP, garden.name).statuses[self.server.api.bot.id] = "administrator"
            users = [self._enter(person) for person in await session.scalars(select(Person).order_by(Person.id))]
        self.people = Neighbours(self.server.api, [user for user in users if user], self.clock, self._chance)

    def _enter(self, person: Person) -> int:
        """Somebody on the platform, in the group, who has pressed Start; 0 for whoever is not there."""
        if person.name == WITHOUT_APP:
            return 0
        api, user = self.server.api, FIRST_USER + person.id
        person.user_id, person.private_ok_at, person.language = user, START_AT, "en"
        api.add_user(user, person.name)
        api.chats[user].statuses[user] = api.chats[GROUP].statuses[user] = "member"
        if person.name == BLOCKS:
            self._blocks = user
        return user

    async def _live(self, seconds: float) -> None:
        loop = asyncio.get_running_loop()
        until = loop.time() + seconds
        while loop.time() < until:
            self._deeds()
            await asyncio.sleep(0.02)

    def _deeds(self) -> None:
        if self._blocks and self.clock() > START_AT + timedelta(days=5):
            self.server.api.block(self._blocks)
            self.people.forget(self._blocks)
            self._blocks = 0
        self.people.live()

    async def _to_the_end(self) -> None:
        """The rest of the time, then until nothing is left to do."""
        async with asyncio.timeout(LONGEST_S):
            while self.clock() < END_AT:
                await self._live(0.2)
            self.server.faults.share = 0.0
            while not await self._is_settled():
                await asyncio.sleep(0.1)

    async def _is_settled(self) -> bool:
        async with self.database.begin() as session:
            waiting = await session.scalar(select(func.count()).select_from(Inbox).where(Inbox.done_at.is_(None)))
            unsent = Outbox.state.in_((SendState.PENDING, SendState.SENDING))
            unsent_n = await session.scalar(select(func.count()).select_from(Outbox).where(unsent))
        return not (self.server.api.pending or waiting or unsent_n)
