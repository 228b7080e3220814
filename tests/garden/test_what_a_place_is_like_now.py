"""What lies over a bed now, and where a pot stands, is told by what people report; nobody is asked for what clashes.

Two frosty nights, a mild one and a third frost, played by the whole bot in the demo's garden on both databases; then a
gale after a frost, and shorter stories. The weather is invented.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from sqlalchemy import select, update

from bot.chat.wire.world import Message
from bot.core.garden.snapshot import Cover
from bot.core.garden.snapshot import Stage as PlantStage
from bot.demo.weather import Day
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.models import Place, PlaceReport, Planting, Task
from bot.storage.session import Database
from bot.storage.states import TaskState
from tests.support.group_messages import furnished
from tests.support.invented_weather import calm, write
from tests.support.talk import COLD, MONDAY_AT, Talk, first_who_can, labels, texts

pytestmark = pytest.mark.usefixtures("whole_messages")

#: A night that freezes before a day with a gale from noon: invented.
FROST_THEN_GALE: Day = (-1.0, 12.0, 5.0, 3.0, 27.0, 0.0)
COLDER: Day = (-3.0, 12.0, 5.0, 1.0, 4.0, 0.0)
UNDOING = ("Uncover", "Put back")


@pytest.fixture
async def garden(database: Database, tmp_path: Path) -> AsyncIterator[Talk]:
    """The demo's garden on stage, on SQLite and on PostgreSQL."""
    await furnished(database, MONDAY_AT)
    forecast = tmp_path / "forecast.json"
    write(forecast, [calm()] * 10, MONDAY_AT)
    async with on_stage(database, Source(f"file:{forecast}"), MONDAY_AT, first_who_can) as stage:
        yield Talk(stage, forecast)


async def tender_bed_1(lane: Talk) -> None:
    """French beans stand in Bed 1, which the first frost kills."""
    async with lane.stage.app.database.begin() as session:
        bed_1 = await session.scalar(select(Place.id).where(Place.name == "Bed 1"))
        beans = {"crop": "french-bean", "stage": PlantStage.GROWING}
        await session.execute(
            update(Planting).where(Planting.place_id == bed_1, Planting.crop == "broad-bean").values(**beans)
        )


def of_group(lane: Talk, messages: list[Message]) -> str:
    return texts(message for message in messages if message.chat_id == lane.group_id)


def about(lane: Talk, words: str) -> Message:
    """The newest message of the group with these words."""
    return next(message for message in reversed(lane.group()) if words in message.text)


def line(message: Message, place: str) -> str:
    """The line of a message's list that names a place."""
    return next((one for one in message.text.splitlines() if one.startswith("•") and place in one), "")


async def second_night(lane: Talk) -> list[Task]:
    _, second, *_ = sorted(await lane.warnings(), key=lambda one: one.window_on)
    return [duty for duty, _ in await lane.duties() if duty.warning_id == second.id]


async def done_by(lane: Talk, name: str, message: Message) -> None:
    yes, done = ("Zrobię to", "Zrobione") if name == "Kasia" else ("I'll do it", "Done")
    await lane.press(name, message, yes)
    await lane.press(name, message, done)


def ask_of(lane: Talk, name: str, word: str) -> Message:
    """The first private question to somebody that has a word in it."""
    return next(message for message in lane.private(name) if word in message.text and message.keyboard)


