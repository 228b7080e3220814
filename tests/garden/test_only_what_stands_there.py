"""What is asked for follows the garden: nothing for what is not there any more, and no call before its time."""

from __future__ import annotations

from sqlalchemy import select

from bot.core.garden.snapshot import Cover, Stage
from bot.core.warnings.hazards import Hazard, TaskKind
from bot.storage.models import Place, Planting
from bot.storage.states import TaskState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, GALE, Talk, labels, texts
from tests.tasks.test_change_of_mind import EDGE


async def _states(lane: Talk, place: str, task: TaskKind) -> set[TaskState]:
    places = {one.name: one.id for one in await _places(lane)}
    return {duty.state for duty, _ in await lane.duties() if (duty.place_id, duty.kind) == (places[place], task)}


async def _places(lane: Talk) -> list[Place]:
    async with lane.stage.app.database.begin() as session:
        return list(await session.scalars(select(Place)))


async def _cover(lane: Talk, place: str, cover: Cover) -> None:
    async with lane.stage.app.database.begin() as session:
        for one in await session.scalars(select(Place).where(Place.name == place)):
            one.cover = cover


async def test_a_cover_that_is_taken_off_needs_no_pins_from_then_on(lane: Talk) -> None:
    await _cover(lane, "Bed 1", Cover.FLEECE)
    lane.weather([calm(), calm(), GALE])
    await lane.until(4, "14:00")
    assert await _states(lane, "Bed 1", TaskKind.PIN) == {TaskState.OPEN}
    await _cover(lane, "Bed 1", Cover.NONE)
    await lane.until(4, "15:00")
    assert await _states(lane, "Bed 1", TaskKind.PIN) == {TaskState.DROPPED}
    assert await _states(lane, "Greenhouse", TaskKind.PIN) == {TaskState.OPEN}, "the wind still comes"


async def test_a_pot_that_is_harvested_need_not_come_in(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(4, "13:00")
    assert await _states(lane, "Pot 5", TaskKind.BRING_IN) == {TaskState.OPEN}
    async with lane.stage.app.database.begin() as session:
        for one in await session.scalars(select(Planting).where(Planting.crop == "lettuce")):
            one.stage = Stage.ENDED
    await lane.until(4, "14:00")
    assert await _states(lane, "Pot 5", TaskKind.BRING_IN) == {TaskState.DROPPED}
    assert await _states(lane, "Pot 4", TaskKind.BRING_IN) == {TaskState.OPEN}
    assert "Pot 5" not in lane.standing().text


async def test_a_heads_up_that_grows_worse_is_still_a_heads_up(lane: Talk) -> None:
    lane.weather([calm(), calm(), calm(), EDGE])
    await lane.until(4, "20:00")
    lane.weather([calm(), calm(), calm(), EDGE])
    await lane.until(4, "21:00", every_min=10)
    assert "Nothing to do yet" in lane.group()[-1].text
    lane.weather([calm(), calm(), calm(), COLD])
    await lane.until(5, "08:30")
    worse = lane.group()[-1]
    assert "worse than I said before" in worse.text
    first, *_ = worse.text.splitlines()
    assert "at the plants" in first and "worse" in first, "what comes, and that it is worse, stand in the first line"
    assert "Nothing to do yet" in worse.text
    assert labels(worse) == ["Show all", "Why"], "nobody is called yet"


async def test_a_walk_in_house_is_shut_and_a_covered_bed_pinned(lane: Talk) -> None:
    await _cover(lane, "Bed 1", Cover.FLEECE)
    lane.weather([calm(), calm(), GALE])
    await lane.until(4, "14:00")
    (warning,) = await lane.warnings()
    assert warning.hazard is Hazard.WIND
    said = texts(lane.group()[-1:])
    assert "Shut and fasten: Tunnel and Greenhouse" in said
    assert "Pin down: Bed 1" in said
