"""The hose ban: an organiser's switch, told to the group once, seen by everybody of that garden and nobody else."""

from __future__ import annotations

from tests.support.talk import Talk, labels


async def test_an_organiser_switches_it_on_and_off_and_the_group_hears_of_each_once(street: Talk) -> None:
    (shown,) = await street.write("Miriam", "/hoseban")
    assert shown.text.startswith("There is no hose ban") and labels(shown) == ["There is a ban"]
    message = street.under("Miriam", "There is a ban")
    await street.press("Miriam", message, "There is a ban")
    await street.press("Miriam", message, "There is a ban")
    told = [text for text in street.said_in_group("Miriam") if "hose ban" in text]
    assert len(told) == 1 and "local rules" in told[0]
    (again,) = await street.write("Miriam", "/hoseban")
    assert labels(again) == ["The ban is over"]
    await street.tap("Miriam", "The ban is over")
    assert "you may use hoses" in street.said_in_group("Miriam")[-1]


async def test_members_see_it_and_have_no_switch(street: Talk) -> None:
    (shown,) = await street.write("Owen", "/hoseban")
    assert labels(shown) == []
    await street.forge("Owen", "hose:1:on")
    (after,) = await street.write("Owen", "/hoseban")
    assert after.text.startswith("There is no hose ban")
    assert street.said_in_group("Owen") == []


async def test_a_ban_is_one_gardens_and_a_forged_word_is_nothing(street: Talk) -> None:
    await street.write("Miriam", "/hoseban")
    await street.tap("Miriam", "There is a ban")
    (other,) = await street.write("Petra", "/hoseban")
    assert other.text.startswith("There is no hose ban")
    await street.forge("Petra", "hose:1:off")
    await street.forge("Miriam", "hose:1:perhaps")
    await street.forge("Miriam", "hose:x:off")
    (still,) = await street.write("Miriam", "/hoseban")
    assert still.text.startswith("There is a hose ban")


async def test_it_is_switched_by_words_and_says_until_when_it_is_to_last(street: Talk) -> None:
    await street.write("Miriam", "/hoseban on until 12 June")
    on = street.said_to("Miriam")[-1]
    assert "until Fri 12 Jun" in on and "will not end it by myself" in on
    assert "until Fri 12 Jun" in street.said_in_group("Miriam")[-1]
    (later,) = await street.write("Miriam", "/hoseban on from Friday")
    assert "write it again on Fri 8 May" in later.text
    (no,) = await street.write("Miriam", "/hoseban on until 31 June")
    assert "no such day as 31/6" in no.text
    await street.write("Miriam", "/hoseban off")
    assert "you may use hoses" in street.said_in_group("Miriam")[-1]
    with street.silent("Miriam"):
        await street.write("Owen", "/hoseban on")
    (still,) = await street.write("Owen", "/hoseban")
    assert still.text.startswith("There is no hose ban")
