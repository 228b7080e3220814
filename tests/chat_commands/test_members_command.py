"""Organisers care for the list: roles, handing over, adults, removal; a garden always keeps an organiser."""

from __future__ import annotations

import pytest

from bot.core.garden.snapshot import Role
from bot.storage.models import Member
from bot.storage.session import Database
from tests.chat_commands.dialogue import Talk, labels


async def _row(database: Database, talk: Talk, who: str) -> Member:
    async with database.begin() as session:
        return await talk.member(session, who)


async def _open(talk: Talk, who: str, whom: str) -> None:
    await talk.write(who, "/members")
    await talk.press(who, whom)


async def test_the_list_says_roles_who_is_not_adult_and_who_cannot_be_reached(talk: Talk) -> None:
    talk.stage.api.block(talk.id("Owen"))
    await talk.stage.settle()
    (listed,) = await talk.write("Miriam", "/members")
    assert "• Miriam: organiser" in listed.text
    assert "• Owen: member and I can't write to them yet" in listed.text
    first = listed.text
    (rest,) = await talk.press_under("Miriam", listed, "Show the rest")
    assert "• Robin: member and not adult" in rest.text
    assert "Petra" not in first + rest.text and "Petra" not in labels(rest), "she belongs to another garden"


@pytest.mark.parametrize("who", ["Owen", "Petra"])
async def test_only_organisers_of_this_garden_see_and_change_it(talk: Talk, database: Database, who: str) -> None:
    await _open(talk, "Miriam", "Owen")
    data = next(key["callback_data"] for row in talk.under("Miriam", "Remove").keyboard for key in row)
    (answer,) = await talk.write(who, "/members")
    assert who == "Petra" or answer.text == "Please ask one of the organisers to do that."
    (refused,) = await talk.forge(who, data)
    assert refused.text in (
        "Please ask one of the organisers to do that.",
        "That is for members of the garden. Send /start to me privately.",
    )
    assert (await _row(database, talk, "Owen")).role is Role.MEMBER


async def test_there_may_be_several_organisers_and_a_second_tap_changes_nothing_more(
    talk: Talk, database: Database
) -> None:
    await _open(talk, "Miriam", "Deepa")
    message = talk.under("Miriam", "Make them organiser")
    said = {one.chat_id: one.text for one in await talk.press_under("Miriam", message, "Make them organiser")}
    assert said[talk.id("Miriam")].startswith("Done.")
    assert said[talk.id("Deepa")].startswith("You are an organiser of Teasel Lane now.")
    (again,) = await talk.press_under("Miriam", message, "Make them organiser")
    assert again.text.startswith("It is like that already.")
    assert (await _row(database, talk, "Deepa")).role is Role.ORGANISER
    await _open(talk, "Deepa", "Miriam")
    await talk.press("Deepa", "Make them a member")
    assert (await _row(database, talk, "Miriam")).role is Role.MEMBER


async def test_rights_are_looked_up_at_the_press_not_when_the_button_was_made(talk: Talk, database: Database) -> None:
    await _open(talk, "Miriam", "Deepa")
    await talk.press("Miriam", "Hand over my role")
    assert (await _row(database, talk, "Deepa")).role is Role.ORGANISER
    assert (await _row(database, talk, "Miriam")).role is Role.MEMBER
    (refused,) = await talk.forge("Miriam", f"who:{(await _row(database, talk, 'Owen')).id}:gone")
    assert refused.text == "Please ask one of the organisers to do that."
    assert (await _row(database, talk, "Owen")).left_at is None


@pytest.mark.parametrize("button", ["Make them a member", "Not an adult", "Remove"])
async def test_the_last_organiser_cannot_go_without_handing_over(talk: Talk, database: Database, button: str) -> None:
    await _open(talk, "Miriam", "Miriam")
    (answer,) = await talk.press("Miriam", button)
    if button == "Remove":
        (answer,) = await talk.press("Miriam", "Yes, remove")
    assert answer.text.startswith("A garden needs somebody who looks after it.")
    row = await _row(database, talk, "Miriam")
    assert (row.role, row.adult, row.left_at) == (Role.ORGANISER, True, None)


async def test_an_organiser_is_an_adult_who_can_be_written_to(talk: Talk, database: Database) -> None:
    await _open(talk, "Miriam", "Robin")
    (child,) = await talk.press("Miriam", "Make them organiser")
    assert child.text.startswith("The role of organiser is for adults.")
    talk.stage.api.block(talk.id("Owen"))
    await talk.stage.settle()
    await _open(talk, "Miriam", "Owen")
    (unreachable,) = await talk.press("Miriam", "Hand over my role")
    assert unreachable.text.startswith("I must be able to write to an organiser.")
    assert (await _row(database, talk, "Miriam")).role is Role.ORGANISER


async def test_removal_is_asked_twice_and_ends_the_membership(talk: Talk, database: Database) -> None:
    await _open(talk, "Miriam", "Owen")
    (sure,) = await talk.press("Miriam", "Remove")
    assert "Remove Owen from the list?" in sure.text
    assert (await _row(database, talk, "Owen")).left_at is None
    message = talk.under("Miriam", "Yes, remove")
    await talk.press_under("Miriam", message, "Yes, remove")
    first = (await _row(database, talk, "Owen")).left_at
    await talk.press_under("Miriam", message, "Yes, remove")
    assert first is not None and (await _row(database, talk, "Owen")).left_at == first
    (refused,) = await talk.write("Owen", "/wishes")
    assert "not on this garden's list" in refused.text


async def test_whoever_is_no_adult_has_their_turns_given_on(talk: Talk, database: Database) -> None:
    await _open(talk, "Miriam", "Owen")
    await talk.press("Miriam", "Not an adult")
    assert not (await _row(database, talk, "Owen")).adult
    await talk.press("Miriam", "Is an adult")
    assert (await _row(database, talk, "Owen")).adult


async def test_who_is_removed_hears_it_kindly_and_their_week_on_call_goes_to_somebody_who_hears_it(
    talk: Talk, database: Database
) -> None:
    (shown,) = await talk.write("Miriam", "/oncall")
    week = next(line for line in shown.text.splitlines() if "Owen" in line)
    await _open(talk, "Miriam", "Owen")
    await talk.press("Miriam", "Remove")
    await talk.press("Miriam", "Yes, remove")
    assert "took you off the list of Teasel Lane" in talk.said_to("Owen")[-1]
    told = next(text for text in talk.said_to("Miriam") if "Owen has left Teasel Lane." in text)
    assert "On call instead, " + week.removeprefix("• W").partition(":")[0] in told.replace("week", "eek")
    fresh = [who for who in ("Tobias", "Kasia", "Deepa", "Leila", "Marcus", "Hana")
             if any("Somebody has left" in text for text in talk.said_to(who))]  # fmt: skip
    assert fresh
    (again,) = await talk.write("Miriam", "/oncall")
    assert "Owen" not in again.text
