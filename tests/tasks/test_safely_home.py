"""A late turn asks "safely home?", and silence goes to an organiser (the garden's safety rules, docs/rota.md)."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.wire.world import Message
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts


async def yes_from(lane: Talk, name: str) -> None:
    """A cold night on Tuesday, for whose duties this member says yes by hand; sunset is at about 20:38."""
    lane.weather([calm(), calm(), COLD])
    await lane.until(5, "15:00", every_min=120)
    await lane.press(name, lane.standing(), "I'll do it")


async def done(lane: Talk, name: str) -> None:
    """They write that it is done, the whole of it where several were wanted."""
    (answer,) = await lane.write(name, "done")
    if "All of this job" in labels(answer):
        await lane.press(name, answer, "All of this job")


def asked(said: Sequence[Message]) -> list[Message]:
    return [message for message in said if message.text.startswith("Are you safely home?")]


async def test_a_yes_that_is_late_is_asked_once_and_an_answer_ends_it(lane: Talk) -> None:
    await yes_from(lane, "Owen")
    assert not asked(await lane.until(5, "20:45", every_min=15)), "most are on their way"
    (question,) = asked(await lane.until(5, "21:15", every_min=15))
    assert question.chat_id == lane.user("Owen") and labels(question) == ["I'm safely home", "I need help"]
    (said,) = await lane.press("Owen", question, "I'm safely home")
    assert said.text == "Good. Thank you, and rest well!"
    assert "Please find out" not in texts(await lane.until(5, "23:45", every_min=15))
    assert not asked(lane.group())


async def test_silence_goes_to_an_organiser_once_and_so_does_the_answer_after_it(lane: Talk) -> None:
    await yes_from(lane, "Owen")
    (question,) = asked(await lane.until(5, "21:15", every_min=15))
    await lane.until(5, "23:45", every_min=15)
    told = [
        message for message in lane.private("Miriam") if "Please find out whether Owen is safely home." in message.text
    ]
    assert len(told) == 1 and "After dark, go with two people" in told[0].text
    said = await lane.press("Owen", question, "I'm safely home")
    assert "Owen is safely home." in texts(said)
    assert "Owen is safely home." not in texts(await lane.press("Owen", question, "I'm safely home"))


async def test_done_in_time_asks_nothing_and_done_late_does(lane: Talk) -> None:
    await yes_from(lane, "Owen")
    await done(lane, "Owen")
    assert not asked(await lane.until(5, "22:00", every_min=30))


async def test_who_says_that_they_are_home_before_the_question_is_thanked_and_not_asked(lane: Talk) -> None:
    await yes_from(lane, "Owen")
    assert "rest well" not in texts(await lane.write("Owen", "I'm home")), "there is something to go out for yet"
    await lane.until(5, "20:45", every_min=15)
    (said,) = await lane.write("Owen", "home")
    assert said.text == "Good. Thank you, and rest well!"
    assert not asked(await lane.until(5, "22:00", every_min=15))
    assert "rest well" not in texts(await lane.write("Tobias", "home")), "who was on nothing has not come from it"


async def test_done_late_is_thanked_for_and_asked_about(lane: Talk) -> None:
    await yes_from(lane, "Owen")
    await lane.until(5, "20:50", every_min=10)
    await done(lane, "Owen")
    (question,) = asked(await lane.look())
    assert "Thank you for" in question.text


async def test_a_done_after_the_question_is_a_sign_of_life(lane: Talk) -> None:
    await yes_from(lane, "Owen")
    assert asked(await lane.until(5, "21:15", every_min=15))
    lane.stage.clock.at = lane.stage.clock.at.replace(minute=25)
    await lane.write("Owen", "done")
    assert "Please find out" not in texts(await lane.until(5, "23:45", every_min=15))


async def test_a_done_after_organisers_were_told_of_the_silence_reaches_them(lane: Talk) -> None:
    await yes_from(lane, "Owen")
    await lane.until(5, "23:45", every_min=15)
    said = await lane.write("Owen", "done")
    assert "Owen has just told me that the job is done." in texts(said)


async def test_whoever_needs_help_is_rung_by_an_organiser(lane: Talk) -> None:
    await yes_from(lane, "Owen")
    (question,) = asked(await lane.until(5, "21:15", every_min=15))
    said = await lane.press("Owen", question, "I need help")
    assert "Owen needs help now." in texts(said) and "call 112 or your local emergency number first" in texts(said)
    assert "needs help now" not in texts(await lane.press("Owen", question, "I need help")), "organisers hear it once"


async def test_a_lone_organisers_silence_goes_to_the_group_and_nobody_else_may_answer(lane: Talk) -> None:
    await yes_from(lane, "Miriam")
    (question,) = asked(await lane.until(5, "21:15", every_min=15))
    said = await lane.press("Owen", question, "I'm safely home")
    assert "for somebody else" in texts(said)
    await lane.until(5, "22:30", every_min=15)
    assert "Please find out whether Miriam is safely home." in texts(lane.group())
