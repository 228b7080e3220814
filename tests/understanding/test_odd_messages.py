"""What people may write: very much, names like markup, crops that nobody knows, half a command."""

from __future__ import annotations

import pytest
from sqlalchemy import select, update

from bot.storage.models import Garden, Outbox, Person, Place, Planting, Plot
from bot.storage.states import SendState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts

HEART = "<3 & co"


async def test_a_message_of_five_thousand_characters_is_declined_kindly(lane: Talk) -> None:
    (answer,) = await lane.write("Owen", "what should I do this week? " + "please " * 700)
    assert "too long" in answer.text and len(answer.text) < 200
    assert await lane.write("Owen", "x" * 5000, group=True) == [], "in the group it is nobody's business"


async def test_a_command_with_five_thousand_characters_is_answered(lane: Talk) -> None:
    for command in ("/away ", "/calendar ", "/week ", "/start ", "/language ", "/rules "):
        answers = await lane.write("Miriam", command + "7 " * 2500)
        assert answers, command
        assert "went wrong" not in texts(answers), command


async def test_a_thousand_digits_are_no_number(lane: Talk) -> None:
    for words in ("/away " + "9" * 900, "9" * 900, "harvested " + "9" * 300 + " kg of potatoes", "/away 0", "/away 99"):
        answers = await lane.write("Owen", words)
        assert len(answers) == 1 and "went wrong" not in answers[0].text, words[:20]


@pytest.fixture
async def hearts(lane: Talk) -> Talk:
    """Everything that has a name is called as if it were markup."""
    async with lane.stage.app.database.begin() as session:
        await session.execute(update(Person).where(Person.name == "Leila").values(name=HEART))
        await session.execute(update(Person).where(Person.name == "Miriam").values(name="<b>M&amp;</b>"))
        await session.execute(update(Garden).values(name="Teasel <i>& Talk"))
        await session.execute(update(Place).where(Place.name == "Bed 5").values(name="Bed <5> & more"))
        await session.execute(update(Plot).where(Plot.name == "Plot 5").values(name="<u>Plot"))
        await session.execute(update(Planting).where(Planting.crop == "pea").values(variety="<a href=x>", batch="a<b"))
    return lane


async def test_names_like_markup_are_shown_as_they_are_written(hearts: Talk) -> None:
    hearts.weather([calm(), COLD])
    await hearts.look()
    leila = hearts.user("Leila")
    question = hearts.stage.api.said(leila)[-1]
    assert "Earth up: Bed <5> & more" in question.text
    hearts.stage.api.press(leila, question, "I'll do it")
    await hearts.settled()
    assert f"{HEART} will do it." in hearts.standing().text
    await hearts.settled()
    hearts.stage.api.press(leila, hearts.stage.api.said(leila)[-1], "Done")
    await hearts.settled()
    assert f"Done, thank you {HEART}." in hearts.standing().text
    (which,) = await hearts.press("Owen", hearts.standing(), "Not done")
    assert labels(which) == ["Earth up: Bed <5> & more"]


async def test_every_command_lives_with_names_like_markup(hearts: Talk) -> None:
    hearts.weather([calm(), COLD])
    await hearts.look()
    for words in (
        "/week",
        "/out",
        "/weather",
        "/turns",
        "/calendar",
        "/rules",
        "/help",
        "/start",
        "sowed 40 <b>peas & co",
    ):
        for name in ("Leila", "Miriam"):
            answers = await hearts.write(name, words)
            assert answers, words
            assert "went wrong" not in texts(answers), words
    assert not await refused(hearts), "nothing was refused for its form"


async def refused(lane: Talk) -> list[str]:
    async with lane.stage.app.database.begin() as session:
        rows = await session.scalars(select(Outbox).where(Outbox.state == SendState.FAILED))
        return [f"{row.key}: {row.error}" for row in rows]


async def test_a_stranger_called_like_markup_is_welcomed_by_that_name(lane: Talk) -> None:
    lane.stage.api.add_user(77, HEART)
    lane.stage.api.join(77, lane.group_id)
    lane.stage.api.promote(lane.stage.api.bot.id, lane.group_id)
    await lane.settled()
    lane.weather([calm(), COLD])
    await lane.look()
    update_ = lane.stage.api.press(77, lane.standing(), "Why")
    update_["callback_query"]["data"] = "join:1"
    answers = await lane.settled()
    assert f"Welcome, {HEART}!" in texts(answers)
    lane.stage.api.write(77, 77, "/start hello")
    (greeting,) = await lane.settled()
    assert "Teasel Lane" in greeting.text


async def test_an_unknown_crop_is_asked_back_or_said_not_to_be_understood(lane: Talk) -> None:
    for words in ("sowed 12 zorblefruit", "may the zorblefruit go out yet?", "potted on the zorblefruit"):
        answers = await lane.write("Tobias", words)
        assert len(answers) == 1, words
        assert "went wrong" not in answers[0].text


async def test_silence_and_signs_and_other_scripts_are_met_politely(lane: Talk) -> None:
    for words in ("?", "…", "👍", "яблоко", "‮txet desrever", "/", "/nosuchcommand", "/week@gatepost_bot", "\u200b"):
        answers = await lane.write("Owen", words)
        assert len(answers) <= 1 and "went wrong" not in texts(answers), words


@pytest.mark.parametrize("code", ["BmyTIfcMvQ—", "żółw", "\u202e\ufeff", "\ud83d"])
async def test_a_code_that_a_phone_has_changed_is_answered_like_any_wrong_code(lane: Talk, code: str) -> None:
    """Phones turn "--" into a long dash by themselves; half of a pair of surrogates is a letter cut in two."""
    stranger = lane.stage.api.add_user(78, "Imke").id
    lane.stage.api.write(stranger, stranger, f"/start {code}")
    (answer,) = await lane.settled()
    assert "I do not know this code" in answer.text and "went wrong" not in answer.text


async def test_nothing_that_was_planted_is_nothing_to_keep_and_no_trouble(lane: Talk) -> None:
    (answer,) = await lane.write("Miriam", "planted 0 Bed 1")
    assert "went wrong" not in answer.text and "for example" in answer.text


@pytest.mark.parametrize("words", ["0 beds", "/places 0 pots in the yard"])
async def test_none_of_a_thing_is_no_thing_and_the_answer_says_what_to_write(lane: Talk, words: str) -> None:
    (answer,) = await lane.write("Miriam", words)
    assert "went wrong" not in answer.text
    assert words.removeprefix("/places ") in answer.text and "12 lettuces" in answer.text
    (answer,) = await lane.write("Miriam", "/places 0 pots in the yard\nbed 77")
    assert "Bed 77" in answer.text and "0 pots in the yard" in answer.text, "the other line is taken"


async def test_small_talk_in_the_group_is_left_alone(lane: Talk) -> None:
    for words in ("good morning all", "no, the other gate", "thanks, done with the kettle", "see you <3"):
        assert await lane.write("Owen", words, group=True) == [], words
