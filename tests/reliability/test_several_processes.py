"""Several processes on one PostgreSQL: one brings the tables up to date, all share what the platform lets a bot do."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator

import pytest
from sqlalchemy import URL
from telegram import Bot

from bot.chat.wire.pace import CHAT, GROUP, STARTS, Pace
from bot.storage import claims
from bot.storage.claims import count_processes
from bot.storage.models import Outbox
from bot.storage.schema import State, state, upgrade
from bot.storage.session import Database
from bot.storage.states import SendState
from bot.storage.wire import outbox_claims
from tests.support import postgres
from tests.support.cast import FARAH
from tests.support.ends import Clock, Ends
from tests.support.stored import Stored, with_every_table
from tests.wire.test_pace import ALL_PER_S, Ticks, most_within


async def test_of_several_that_start_at_once_one_brings_the_tables_up_to_date(postgres_server: URL) -> None:
    async with postgres.empty_database(postgres_server) as url:
        every = [Database(url) for _ in range(4)]
        await asyncio.gather(*(upgrade(one) for one in every))
        assert await state(every[0]) is State.CURRENT
        for one in every:
            await one.close()


@pytest.fixture
async def three(postgres_server: URL, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[list[Database]]:
    monkeypatch.setattr(claims, "LOOK_S", 0.05)
    async with postgres.empty_database(postgres_server) as url:
        every = [Database(url) for _ in range(3)]
        yield every
        for one in every:
            await one.close()


async def test_each_knows_how_many_there_are_and_when_one_is_gone(three: list[Database]) -> None:
    known, stops = [0, 0, 0], [asyncio.Event() for _ in three]

    def told(n: int, count: int) -> None:
        known[n] = count

    tasks = [
        asyncio.create_task(count_processes(one, stop, lambda count, n=n: told(n, count)))  # type: ignore[misc]
        for n, (one, stop) in enumerate(zip(three, stops, strict=True))
    ]
    async with asyncio.timeout(20):
        while known != [3, 3, 3]:
            await asyncio.sleep(0.02)
        tasks[2].cancel()  # as when it is killed: nothing is said, and its connection is gone
        await asyncio.gather(tasks[2], return_exceptions=True)
        while known[:2] != [2, 2]:
            await asyncio.sleep(0.02)
    for stop in stops:
        stop.set()
    await asyncio.gather(*tasks[:2])


async def test_on_sqlite_there_is_one(stored: Stored) -> None:
    async with stored.opened(with_every_table) as database:
        stop = asyncio.Event()
        stop.set()
        await count_processes(database, stop, lambda _n: pytest.fail("nothing to count"))


@pytest.mark.parametrize("processes_n", [2, 3])
def test_together_they_stay_within_what_the_platform_takes(processes_n: int) -> None:
    """Bot FAQ: about 30 messages a second over all."""
    moments = list[float]()
    for _ in range(processes_n):
        pace = Pace(clock=(ticks := Ticks()))
        pace.share(processes_n)
        while ticks.now < 5:
            if wait_s := pace.start():
                ticks.now += wait_s
                continue
            ticks.now += pace.reserve(int(1000 * ticks.now))
            moments.append(ticks.now)
            ticks.now += pace.wait_s()
    assert most_within(moments, 1.0) <= ALL_PER_S + processes_n
    assert len(moments) >= 0.9 * ALL_PER_S * 5
    alone = Pace(clock=Ticks())
    alone.share(processes_n)
    alone.share(1)
    assert [alone.start() for _ in range(STARTS[0])] == [0.0] * STARTS[0], "the last one has it all again"


@pytest.fixture
async def ends(postgres_server: URL) -> AsyncIterator[Ends]:
    async with postgres.database_copy(postgres_server) as url:
        database = Database(url)
        yield Ends(Bot("1:none"), database, Clock(), [])
        await database.close()


async def test_what_another_process_sent_to_a_chat_counts(ends: Ends) -> None:
    pace = Pace(clock=Ticks())
    assert pace.shared_limits(FARAH) == ()
    pace.share(2)
    assert pace.shared_limits(FARAH) == (CHAT,) and pace.shared_limits(-FARAH) == (CHAT, GROUP)
    most_n, within_s = CHAT
    for n in range(most_n + 1):
        await ends.say(FARAH, f"text {n}")
    taken = list[int]()
    for _ in range(most_n + 2):
        async with ends.database.begin() as session:
            for claim in await outbox_claims.claim(session, ends.clock(), (), 1, pace.shared_limits):
                row = await session.get_one(Outbox, claim.row.id)
                row.state = SendState.SENT
                taken.append(row.id)
    assert len(taken) == most_n
    ends.clock.pass_by(seconds=within_s)
    async with ends.database.begin() as session:
        assert len(await outbox_claims.claim(session, ends.clock(), (), 1, pace.shared_limits)) == 1
