"""What the group hears of a wind that goes on, of an open house, of frost at the season's end, and of frost with a gale."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select

from bot.chat.wire.world import Message
from bot.core.garden.place_state import Did
from bot.core.garden.snapshot import Stage
from bot.core.warnings.hazards import TaskKind
from bot.demo.weather import Day
from bot.services.garden import place_ledger
from bot.storage.models import Garden, PastDay, Place, PlaceReport, Task, Warning
from bot.storage.states import TaskState, WarningState
from bot.storage.tasks import tasks
from tests.support.invented_weather import calm
from tests.support.talk import GALE, Talk, labels

#: A clear, still night of zero in the air, a hard one, and a frost with a gale before it: invented.
ZERO: Day = (0.0, 15.0, 5.0, 1.0, 4.0, 0.0)
HARD: Day = (-7.0, 8.0, 5.0, 1.0, 4.0, 0.0)
STORM: Day = (7.0, 14.0, 90.0, 12.0, 25.0, 0.0)

pytestmark = pytest.mark.usefixtures("whole_messages")


def each(messages: Iterable[Message]) -> list[str]:
    return [message.text for message in messages]


async def opened(lane: Talk, name: str) -> None:
    """Somebody on call reported this morning that the house is open."""
    async with lane.stage.app.database.begin() as session:
        place = (await session.scalars(select(Place).where(Place.name == name))).one()
        now = lane.stage.clock.at
        session.add(PlaceReport(place_id=place.id, did=Did.OPENED, at=now - timedelta(hours=20)))
        session.add(
            Task(
                garden_id=place.garden_id, on=now.date() - timedelta(days=1), part="morning", place_id=place.id,
                kind=TaskKind.VENT, minutes=10, starts_at=now - timedelta(hours=22), due_at=now - timedelta(hours=20),
                state=TaskState.DONE, done_at=now - timedelta(hours=20),
            )
        )  # fmt: skip


async def done(lane: Talk, task: TaskKind) -> list[Task]:
    return [duty for duty, _ in await lane.duties() if duty.kind is task and duty.state is not TaskState.DROPPED]


async def test_a_wind_has_not_passed_while_dangerous_gusts_are_still_to_come(lane: Talk) -> None:
    await lane.planted("runner-bean", "Bed 4", Stage.FLOWERING)
    lane.weather([calm(), GALE, GALE])
    await lane.until(5, "23:00", every_min=180)
    assert not [text for text in each(lane.group()) if "The wind has passed" in text]
    await lane.until(6, "09:00", every_min=120)
    assert not [text for text in each(lane.group()) if "The wind has passed" in text]
    lane.weather([GALE, calm(), calm()])
    await lane.until(7, "09:00", every_min=180)
    assert len([text for text in each(lane.group()) if "The wind has passed" in text]) == 1


async def test_two_windy_days_are_one_warning_and_one_call(lane: Talk) -> None:
    await lane.planted("runner-bean", "Bed 4", Stage.FLOWERING)
    lane.weather([calm(), GALE, GALE])
    await lane.until(4, "20:00", every_min=240)
    assert "and again until" in each(lane.group())[0]
    await lane.until(7, "12:00", every_min=240)
    (warning,) = [one for one in await lane.warnings() if one.hazard.value == "wind"]
    assert warning.state is WarningState.OVER
    calls = [text for text in each(lane.group()) if "gusts of about" in text and "We need this done by" in text]
    assert len(calls) == 1


async def test_what_nobody_fastened_is_looked_at_all_the_more_when_the_wind_has_passed(lane: Talk) -> None:
    lane.weather([calm(), GALE, calm()])
    await lane.until(5, "19:30", every_min=90)
    missed = {duty.place_id for duty in await done(lane, TaskKind.PIN)}
    lane.weather([calm(), calm()])
    await lane.until(6, "09:00", every_min=90)
    assert missed and all(duty.state is TaskState.MISSED for duty in await done(lane, TaskKind.PIN))
    assert missed <= {duty.place_id for duty in await done(lane, TaskKind.LOOK)}
    (over,) = [one for one in lane.group() if "The wind has passed" in one.text]
    assert "Look for damage: Tunnel and Greenhouse" in over.text
    assert "Watch out for loose branches and broken glass. No ladders." in over.text


async def test_closing_an_open_tunnel_is_a_task_of_the_cold_warning_and_not_a_turn_besides(lane: Talk) -> None:
    await lane.planted("tomato", "Tunnel", Stage.FLOWERING)
    await opened(lane, "Tunnel")
    lane.weather([ZERO, ZERO])
    await lane.until(4, "12:00")
    (duty,) = await done(lane, TaskKind.CLOSE)
    assert duty.people == 1 and duty.crops == "tomato"
    assert "Close doors and vents: Tunnel (Tomatoes)" in each(lane.group())[-1]
    async with lane.stage.app.database.begin() as session:
        daily = await tasks.of_days(session, duty.garden_id, *[lane.stage.clock.at.date()] * 2)
        assert not [one for one in daily if one.kind is TaskKind.CLOSE]


async def test_a_tunnel_that_was_closed_for_the_night_does_not_call_the_night_off(lane: Talk) -> None:
    await lane.planted("tomato", "Tunnel", Stage.FLOWERING)
    await opened(lane, "Tunnel")
    lane.weather([ZERO, ZERO])
    await lane.until(4, "11:00")
    standing = lane.standing()
    await lane.press("Miriam", standing, next(key for key in labels(standing) if "do it" in key.lower()))
    miriam = await lane.member("Miriam")
    async with lane.stage.app.database.begin() as session:
        duty = (await session.scalars(select(Task).where(Task.kind == TaskKind.CLOSE))).one()
        duty.state, duty.done_at = TaskState.DONE, lane.stage.clock.at
        warning = await session.get_one(Warning, duty.warning_id)
        await place_ledger.by_duty(session, warning.ends_at, duty, miriam, lane.stage.clock.at)
    await lane.until(4, "20:00")
    assert not [text for text in each(lane.group()) if "I no longer expect harmful cold" in text]


async def test_courgettes_are_picked_before_a_hard_frost_with_what_to_do_with_the_pumpkins(lane: Talk) -> None:
    lane.stage.clock.at = datetime(2026, 10, 10, 9, tzinfo=UTC)
    await lane.planted("courgette", "Bed 1", Stage.READY)
    await lane.planted("pumpkin", "Bed 2", Stage.READY)
    lane.weather([calm(), HARD])
    (said,) = [text for text in each(await lane.look()) if "at the plants" in text]
    assert "Pick or lift before dark: " in said
    assert "Pumpkins: cut with some stalk" in said
    stay = next((line for line in said.splitlines() if line.startswith("Nothing to do for")), "")
    assert "Courgettes" not in stay and "Pumpkins" not in stay


async def test_what_was_left_to_the_first_hard_frost_is_not_called_for_before_the_second(lane: Talk) -> None:
    lane.stage.clock.at = datetime(2026, 10, 10, 9, tzinfo=UTC)
    await lane.planted("courgette", "Bed 1", Stage.READY)
    await lane.planted("beetroot", "Bed 2", Stage.READY)
    lane.weather([calm(), HARD, HARD])
    for _ in range(20):
        await lane.look()
        lane.stage.clock.at += timedelta(hours=3)
    asked = [crop for duty in await done(lane, TaskKind.PICK) for crop in duty.crops.split()]
    assert (asked.count("courgette"), asked.count("beetroot")) == (1, 1)


async def test_what_an_earlier_frost_killed_is_said_once(lane: Talk) -> None:
    lane.stage.clock.at = datetime(2026, 10, 12, 9, tzinfo=UTC)
    await lane.planted("courgette", "Bed 1", Stage.READY)
    await lane.planted("pumpkin", "Greenhouse", Stage.READY)
    async with lane.stage.app.database.begin() as session:
        garden = (await session.scalars(select(Garden))).one()
        at = lane.stage.clock.at
        session.add(PastDay(garden_id=garden.id, on=at.date() - timedelta(days=3), source="x", noted_at=at, min_c=-4.0))
    lane.weather([calm(), HARD, HARD, HARD])
    said: list[str] = []
    for _ in range(10):
        lane.stage.clock.at += timedelta(hours=6)
        said += each(await lane.look())
    lost = [text for text in said if "Lost in the frost" in text and "Courgettes" in text]
    assert len({text.splitlines()[0] for text in lost}) == 1
    assert not [duty for duty in await done(lane, TaskKind.PICK) if "courgette" in duty.crops]


async def test_frost_and_gale_in_one_day_say_which_hours_are_safe(lane: Talk) -> None:
    await lane.planted("french-bean", "Bed 1", Stage.GROWING)
    lane.weather([calm(), STORM, (-3.0, 10.0, 5.0, 1.0, 4.0, 0.0)])
    await lane.until(5, "08:00", every_min=120)
    cold = [text for text in each(lane.group()) if "at the plants" in text and "We need this done by" in text]
    assert cold and all("Go out only in these hours" in text for text in cold)
    assert any("(today) to " in text and "(tomorrow)." in text for text in cold), "over midnight both days are named"


async def test_whoever_said_yes_is_told_to_stay_in_when_a_gale_takes_the_last_safe_hours(lane: Talk) -> None:
    await lane.planted("french-bean", "Bed 2", Stage.GROWING)
    lane.weather([(2.0, 12.0, 5.0, 1.0, 4.0, 0.0), (-3.0, 10.0, 5.0, 1.0, 4.0, 0.0)])
    await lane.until(4, "12:00")
    asked = lane.private("Kasia")[-1]
    await lane.press("Kasia", asked, labels(asked)[0])
    lane.weather([(2.0, 12.0, 5.0, 14.0, 30.0, 0.0), (-3.0, 10.0, 5.0, 1.0, 4.0, 0.0)])
    await lane.until(4, "15:00", every_min=30)
    assert [text for text in each(lane.group()) if "leaves no safe time to go out before it. Please stay in" in text]


async def test_whoever_looks_after_a_pot_is_told_once_to_fasten_it_for_good(lane: Talk) -> None:
    await lane.planted("tomato", "Pot 4", Stage.FLOWERING)
    breezy: Day = (7.0, 14.0, 90.0, 5.0, 14.0, 0.0)
    lane.weather([breezy] * 6)
    await lane.until(8, "12:00", every_min=240)
    told = [text for name in ("Miriam", "Tobias", "Deepa", "Owen", "Hana", "Marcus", "Leila", "Kasia")
            for text in each(lane.private(name)) if "for good" in text or "na stałe" in text]  # fmt: skip
    assert 1 <= len(told) <= 2, "those on call, once"
    assert not [one for one in await lane.warnings() if one.hazard.value == "wind"]


async def test_whoever_asks_of_the_wind_hears_first_when_nobody_should_be_out(lane: Talk) -> None:
    """Gusts of 35 mph (15.6 m/s) and more: common practice, no source."""
    lane.weather([GALE])
    await lane.look()
    said = await lane.said("Hana", "do I have to go out in this wind?")
    first, *rest = said.text.splitlines()
    assert first.startswith("Do not go out from ") and "dangerous" in first
    assert any("54\N{NO-BREAK SPACE}mph" in line for line in rest)
    lane.weather([calm()])
    assert "dangerous" not in (await lane.said("Hana", "how windy is it")).text


async def test_a_spell_of_wind_with_a_day_that_has_become_calm_is_looked_at_and_left(lane: Talk) -> None:
    """A second look under the same forecast changes no row, so that the garden is not due again at once."""
    lane.weather([calm(), STORM, STORM, STORM, STORM])
    await lane.look()
    lane.weather([calm(), STORM, calm(), STORM, STORM])
    await lane.look()
    await lane.look()
    async with lane.stage.app.database.begin() as session:
        garden = (await session.scalars(select(Garden))).one()
        before = garden.revision
    lane.stage.clock.at += timedelta(minutes=2)
    await lane.look()
    async with lane.stage.app.database.begin() as session:
        garden = (await session.scalars(select(Garden))).one()
        assert garden.revision == before
