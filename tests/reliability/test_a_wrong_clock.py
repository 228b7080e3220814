"""A clock that is years ahead for one tick closes no warning and asks nobody anything."""

from __future__ import annotations

from datetime import datetime, timedelta

import httpx
import pytest
from sqlalchemy import select

from bot import jobs
from bot.core.clock import AGREES_FOR, Clock
from bot.storage import moments
from bot.storage.models import Warning
from bot.storage.states import WarningState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, texts


class Machine:
    """The stage's clock is what the machine says; passed: what really passed."""

    def __init__(self, lane: Talk) -> None:
        self.lane, self.passed = lane, timedelta()
        self.clock = Clock(lambda: lane.stage.clock.at, lambda: self.passed.total_seconds())
        lane.stage.app.now, lane.stage.app.clock = self.clock, self.clock

    async def tick(self, jump: timedelta = timedelta()) -> str:
        """Half a minute passes, the clock jumps, and every job is run; what was said."""
        self.passed += timedelta(seconds=30)
        self.lane.stage.clock.at += timedelta(seconds=30) + jump
        async with httpx.AsyncClient() as http:
            for job in jobs.JOBS:
                await jobs.run_once(job, self.lane.stage.app, http)
        return texts(await self.lane.settled())

    async def live(self, time: timedelta) -> str:
        return "\n".join([await self.tick() for _ in range(time // timedelta(seconds=30))])


@pytest.fixture
async def machine(lane: Talk) -> Machine:
    """A cold night is in force, and people were asked."""
    lane.weather([calm(), COLD])
    found = Machine(lane)
    found.clock.started(None)
    assert await found.tick()
    return found


async def state(lane: Talk) -> list[tuple[WarningState, datetime | None]]:
    async with lane.stage.app.database.begin() as session:
        rows = await session.execute(select(Warning.state, Warning.over_at).order_by(Warning.id))
        return [(state, over_at) for state, over_at in rows]


@pytest.mark.parametrize("jump", [timedelta(days=3 * 365), timedelta(days=-3 * 365)])
async def test_one_tick_far_off_says_nothing_and_changes_nothing(lane: Talk, machine: Machine, jump: timedelta) -> None:
    before = await state(lane)
    assert before and all(over_at is None for _, over_at in before)
    assert await machine.tick(jump) == ""
    assert await machine.tick(-jump) == ""
    assert await state(lane) == before
    assert machine.clock.is_sure


async def test_a_question_meanwhile_is_answered_by_the_time_as_it_was(lane: Talk, machine: Machine) -> None:
    await machine.tick(timedelta(days=3 * 365))
    (answer,) = await lane.write("Owen", "/weather")
    assert "2029" not in answer.text and "went wrong" not in answer.text
    await lane.write("Owen", "sowed 20 radish in Bed 5")
    async with lane.stage.app.database.begin() as session:
        assert (await moments.last(session) or machine.clock()).year == 2026


async def test_a_machine_that_was_off_for_a_fortnight_goes_on_by_itself(lane: Talk, machine: Machine) -> None:
    await machine.tick()
    lane.stage.clock.at += timedelta(days=14)
    async with lane.stage.app.database.begin() as session:
        last = await moments.last(session)
    assert last is not None
    woken = Machine(lane)
    woken.clock.started(last)
    lane.weather([calm()])
    assert woken.clock.is_blind
    said = await woken.live(AGREES_FOR - timedelta(seconds=60))
    assert said.strip() == ""
    assert "over" in (await woken.live(timedelta(minutes=2))).lower()
    assert all(over_at is not None for _, over_at in await state(lane))