async def test_two_frosts_a_mild_night_and_a_third_frost(garden: Talk) -> None:
    lane = garden
    await tender_bed_1(lane)
    lane.weather([calm(), COLD, COLD, calm(), COLD])
    await lane.look()
    await lane.until(4, "14:00")
    call = about(lane, "Tonight and tomorrow night:")
    odds = "Chance of damage: almost certain"
    assert odds in call.text and line(call, "Bed 2").startswith("• Cover:")

    # Monday: people do what is asked for, by button and in their own words.
    for name in ("Miriam", "Kasia", "Leila", "Tobias"):
        await done_by(lane, name, ask_of(lane, name, "dziś" if name == "Kasia" else "today"))
    noted = texts(await lane.write("Marcus", "all pots are in the tunnel"))
    assert "Pot 4" in noted and "what I asked for" in noted
    said = await lane.until(4, "20:00")
    assert "I no longer expect" not in of_group(lane, said), "a covered bed is no milder night"
    call = about(lane, "Tonight and tomorrow night:")
    assert odds in call.text, "what was done is not taken off the odds"
    assert "Done, thank you Kasia" in line(call, "Bed 2") and "Done, thank you Marcus" in line(call, "Pot 5")
    assert {duty.state for duty in await second_night(lane)} == {TaskState.DONE}, (
        "what is on and stays on is not asked again"
    )

    # Tuesday morning: the second night wants everything as it is, so nothing is taken off, and nobody is called.
    await lane.until(5, "01:30")
    lane.weather([COLD, COLD, calm(), COLD])
    said = await lane.until(5, "08:00")
    after = about(lane, "The cold night is over.")
    assert after.edits, "no phone rings in the midst of a spell that was told of"
    assert "Tonight will probably be cold too." in after.text
    assert "Please leave these as they are until Wed 6 May:" in after.text
    assert not [word for word in UNDOING if word in of_group(lane, said)]
    asked = [message.text for message in said if "Can you help" in message.text]
    assert not asked, asked
    said = await lane.until(5, "21:11")
    assert not [word for word in UNDOING if word in of_group(lane, said)], (
        "nothing is uncovered for a night that freezes"
    )

    # Wednesday: the night to come is mild, so what is on or may be on comes off; Thursday's frost is said at once.
    await lane.until(6, "01:30")
    lane.weather([COLD, calm(), COLD])
    said = await lane.until(6, "08:00")
    after = about(lane, "The cold night is over.")
    assert line(after, "Bed 1").startswith("• Uncover: Bed 1"), "what nobody answered for may be on, too"
    assert line(after, "Pot 1").startswith("• Put back outside: Pot 1")
    assert "Tomorrow night will probably be cold too." in after.text
    assert "leave these as they are" not in after.text
    await lane.write("Kasia", "took the fleece off bed 2")
    assert "Done, thank you Kasia" in line(about(lane, "The cold night is over."), "Bed 2")

    # Nobody says that Bed 1 was uncovered: Thursday's frost is warned of there as for bare ground, with a doubt.
    await lane.until(6, "14:00")
    third = about(lane, "Tomorrow night:")
    assert line(third, "Bed 2").startswith("• Cover: Bed 2"), "uncovered by Kasia"
    assert "Maybe still covered, please look: Bed 1" in third.text
    assert odds in third.text or "Chance of damage: 9 in 10" in third.text
    await lane.until(7, "01:30")
    lane.weather([calm(), COLD])
    await lane.until(7, "08:00")
    live = [duty.kind for duty, _ in await lane.duties() if duty.state in (TaskState.OPEN, TaskState.ACCEPTED)]
    assert not {"uncover", "put back"} & set(live), "neither is asked for on the day of a frost"
    after = about(lane, "The cold night is over.")
    assert not [word for word in UNDOING if line(after, "Bed 1").startswith(f"• {word}")]
    assert "Please leave these as they are until Fri 8 May:" in after.text
    await lane.press("Miriam", third, "It has not changed")
    await lane.press("Miriam", lane.private("Miriam")[-1], "Bed 1")
    assert "Done, thank you Miriam" in line(third, "Bed 1")
    await lane.until(8, "01:30")
    lane.weather([COLD, calm()])
    await lane.until(8, "09:00")
    last = about(lane, "The cold night is over.")
    assert "Uncover" in last.text and "be cold too" not in last.text
    assert "I no longer expect" not in texts(lane.group()), "no all-clear was due in these days"
    assert await recorded(lane) == {"none"}, "the organisers' record was never written over"


async def test_what_is_to_be_uncovered_stays_on_when_the_forecast_turns_cold_again(garden: Talk) -> None:
    lane = garden
    await covered_by_kasia(lane, [calm(), COLD, calm()])
    await lane.until(5, "01:30")
    lane.weather([COLD, calm()])
    await lane.until(5, "08:00")
    assert line(about(lane, "The cold night is over."), "Bed 2").startswith("• Uncover: Bed 2")
    assert await live(lane) == {"uncover"}
    lane.weather([COLD, COLD])
    await lane.look()
    assert "uncover" not in await live(lane)
    assert line(about(lane, "Tonight:"), "Bed 2").startswith("• Maybe still covered, please look: Bed 2")
    assert "Please leave these as they are until Wed 6 May:" in about(lane, "The cold night is over.").text


async def test_covers_stay_on_and_are_pinned_when_a_gale_follows_the_frost(garden: Talk) -> None:
    lane = garden
    await covered_by_kasia(lane, [calm(), FROST_THEN_GALE, calm()])
    await lane.until(4, "19:00")
    assert line(about(lane, "Tomorrow from"), "Bed 2").startswith("• Pin down: Bed 2.")
    await lane.until(5, "01:30")
    lane.weather([FROST_THEN_GALE, calm()])
    await lane.until(5, "08:00")
    after = about(lane, "The cold night is over.")
    assert "Please leave these as they are until Tue 5 May:" in after.text and "Covered: Bed 2" in after.text
    assert "uncover" not in await live(lane)
    assert "Pin down: Bed 2, if the cover is still on." in about(lane, "Today from").text
    await lane.until(6, "01:30")
    lane.weather([calm(), calm()])
    await lane.until(6, "09:00")
    assert "uncover" in await live(lane), "the gale has passed"
    assert "Uncover: Bed 2" in about(lane, "The cold night is over.").text


async def test_what_is_not_covered_needs_no_pins(garden: Talk) -> None:
    lane = garden
    lane.weather([calm(), FROST_THEN_GALE, calm()])
    await lane.look()
    assert "Pin down: Bed 2" not in texts(lane.group())


async def test_an_all_clear_is_of_a_date_and_names_the_next_cold_night(garden: Talk) -> None:
    lane = garden
    lane.weather([calm(), calm(), COLD])
    await lane.until(4, "13:00")
    lane.weather([calm(), calm(), calm(), COLD])
    await lane.until(5, "09:00", every_min=120)
    said = about(lane, "I no longer think").text
    assert "I no longer think harmful cold will come tonight, Tue 5 May." in said
    assert "Tomorrow night will probably be cold too." in said
    assert "There is no job for you" not in said


