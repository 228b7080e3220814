"""Who holds which key: members see it, organisers move it, the rota's flag follows, another garden hears nothing."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from bot.storage.models import Key, KeyMove, Member
from bot.storage.session import Database
from bot.storage.states import KeyState
from tests.support.talk import Talk, labels


async def _row(two_gardens: Database, street: Talk, who: str) -> Member:
    async with two_gardens.begin() as session:
        return await street.row_of(session, who)


async def _keys(two_gardens: Database) -> list[Key]:
    async with two_gardens.begin() as session:
        return list(await session.scalars(select(Key).order_by(Key.name)))


async def test_holders_of_the_list_have_a_key_each_and_members_see_it_in_private(street: Talk) -> None:
    (seen,) = await street.write("Owen", "/keys", group=True)
    assert seen.chat_id == street.user("Owen")
    assert "• Key 1: Miriam has it." in seen.text and "• Key 2: Deepa has it." in seen.text
    assert labels(seen) == [], "only organisers move keys"


async def test_a_key_handed_over_moves_the_flag_that_the_rota_reads(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/keys")
    await street.tap("Miriam", "Key 2")
    await street.tap("Miriam", "Hand over the key")
    message = street.under("Miriam", "Owen")
    (card,) = await street.press("Miriam", message, "Owen")
    assert "Key 2: Owen has it." in card.text and "handed to Owen" in card.text
    await street.press("Miriam", message, "Owen")
    assert (await _row(two_gardens, street, "Owen")).has_key
    assert not (await _row(two_gardens, street, "Deepa")).has_key
    async with two_gardens.begin() as session:
        moves = (await session.scalars(select(KeyMove))).all()
    assert len(moves) == 1, "pressed twice it moved once"


@pytest.mark.parametrize(
    ("button", "state"), [("The key is lost", KeyState.LOST), ("It is a spare key", KeyState.SPARE)]
)
async def test_a_key_that_is_with_nobody_makes_nobody_a_key_holder(
    street: Talk, two_gardens: Database, button: str, state: KeyState
) -> None:
    await street.write("Miriam", "/keys")
    await street.tap("Miriam", "Key 2")
    await street.tap("Miriam", button)
    key = (await _keys(two_gardens))[1]
    assert (key.state, key.holder_member_id) == (state, None)
    assert not (await _row(two_gardens, street, "Deepa")).has_key


async def test_whoever_holds_two_keys_and_gives_one_back_is_still_a_key_holder(
    street: Talk, two_gardens: Database
) -> None:
    await street.write("Miriam", "/keys")
    await street.tap("Miriam", "Key 2")
    await street.tap("Miriam", "Lend the key")
    await street.tap("Miriam", "Miriam")
    await street.tap("Miriam", "It is a spare key")
    assert (await _row(two_gardens, street, "Miriam")).has_key


async def test_a_new_key_named_like_a_place_is_the_key_of_that_place_and_comes_once(
    street: Talk, two_gardens: Database
) -> None:
    await street.write("Miriam", "/keys new Tunnel")
    (twice,) = await street.write("Miriam", "/keys new tunnel")
    assert twice.text.startswith("There is already a key with that name.")
    new = [key for key in await _keys(two_gardens) if key.name == "Tunnel"]
    assert len(new) == 1 and new[0].place_id is not None and new[0].state is KeyState.SPARE


async def test_markup_in_a_name_is_only_text(street: Talk) -> None:
    (listed,) = await street.write("Miriam", "/keys new <b>Shed & co")
    assert "Key <b>Shed & co: spare." in listed.text


async def test_members_and_other_gardens_move_no_keys(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/keys")
    key_id = (await _keys(two_gardens))[0].id
    for who in ("Owen", "Petra", "Ivo"):
        await street.write(who, "/keys")
        await street.forge(who, f"key:{key_id}:lost")
        await street.forge(who, f"key:{key_id}:card")
        assert not any("Miriam holds it" in text for text in street.said_to(who) if who != "Owen")
    (refused,) = await street.write("Owen", "/keys new Gate")
    assert refused.text == "Please ask one of the organisers to do that."
    assert [key.state for key in await _keys(two_gardens)] == [KeyState.HELD, KeyState.HELD]


async def test_a_key_goes_to_an_adult_of_this_garden_only(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/keys")
    key_id = (await _keys(two_gardens))[0].id
    await street.tap("Miriam", "Key 1")
    (asked,) = await street.tap("Miriam", "Hand over the key")
    assert "Robin" not in labels(asked) and "Ivo" not in labels(asked)
    for who in ("Robin", "Ivo"):
        await street.forge("Miriam", f"key:{key_id}:held:{(await _row(two_gardens, street, who)).id}")
        assert not (await _row(two_gardens, street, who)).has_key


async def test_a_key_with_somebody_who_has_left_is_asked_back(street: Talk) -> None:
    await street.write("Miriam", "/members")
    await street.tap("Miriam", "Deepa")
    await street.tap("Miriam", "Remove")
    await street.write("Miriam", "/keys")
    await street.write("Miriam", "/members")
    await street.tap("Miriam", "Deepa")
    await street.tap("Miriam", "Remove")
    await street.tap("Miriam", "Yes, remove")
    (listed,) = await street.write("Miriam", "/keys")
    assert "Key 2: with Deepa, who has left. Please get it back." in listed.text
