"""Calling off: a reason or none, told to the group and to whoever was counted on, once, and final."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import select

from bot.storage.models import Task, Warning
from bot.storage.session import Database
from bot.storage.states import TaskState, WarningState
from tests.chat_commands.dialogue import Talk


async def _called(talk: Talk) -> None:
    await talk.write("Miriam", "/warn cold tonight")
    await talk.press("Miriam", "Send the warning")
    await talk.tick()


async def _asked_why(talk: Talk) -> None:
    await talk.write("Miriam", "/calloff")
    await talk.press("Miriam", "cold, Sun 3 May")


async def _warning(database: Database) -> Warning:
    async with database.begin() as session:
        return (await session.scalars(select(Warning))).one()


async def test_the_reason_is_told_to_the_group_and_to_those_who_had_said_yes(talk: Talk, database: Database) -> None:
    await _called(talk)
    await talk.write("Tobias", "yes")
    await _asked_why(talk)
    await talk.write("Miriam", "cloud has come <up> & it stays")
    await talk.tick()
    off = talk.said_in_group("Miriam")[-1]
    assert off.startswith("An organiser has cancelled the cold warning for the night of Sun 3 May.")
    assert "Why: cloud has come <up> & it stays" in off
    assert "You do not need to come" in talk.said_to("Tobias")[-1] and "cloud has come" in talk.said_to("Tobias")[-1]
    async with database.begin() as session:
        assert {duty.state for duty in await session.scalars(select(Task))} == {TaskState.DROPPED}


async def test_without_a_reason_and_twice_it_is_called_off_once(talk: Talk) -> None:
    await _called(talk)
    await _asked_why(talk)
    message = talk.under("Miriam", "Cancel the warning")
    await talk.press_under("Miriam", message, "Cancel the warning")
    (again,) = await talk.press_under("Miriam", message, "Cancel the warning")
    assert again.text == "That warning is already over."
    told = [text for text in talk.said_in_group("Miriam") if "has cancelled" in text]
    assert len(told) == 2 and "Why:" not in told[0], "a new message, and the standing one changed"


async def test_the_old_call_no_longer_asks_for_hands(talk: Talk) -> None:
    await _called(talk)
    await _asked_why(talk)
    await talk.press("Miriam", "Cancel the warning")
    standing = talk.stage.api.said(talk.stage.group_of(talk.id("Miriam")))[0]
    assert standing.edits and standing.text.startswith("An organiser has cancelled the cold warning")
    (late,) = await talk.write("Tobias", "yes")
    assert "no longer needed" in late.text


async def test_kept_it_stays_and_the_next_line_is_no_reason(talk: Talk, database: Database) -> None:
    await _called(talk)
    await _asked_why(talk)
    await talk.press("Miriam", "Keep the warning")
    await talk.write("Miriam", "/turns")
    await talk.write("Miriam", "how cold tonight?")
    assert (await _warning(database)).state is WarningState.CALLED


async def test_what_is_done_already_can_be_undone(talk: Talk) -> None:
    await _called(talk)
    await talk.write("Tobias", "done")
    await talk.press("Tobias", "All of this job")
    await _asked_why(talk)
    await talk.press("Miriam", "Cancel the warning")
    assert "• Put back outside: Pot 4" in talk.said_in_group("Miriam")[-1]


async def test_called_off_it_stays_off_until_it_is_called_again_by_hand(talk: Talk, database: Database) -> None:
    await _called(talk)
    await _asked_why(talk)
    await talk.press("Miriam", "Cancel the warning")
    await talk.tick()
    assert (await _warning(database)).state is WarningState.OVER
    talk.stage.clock.at += timedelta(minutes=5)
    await _called(talk)
    assert (await _warning(database)).state is WarningState.CALLED
    assert talk.said_in_group("Miriam")[-1].startswith("Tonight: about −2\N{NO-BREAK SPACE}°C")


async def test_nothing_in_force_there_is_nothing_to_call_off(talk: Talk) -> None:
    (answer,) = await talk.write("Miriam", "/calloff")
    assert answer.text == "There is no warning now."


@pytest.mark.parametrize("who", ["Owen", "Petra"])
async def test_only_organisers_of_its_garden_call_it_off(talk: Talk, database: Database, who: str) -> None:
    await _called(talk)
    number = (await _warning(database)).id
    await talk.write(who, "/help")
    for deed in ("ask", "go"):
        await talk.forge(who, f"off:{number}:{deed}")
    await talk.write(who, "/calloff")
    await talk.write(who, "it is not needed")
    assert (await _warning(database)).state is WarningState.CALLED
