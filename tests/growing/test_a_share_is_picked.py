"""A shared harvest says the household's share, counts down what is left, and names nobody who found it empty."""

from __future__ import annotations

from bot.chat.wire.world import Message
from tests.support.paged import pages
from tests.support.talk import Talk


async def _lettuces(talk: Talk, who: str) -> Message | None:
    """The job of the shared lettuces in Pot 5, opened; None when it is not on their list. 6 plants, 6 households."""
    for shown in await pages(talk, who, "/week"):
        for line in shown.text.splitlines():
            if "Lettuces (Pot 5)" in line:
                (job,) = await talk.press(who, shown, f"Job {line.partition('.')[0]}")
                return job
    return None


async def test_the_share_is_said_and_picking_it_counts_down_for_the_others(talk: Talk) -> None:
    job = await _lettuces(talk, "Marcus")
    assert job is not None and "Your household's share: 1 plant of 6. 6 are left." in job.text
    (kept,) = await talk.press("Marcus", job, "I picked my share")
    assert "Harvested: Lettuces (Pot 5)" in kept.text
    (late,) = await talk.press("Marcus", job, "I picked my share")
    assert "no longer on your list" in late.text
    owens = await _lettuces(talk, "Owen")
    assert owens is not None and "5 are left" in owens.text
    await talk.press("Marcus", kept, "Undo")
    again = await _lettuces(talk, "Owen")
    assert again is not None and "6 are left" in again.text


async def test_a_note_in_kilograms_counts_too(talk: Talk) -> None:
    await talk.write("Owen", "0.6 kg lettuces from pot 5")  # two heads of 0.3 kg, the crop rule's fair yield
    assert await _lettuces(talk, "Owen") is None
    job = await _lettuces(talk, "Marcus")
    assert job is not None and "4 are left" in job.text


async def test_plot_neighbours_are_one_household(talk: Talk) -> None:
    job = await _lettuces(talk, "Tobias")
    assert job is not None
    await talk.press("Tobias", job, "I picked my share")
    assert await _lettuces(talk, "Miriam") is None


async def test_already_picked_is_told_to_organisers_once_and_names_nobody(talk: Talk) -> None:
    job, other = await _lettuces(talk, "Marcus"), await _lettuces(talk, "Owen")
    assert job is not None and other is not None
    said = await talk.press("Marcus", job, "It is picked already")
    miriam = talk.stage.user("Miriam")
    (told,) = [one for one in said if one.chat_id == miriam]
    assert "Lettuces (Pot 5)" in told.text and "Marcus" not in told.text
    assert await _lettuces(talk, "Owen") is None, "nobody else goes for nothing"
    assert not [one for one in await talk.press("Owen", other, "It is picked already") if one.chat_id == miriam]


async def test_with_more_households_than_heads_the_share_is_a_weight_that_can_be_read(talk: Talk) -> None:
    await talk.write(
        "Miriam", "/members add Edith"
    )  # a seventh household; six heads of 0.3 kg are 1.8 kg, 0.26 kg each
    job = await _lettuces(talk, "Marcus")
    assert (
        job is not None and "Your household's share: about 0.3\u00a0kg of 1.8\u00a0kg. 1.8\u00a0kg are left" in job.text
    )
    (kept,) = await talk.press("Marcus", job, "I picked my share")
    assert "0.26\u00a0kg" in kept.text