async def test_a_harvested_garden_is_no_milder_night(garden: Talk) -> None:
    lane = garden
    lane.weather([calm(), calm(), COLD])
    await lane.until(4, "13:00")
    async with lane.stage.app.database.begin() as session:
        await session.execute(update(Planting).values(stage=PlantStage.ENDED))
    await lane.until(5, "09:00", every_min=120)
    assert "will still be cold, but by our notes there is nothing left to do" in about(lane, "will still be cold").text
    assert "I no longer expect" not in texts(lane.group())


async def test_whoever_writes_what_everybody_was_asked_for_saves_the_others_the_walk(garden: Talk) -> None:
    lane = garden
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    said = await lane.write("Owen", "covered bed 2 with fleece")
    assert "what I asked for (Bed 2)" in texts(said)
    assert "Done, thank you Owen" in line(about(lane, "Tonight:"), "Bed 2")
    freed = await lane.until(4, "11:00")
    assert "Bed 2" in texts(message for message in freed if message.chat_id == lane.user("Kasia"))
    await lane.press("Owen", said[-1] if said[-1].chat_id != lane.group_id else lane.private("Owen")[-1], "Undo")
    assert not line(about(lane, "Tonight:"), "Bed 2").endswith("Done, thank you Owen.")
    assert await still_to_do(lane, "cover", "Bed 2")


async def test_less_than_was_asked_for_is_taken_and_what_it_is_worth_is_said(garden: Talk) -> None:
    lane = garden
    await tender_bed_1(lane)
    lane.weather([calm(), COLD])
    await lane.look()
    assert "with double fleece" in line(about(lane, "Tonight:"), "Bed 1")
    said = texts(await lane.write("Miriam", "covered bed 1 with fleece"))
    assert "Bed 1: with fleece the chance of damage is" in said and "With double fleece, as I asked" in said
    assert "Done, thank you Miriam" in line(about(lane, "Tonight:"), "Bed 1")


async def test_a_cover_until_further_word_is_counted_on_and_not_to_be_taken_off(garden: Talk) -> None:
    lane = garden
    await covered_by_kasia(lane, [calm(), COLD, calm()])
    await lane.until(5, "01:30")
    lane.weather([COLD, COLD, calm()])
    await lane.until(5, "08:00")
    (noted,) = (
        m
        for m in await lane.press("Kasia", about(lane, "Tonight:"), "It is still on")
        if m.keyboard[0:1] and m.chat_id == lane.user("Kasia")
    )
    await lane.press("Kasia", noted, labels(noted)[0])
    assert [one.until_at for one in await reports(lane)][-1] is None
    await lane.until(6, "01:30")
    lane.weather([COLD, calm()])
    await lane.until(6, "09:00")
    assert not await still_to_do(lane, "uncover", "Bed 2")
    said = texts(await lane.write("Kasia", "took the fleece off bed 2"))
    assert "Bed 2" in said
    assert await recorded(lane) == {"none"}


async def test_a_place_recorded_under_a_cover_counts_until_somebody_says_that_it_is_off(garden: Talk) -> None:
    lane = garden
    async with lane.stage.app.database.begin() as session:
        await session.execute(update(Place).where(Place.name == "Bed 2").values(cover=Cover.DOUBLE_FLEECE))
    lane.weather([calm(), COLD])
    await lane.look()
    assert not line(about(lane, "Tonight:"), "Bed 2")
    await lane.write("Kasia", "took the double fleece off bed 2")
    await lane.look()
    assert line(about(lane, "Tonight:"), "Bed 2").startswith("• Cover:")


async def covered_by_kasia(lane: Talk, days: list[Day]) -> None:
    lane.weather(days)
    await lane.look()
    await done_by(lane, "Kasia", ask_of(lane, "Kasia", "dziś"))


async def live(lane: Talk) -> set[str]:
    """The tasks of Bed 2 that people are asked for now."""
    return {task for task, place in await _open(lane) if place == "Bed 2"}


async def still_to_do(lane: Talk, task: str, place: str) -> bool:
    return (task, place) in await _open(lane)


async def _open(lane: Talk) -> set[tuple[str, str]]:
    async with lane.stage.app.database.begin() as session:
        names = {one.id: one.name for one in await session.scalars(select(Place))}
    states = (TaskState.OPEN, TaskState.ACCEPTED)
    return {(duty.kind.value, names[duty.where_id]) for duty, _ in await lane.duties() if duty.state in states}


def keys_of_still(message: Message) -> str:
    return next(label for label in labels(message) if label.startswith(("It is still", "Still")))


async def recorded(lane: Talk) -> set[str]:
    async with lane.stage.app.database.begin() as session:
        return {cover.value for cover in await session.scalars(select(Place.cover))}


async def reports(lane: Talk) -> list[PlaceReport]:
    async with lane.stage.app.database.begin() as session:
        return list((await session.scalars(select(PlaceReport).order_by(PlaceReport.id))).all())
