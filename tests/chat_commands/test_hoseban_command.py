"""The hose ban: an organiser's switch, told to the group once, seen by everybody of that garden and nobody else."""

from __future__ import annotations

from tests.chat_commands.dialogue import Talk, labels


async def test_an_organiser_switches_it_on_and_off_and_the_group_hears_of_each_once(talk: Talk) -> None:
    (shown,) = await talk.write("Miriam", "/hoseban")
    assert shown.text.startswith("There is no hose ban") and labels(shown) == ["There is a ban"]
    message = talk.under("Miriam", "There is a ban")
    await talk.press_under("Miriam", message, "There is a ban")
    await talk.press_under("Miriam", message, "There is a ban")
    told = [text for text in talk.said_in_group("Miriam") if "hose ban" in text]
    assert len(told) == 1 and "local rules" in told[0]
    (again,) = await talk.write("Miriam", "/hoseban")
    assert labels(again) == ["The ban is over"]
    await talk.press("Miriam", "The ban is over")
    assert "you may use hoses" in talk.said_in_group("Miriam")[-1]


async def test_members_see_it_and_have_no_switch(talk: Talk) -> None:
    (shown,) = await talk.write("Owen", "/hoseban")
    assert labels(shown) == []
    await talk.forge("Owen", "hose:1:on")
    (after,) = await talk.write("Owen", "/hoseban")
    assert after.text.startswith("There is no hose ban")
    assert talk.said_in_group("Owen") == []


async def test_a_ban_is_one_gardens_and_a_forged_word_is_nothing(talk: Talk) -> None:
    await talk.write("Miriam", "/hoseban")
    await talk.press("Miriam", "There is a ban")
    (other,) = await talk.write("Petra", "/hoseban")
    assert other.text.startswith("There is no hose ban")
    await talk.forge("Petra", "hose:1:off")
    await talk.forge("Miriam", "hose:1:perhaps")
    await talk.forge("Miriam", "hose:x:off")
    (still,) = await talk.write("Miriam", "/hoseban")
    assert still.text.startswith("There is a hose ban")


async def test_it_is_switched_by_words_and_says_until_when_it_is_to_last(talk: Talk) -> None:
    await talk.write("Miriam", "/hoseban on until 12 June")
    on = talk.said_to("Miriam")[-1]
    assert "until Fri 12 Jun" in on and "will not end it by myself" in on
    assert "until Fri 12 Jun" in talk.said_in_group("Miriam")[-1]
    (later,) = await talk.write("Miriam", "/hoseban on from Friday")
    assert "write it again on Fri 8 May" in later.text
    (no,) = await talk.write("Miriam", "/hoseban on until 31 June")
    assert "no such day as 31/6" in no.text
    await talk.write("Miriam", "/hoseban off")
    assert "you may use hoses" in talk.said_in_group("Miriam")[-1]
    with talk.silent("Miriam"):
        await talk.write("Owen", "/hoseban on")
    (still,) = await talk.write("Owen", "/hoseban")
    assert still.text.startswith("There is no hose ban")
