"""What lies over a bed now, and where a pot stands, is told by what people report; nobody is asked for what clashes.

Two frosty nights, a mild one and a third frost, played by the whole bot in the demo's garden on both databases; then a
gale after a frost, and shorter stories. The weather is invented.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from sqlalchemy import select

from bot.chat.wire_world import Message
from bot.demo.weather import Day
from bot.services.weather import Source
from bot.stage import on_stage
from bot.storage.models import Place, PlaceReport
from bot.storage.session import Database
from bot.storage.states import DutyState
from tests.chat.lane import COLD, MONDAY_AT, Lane, calm, first_who_can, keys, texts
from tests.support.group_messages import furnished
from tests.support.invented_weather import write

#: A night that freezes before a day with a gale from noon: invented.
FROST_THEN_GALE: Day = (-1.0, 12.0, 5.0, 3.0, 27.0, 0.0)
COLDER: Day = (-3.0, 12.0, 5.0, 1.0, 4.0, 0.0)
UNDOING = ("Uncover", "Put back")


@pytest.fixture
async def garden(database: Database, tmp_path: Path) -> AsyncIterator[Lane]:
    """The demo's garden on stage, on SQLite and on PostgreSQL."""
    await furnished(database, MONDAY_AT)
    forecast = tmp_path / "forecast.json"
    write(forecast, [calm()] * 10, MONDAY_AT)
    async with on_stage(database, Source(f"file:{forecast}"), MONDAY_AT, first_who_can) as stage:
        yield Lane(stage, forecast)


def of_group(lane: Lane, messages: list[Message]) -> str:
    return texts(message for message in messages if message.chat_id == lane.group_id)


def about(lane: Lane, words: str) -> Message:
    """The newest message of the group with these words."""
    return next(message for message in reversed(lane.group()) if words in message.text)


def line(message: Message, place: str) -> str:
    """The line of a message's list that names a place."""
    return next((one for one in message.text.splitlines() if one.startswith("•") and place in one), "")


async def done_by(lane: Lane, name: str, message: Message) -> None:
    yes, done = ("Zrobię to", "Zrobione") if name == "Kasia" else ("I'll do it", "Done")
    await lane.press(name, message, yes)
    await lane.press(name, lane.private(name)[-1], done)


def ask_of(lane: Lane, name: str, word: str) -> Message:
    """The first private question to somebody that has a word in it."""
    return next(message for message in lane.private(name) if word in message.text and message.keyboard)


