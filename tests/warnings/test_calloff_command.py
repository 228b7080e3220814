"""Calling off: a reason or none, told to the group and to whoever was counted on, once, and final."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import select

from bot.storage.models import Task, Warning
from bot.storage.session import Database
from bot.storage.states import TaskState, WarningState
from tests.support.talk import Talk


async def _called(street: Talk) -> None:
    await street.write("Miriam", "/warn cold tonight")
    await street.tap("Miriam", "Send the warning")
    await street.look()


async def _asked_why(street: Talk) -> None:
    await street.write("Miriam", "/calloff")
    await street.tap("Miriam", "cold, Sun 3 May")


async def _warning(two_gardens: Database) -> Warning:
    async with two_gardens.begin() as session:
        return (await session.scalars(select(Warning))).one()


async def test_the_reason_is_told_to_the_group_and_to_those_who_had_said_yes(
    street: Talk, two_gardens: Database
) -> None:
    await _called(street)
    await street.write("Tobias", "yes")
    await _asked_why(street)
    await street.write("Miriam", "cloud has come <up> & it stays")
    await street.look()
    off = street.said_in_group("Miriam")[-1]
    assert off.startswith("An organiser has cancelled the cold warning for the night of Sun 3 May.")
    assert "Why: cloud has come <up> & it stays" in off
    assert (
        "You do not need to come" in street.said_to("Tobias")[-1] and "cloud has come" in street.said_to("Tobias")[-1]
    )
    async with two_gardens.begin() as session:
        assert {duty.state for duty in await session.scalars(select(Task))} == {TaskState.DROPPED}


async def test_without_a_reason_and_twice_it_is_called_off_once(street: Talk) -> None:
    await _called(street)
    await _asked_why(street)
    message = street.under("Miriam", "Cancel the warning")
    await street.press("Miriam", message, "Cancel the warning")
    (again,) = await street.press("Miriam", message, "Cancel the warning")
    assert again.text == "That warning is already over."
    told = [text for text in street.said_in_group("Miriam") if "has cancelled" in text]
    assert len(told) == 2 and "Why:" not in told[0], "a new message, and the standing one changed"


async def test_the_old_call_no_longer_asks_for_hands(street: Talk) -> None:
    await _called(street)
    await _asked_why(street)
    await street.tap("Miriam", "Cancel the warning")
    standing = street.stage.api.said(street.stage.group_of(street.user("Miriam")))[0]
    assert standing.edits and standing.text.startswith("An organiser has cancelled the cold warning")
    (late,) = await street.write("Tobias", "yes")
    assert "no longer needed" in late.text


async def test_kept_it_stays_and_the_next_line_is_no_reason(street: Talk, two_gardens: Database) -> None:
    await _called(street)
    await _asked_why(street)
    await street.tap("Miriam", "Keep the warning")
    await street.write("Miriam", "/turns")
    await street.write("Miriam", "how cold tonight?")
    assert (await _warning(two_gardens)).state is WarningState.CALLED


async def test_what_is_done_already_can_be_undone(street: Talk) -> None:
    await _called(street)
    await street.write("Tobias", "done")
    await street.tap("Tobias", "All of this job")
    await _asked_why(street)
    await street.tap("Miriam", "Cancel the warning")
    assert "• Put back outside: Pot 4" in street.said_in_group("Miriam")[-1]


async def test_called_off_it_stays_off_until_it_is_called_again_by_hand(street: Talk, two_gardens: Database) -> None:
    await _called(street)
    await _asked_why(street)
    await street.tap("Miriam", "Cancel the warning")
    await street.look()
    assert (await _warning(two_gardens)).state is WarningState.OVER
    street.stage.clock.at += timedelta(minutes=5)
    await _called(street)
    assert (await _warning(two_gardens)).state is WarningState.CALLED
    assert street.said_in_group("Miriam")[-1].startswith("Tonight: about −2\N{NO-BREAK SPACE}°C")


async def test_nothing_in_force_there_is_nothing_to_call_off(street: Talk) -> None:
    (answer,) = await street.write("Miriam", "/calloff")
    assert answer.text == "There is no warning now."


@pytest.mark.parametrize("who", ["Owen", "Petra"])
async def test_only_organisers_of_its_garden_call_it_off(street: Talk, two_gardens: Database, who: str) -> None:
    await _called(street)
    number = (await _warning(two_gardens)).id
    await street.write(who, "/help")
    for deed in ("ask", "go"):
        await street.forge(who, f"off:{number}:{deed}")
    await street.write(who, "/calloff")
    await street.write(who, "it is not needed")
    assert (await _warning(two_gardens)).state is WarningState.CALLED
