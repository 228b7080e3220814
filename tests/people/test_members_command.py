"""Organisers care for the list: roles, handing over, adults, removal; a garden always keeps an organiser."""

from __future__ import annotations

import pytest

from bot.core.garden.snapshot import Role
from bot.storage.models import Member
from bot.storage.session import Database
from tests.support.talk import Talk, labels


async def _row(two_gardens: Database, street: Talk, who: str) -> Member:
    async with two_gardens.begin() as session:
        return await street.row_of(session, who)


async def _open(street: Talk, who: str, whom: str) -> None:
    await street.write(who, "/members")
    await street.tap(who, whom)


async def test_the_list_says_roles_who_is_not_adult_and_who_cannot_be_reached(street: Talk) -> None:
    street.stage.api.block(street.user("Owen"))
    await street.stage.settle()
    (listed,) = await street.write("Miriam", "/members")
    assert "• Miriam: organiser" in listed.text
    assert "• Owen: member and I can't write to them yet" in listed.text
    first = listed.text
    (rest,) = await street.press("Miriam", listed, "Show the rest")
    assert "• Robin: member and not adult" in rest.text
    assert "Petra" not in first + rest.text and "Petra" not in labels(rest), "she belongs to another garden"


@pytest.mark.parametrize("who", ["Owen", "Petra"])
async def test_only_organisers_of_this_garden_see_and_change_it(street: Talk, two_gardens: Database, who: str) -> None:
    await _open(street, "Miriam", "Owen")
    data = next(key["callback_data"] for row in street.under("Miriam", "Remove").keyboard for key in row)
    (answer,) = await street.write(who, "/members")
    assert who == "Petra" or answer.text == "Please ask one of the organisers to do that."
    (refused,) = await street.forge(who, data)
    assert refused.text in (
        "Please ask one of the organisers to do that.",
        "That is for members of the garden. Send /start to me privately.",
    )
    assert (await _row(two_gardens, street, "Owen")).role is Role.MEMBER


async def test_there_may_be_several_organisers_and_a_second_tap_changes_nothing_more(
    street: Talk, two_gardens: Database
) -> None:
    await _open(street, "Miriam", "Deepa")
    message = street.under("Miriam", "Make them organiser")
    said = {one.chat_id: one.text for one in await street.press("Miriam", message, "Make them organiser")}
    assert said[street.user("Miriam")].startswith("Done.")
    assert said[street.user("Deepa")].startswith("You are an organiser of Teasel Lane now.")
    (again,) = await street.press("Miriam", message, "Make them organiser")
    assert again.text.startswith("It is like that already.")
    assert (await _row(two_gardens, street, "Deepa")).role is Role.ORGANISER
    await _open(street, "Deepa", "Miriam")
    await street.tap("Deepa", "Make them a member")
    assert (await _row(two_gardens, street, "Miriam")).role is Role.MEMBER


async def test_rights_are_looked_up_at_the_press_not_when_the_button_was_made(
    street: Talk, two_gardens: Database
) -> None:
    await _open(street, "Miriam", "Deepa")
    await street.tap("Miriam", "Hand over my role")
    assert (await _row(two_gardens, street, "Deepa")).role is Role.ORGANISER
    assert (await _row(two_gardens, street, "Miriam")).role is Role.MEMBER
    (refused,) = await street.forge("Miriam", f"who:{(await _row(two_gardens, street, 'Owen')).id}:gone")
    assert refused.text == "Please ask one of the organisers to do that."
    assert (await _row(two_gardens, street, "Owen")).left_at is None


@pytest.mark.parametrize("button", ["Make them a member", "Not an adult", "Remove"])
async def test_the_last_organiser_cannot_go_without_handing_over(
    street: Talk, two_gardens: Database, button: str
) -> None:
    await _open(street, "Miriam", "Miriam")
    (answer,) = await street.tap("Miriam", button)
    if button == "Remove":
        (answer,) = await street.tap("Miriam", "Yes, remove")
    assert answer.text.startswith("A garden needs somebody who looks after it.")
    row = await _row(two_gardens, street, "Miriam")
    assert (row.role, row.adult, row.left_at) == (Role.ORGANISER, True, None)


async def test_an_organiser_is_an_adult_who_can_be_written_to(street: Talk, two_gardens: Database) -> None:
    await _open(street, "Miriam", "Robin")
    (child,) = await street.tap("Miriam", "Make them organiser")
    assert child.text.startswith("The role of organiser is for adults.")
    street.stage.api.block(street.user("Owen"))
    await street.stage.settle()
    await _open(street, "Miriam", "Owen")
    (unreachable,) = await street.tap("Miriam", "Hand over my role")
    assert unreachable.text.startswith("I must be able to write to an organiser.")
    assert (await _row(two_gardens, street, "Miriam")).role is Role.ORGANISER


async def test_removal_is_asked_twice_and_ends_the_membership(street: Talk, two_gardens: Database) -> None:
    await _open(street, "Miriam", "Owen")
    (sure,) = await street.tap("Miriam", "Remove")
    assert "Remove Owen from the list?" in sure.text
    assert (await _row(two_gardens, street, "Owen")).left_at is None
    message = street.under("Miriam", "Yes, remove")
    await street.press("Miriam", message, "Yes, remove")
    first = (await _row(two_gardens, street, "Owen")).left_at
    await street.press("Miriam", message, "Yes, remove")
    assert first is not None and (await _row(two_gardens, street, "Owen")).left_at == first
    (refused,) = await street.write("Owen", "/wishes")
    assert "not on this garden's list" in refused.text


async def test_whoever_is_no_adult_has_their_turns_given_on(street: Talk, two_gardens: Database) -> None:
    await _open(street, "Miriam", "Owen")
    await street.tap("Miriam", "Not an adult")
    assert not (await _row(two_gardens, street, "Owen")).adult
    await street.tap("Miriam", "Is an adult")
    assert (await _row(two_gardens, street, "Owen")).adult


async def test_who_is_removed_hears_it_kindly_and_their_week_on_call_goes_to_somebody_who_hears_it(
    street: Talk, two_gardens: Database
) -> None:
    (shown,) = await street.write("Miriam", "/oncall")
    week = next(line for line in shown.text.splitlines() if "Owen" in line)
    await _open(street, "Miriam", "Owen")
    await street.tap("Miriam", "Remove")
    await street.tap("Miriam", "Yes, remove")
    assert "took you off the list of Teasel Lane" in street.said_to("Owen")[-1]
    told = next(text for text in street.said_to("Miriam") if "Owen has left Teasel Lane." in text)
    assert "On call instead, " + week.removeprefix("• W").partition(":")[0] in told.replace("week", "eek")
    fresh = [who for who in ("Tobias", "Kasia", "Deepa", "Leila", "Marcus", "Hana")
             if any("Somebody has left" in text for text in street.said_to(who))]  # fmt: skip
    assert fresh
    (again,) = await street.write("Miriam", "/oncall")
    assert "Owen" not in again.text