async def test_two_frosts_a_mild_night_and_a_third_frost(garden: Lane) -> None:
    lane = garden
    lane.weather([calm(), COLD, COLD, calm(), COLD])
    await lane.look()
    await lane.until(4, "14:00")
    tonight, tomorrow = about(lane, "Tonight:"), about(lane, "Tomorrow night:")
    assert "Odds of harm: 9 in 10" in tonight.text and line(tomorrow, "Bed 2").startswith("• Cover: Bed 2")

    # Monday: people do what is asked for the first night, by button and in their own words.
    for name in ("Miriam", "Kasia", "Leila", "Tobias"):
        await done_by(lane, name, ask_of(lane, name, "dziś" if name == "Kasia" else "today"))
    noted = texts(await lane.write("Marcus", "all pots are in the tunnel"))
    assert "Pot 4" in noted and "what I had asked for" in noted
    said = await lane.until(4, "20:00")
    assert "expected any more" not in of_group(lane, said), "a covered bed is no milder night"
    tonight, tomorrow = about(lane, "Tonight:"), about(lane, "Tomorrow night:")
    assert "Odds of harm: 9 in 10" in tonight.text, "what was done is not taken off the odds"
    assert "Done, thank you Kasia" in line(tonight, "Bed 2") and "Done, thank you Marcus" in line(tonight, "Pot 5")
    assert "Done, thank you Kasia" in line(tomorrow, "Bed 2"), "what is on and stays on is not asked for again"
    assert "Done, thank you Marcus" in line(tomorrow, "Pot 5")

    # Tuesday morning: the second night wants everything as it is, so nothing is taken off, and it is asked if it is on.
    await lane.until(5, "01:30")
    lane.weather([COLD, COLD, calm(), COLD])
    said = await lane.until(5, "08:00")
    after = about(lane, "The cold night is over.")
    assert "Tonight is expected to be cold, too." in after.text
    assert "Please leave these as they are until Wed 6 May:" in after.text
    assert not [word for word in UNDOING if word in of_group(lane, said)]
    second = about(lane, "Tonight:")
    assert line(second, "Bed 2").startswith("• Perhaps still covered, please look: Bed 2")
    assert line(second, "Pot 5").startswith("• Perhaps still inside, please look:")
    assert "Odds of harm: 9 in 10" in second.text
    asked = [message for message in said if "Can you help" in message.text]
    assert asked and all(one.count("Perhaps still") == one.count("•") for one in (each.text for each in asked))

    # One tap says that it is still on.
    await lane.press("Kasia", second, keys_of_still(second))
    assert "Done, thank you Kasia" in line(about(lane, "Tonight:"), "Bed 2")
    await lane.write("Owen", "pots 1, 2, 3, 4 and 5 are in the tunnel")
    assert "Done, thank you Owen" in line(about(lane, "Tonight:"), "Pot 5")
    said = await lane.until(5, "21:11")
    assert not [word for word in UNDOING if word in of_group(lane, said)], (
        "nothing is uncovered for a night that freezes"
    )
    assert "Perhaps still covered, please look: Bed 1" in about(lane, "Tonight:").text, "nobody said that it is"

    # Wednesday: the night to come is mild, so what is on or may be on comes off; Thursday's frost is said at once.
    await lane.until(6, "01:30")
    lane.weather([COLD, calm(), COLD])
    said = await lane.until(6, "08:00")
    after = about(lane, "The cold night is over.")
    assert line(after, "Bed 1").startswith("• Uncover: Bed 1"), "what nobody answered for may be on, too"
    assert line(after, "Pot 1").startswith("• Put back outside: Pot 1")
    assert "Tomorrow night is expected to be cold, too." in after.text
    assert "leave these as they are" not in after.text
    await lane.write("Kasia", "took the fleece off bed 2")
    assert "Done, thank you Kasia" in line(about(lane, "The cold night is over."), "Bed 2")

    # Nobody says that Bed 1 was uncovered: Thursday's frost is warned of there as for bare ground, with a doubt.
    await lane.until(6, "14:00")
    third = about(lane, "Tomorrow night:")
    assert line(third, "Bed 2").startswith("• Cover: Bed 2"), "uncovered by Kasia"
    assert "Perhaps still covered, please look: Bed 1" in third.text
    assert "Odds of harm: 9 in 10" in third.text
    await lane.until(7, "01:30")
    lane.weather([calm(), COLD])
    await lane.until(7, "08:00")
    live = [duty.task for duty, _ in await lane.duties() if duty.state in (DutyState.OPEN, DutyState.ACCEPTED)]
    assert not {"uncover", "put back"} & set(live), "neither is asked for on the day of a frost"
    after = about(lane, "The cold night is over.")
    assert not [word for word in UNDOING if line(after, "Bed 1").startswith(f"• {word}")]
    assert "Please leave these as they are until Fri 8 May:" in after.text
    await lane.press("Miriam", third, "Still as it was")
    await lane.press("Miriam", lane.private("Miriam")[-1], "Bed 1")
    assert "Done, thank you Miriam" in line(third, "Bed 1")
    await lane.until(8, "01:30")
    lane.weather([COLD, calm()])
    await lane.until(8, "09:00")
    last = about(lane, "The cold night is over.")
    assert "Uncover" in last.text and "cold, too" not in last.text
    assert "expected any more" not in texts(lane.group()), "no all-clear was due in these days"
    assert await recorded(lane) == {"none"}, "the organisers' record was never written over"


def keys_of_still(message: Message) -> str:
    return next(label for label in keys(message) if label.startswith(("It is still", "Still")))


async def recorded(lane: Lane) -> set[str]:
    async with lane.stage.app.database.begin() as session:
        return {cover.value for cover in await session.scalars(select(Place.cover))}


async def reports(lane: Lane) -> list[PlaceReport]:
    async with lane.stage.app.database.begin() as session:
        return list((await session.scalars(select(PlaceReport).order_by(PlaceReport.id))).all())
