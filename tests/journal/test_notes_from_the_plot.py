"""What members report in plain words is kept, asked about, and taken back."""

from __future__ import annotations

from tests.support.talk import Talk


async def test_a_note_is_kept_and_undo_brings_the_batch_back_however_often_it_is_pressed(talk: Talk) -> None:
    kept = await talk.said("Tobias", "potted on the runner beans")
    assert "Runner beans" in kept.text
    (undone,) = await talk.press("Tobias", kept, "Undo")
    assert "Taken back" in undone.text
    (again,) = await talk.press("Tobias", kept, "Undo")
    assert "Taken back" not in again.text


async def test_which_beans_is_asked_with_a_button_each_and_the_answer_counts_once(talk: Talk) -> None:
    asked = await talk.said("Tobias", "potted on the beans")
    labels = [key["text"] for row in asked.keyboard for key in row]
    assert any("Runner" in label for label in labels) and any("French" in label for label in labels)
    choice = next(label for label in labels if "Runner" in label)
    (kept,) = await talk.press("Tobias", asked, choice)
    assert "Runner beans" in kept.text
    (late,) = await talk.press("Tobias", asked, choice)
    assert "24 plants" not in late.text


async def test_a_harvest_is_understood_without_a_verb(talk: Talk) -> None:
    kept = await talk.said("Tobias", "3 kg potatoes from pot 1")
    assert "3\u00a0kg" in kept.text and "Pot 1" in kept.text


async def test_polish_is_understood_and_answered(talk: Talk) -> None:
    kept = await talk.said("Kasia", "przesadziłam fasolę wielokwiatową")
    assert "fasola" in kept.text


async def test_small_talk_in_the_group_is_left_alone(talk: Talk) -> None:
    assert await talk.write("Owen", "see you on Sunday, bring 3 kg of patience", group=True) == []


async def test_an_organisers_rule_shows_in_the_list_and_can_be_put_back(talk: Talk) -> None:
    asked = await talk.said("Miriam", "runner beans not out before 25 May here")
    assert "25" in asked.text
    listed = await talk.said("Miriam", "/rules")
    assert "05-25" in listed.text and "Miriam" in listed.text
    (back,) = await talk.press("Miriam", listed, "Reset rule 1")
    assert "usual rule" in back.text
    assert "05-25" not in (await talk.said("Miriam", "/rules")).text


async def test_a_member_can_not_change_the_gardens_rules(talk: Talk) -> None:
    await talk.write("Owen", "runner beans not out before 25 May here")
    assert "05-25" not in (await talk.said("Miriam", "/rules")).text
