"""A warning is at most twelve lines of forty letters, the rest one tap away; one message a person for one evening.

The measure is this project's own promise: one screen of a phone. Lines are counted by Python's `textwrap`.
"""

from __future__ import annotations

import textwrap

import pytest

from bot.chat.wire.world import Message
from bot.demo.weather import Day
from bot.storage.models import Garden
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts

COLDER: Day = (-4.0, 9.0, 0.0, 1.0, 3.0, 0.0)
#: A frost at dawn, and a gale on the same afternoon: invented.
FROST_THEN_GALE: Day = (-1.0, 12.0, 5.0, 3.0, 27.0, 0.0)


def rows(message: Message) -> int:
    return sum(max(1, len(textwrap.wrap(line, 40))) for line in message.text.splitlines())


def asks(lane: Talk, said: list[Message], name: str) -> list[Message]:
    return [one for one in said if one.chat_id == lane.user(name) and "I'll do it" in labels(one)]


@pytest.mark.parametrize("language", ["en", "pl"])
async def test_every_message_of_a_cold_night_fits_a_phone(lane: Talk, language: str) -> None:
    async with lane.stage.app.database.begin() as session:
        (await session.get_one(Garden, next(iter(lane.stage.groups)))).language = language
    lane.weather([calm(), calm(), COLDER])
    said = await lane.until(6, "12:00")
    warned = [one for one in said if one.keyboard and one.kind != "photo"]
    assert len(warned) > 6
    for message in warned:
        assert rows(message) <= 12, message.text


async def test_what_is_at_risk_by_when_who_and_the_cautions_stand_in_the_call(lane: Talk) -> None:
    lane.weather([calm(), COLDER])
    await lane.until(4, "14:00")
    call = lane.standing()
    assert rows(call) <= 12
    for words in (
        "Tonight:",
        "We need this done by",
        "Cover:",
        "Bring in:",
        "?",
        "25\N{NO-BREAK SPACE}kg",
        "Carbon monoxide",
    ):
        assert words in call.text, words
    assert {"Show all", "I'll do it", "I can't", "Done", "Why"} <= set(labels(call))


async def test_show_all_answers_in_full_privately(lane: Talk) -> None:
    lane.weather([calm(), COLDER])
    await lane.until(4, "14:00")
    said = await lane.press("Robin", lane.standing(), "Show all")
    assert [one.chat_id for one in said] == [lane.user("Robin")] and rows(said[0]) <= 12
    everything = await lane.whole()
    for words in (
        "Courgettes",
        "Maincrop potatoes",
        "Pot 5",
        "About 13\N{NO-BREAK SPACE}kg",
        "2 people",
        "with double fleece",
        "RCD",
    ):
        assert words in everything, words


async def test_somebody_who_has_not_started_the_bot_is_told_how(lane: Talk) -> None:
    lane.weather([calm(), COLDER])
    await lane.until(4, "14:00")
    lane.stage.api.block(lane.user("Marcus"))
    await lane.settled()
    said = await lane.press("Marcus", lane.standing(), "Show all")
    (told,) = [one for one in said if one.chat_id == lane.group_id]
    assert "Marcus" in told.text and "Start" in told.text


async def test_the_private_ask_keeps_its_cautions_weights_and_places(lane: Talk) -> None:
    lane.weather([calm(), COLDER])
    said = await lane.until(4, "11:30")
    asked = [one for one in said if "Can you help" in one.text]
    assert asked
    for one in asked:
        assert rows(one) <= 12, one.text
        if "Bring in" in one.text:
            assert (
                ", into " in one.text and "25\N{NO-BREAK SPACE}kg alone" in one.text and "2 people" in one.text
            ) or "3 people" in one.text


async def test_a_frost_and_a_gale_of_one_look_are_one_ask(lane: Talk) -> None:
    """Both come within the hours in which people are asked by name."""
    lane.weather([calm(), FROST_THEN_GALE])
    said = await lane.until(4, "22:00")
    both = [
        one for one in said if one.chat_id != lane.group_id and "I'll do it" in labels(one) and "And by" in one.text
    ]
    for name in ("Tobias", "Deepa", "Owen", "Leila", "Marcus", "Hana", "Miriam"):
        moments = [one.at for one in asks(lane, said, name)]
        assert len(moments) == len(set(moments)), (name, [one.text for one in asks(lane, said, name)])
    if both:
        name = next(user.first_name for user in lane.stage.people() if user.id == both[0].chat_id)
        taken = await lane.press(name, both[0], "I'll do it")
        assert "Thank you!" in texts(taken)
        mine = {asks[0].task_id for _, asks in await lane.duties() if asks and asks[0].answered_at}
        assert mine


async def test_without_a_group_whoever_is_asked_gets_one_message(lane: Talk) -> None:
    lane.stage.api.leave(lane.stage.api.bot.id, lane.group_id)
    await lane.settled()
    lane.weather([calm(), COLDER])
    said = await lane.until(4, "11:30")
    asked = 0
    for name in ("Tobias", "Deepa", "Owen", "Leila", "Marcus", "Hana"):
        mine = [one for one in said if one.chat_id == lane.user(name) and "Your turn at the garden" not in one.text]
        assert len(mine) == 1, (name, [one.text for one in mine])
        if "Can you help" in mine[0].text:
            asked += 1
            assert mine[0].text.startswith("Tonight:")
            assert rows(mine[0]) <= 12, mine[0].text
    assert asked >= 3


async def test_an_old_button_does_what_its_message_showed_or_says_that_it_is_over(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    said = await lane.until(4, "14:00")
    old = next(one for one in asks(lane, said, "Leila"))
    (question,) = [one for one in await lane.press("Marcus", lane.standing(), "Done") if "All jobs" in labels(one)]
    await lane.press("Marcus", question, "All jobs")
    assert all(duty.state.value == "done" for duty, _ in await lane.duties())
    before = [(duty.id, one.member_id) for duty, all_ in await lane.duties() for one in all_]
    answer = texts(await lane.press("Leila", old, "I'll do it"))
    assert "Your job" not in answer and "Thank you for offering" in answer
    assert before == [(duty.id, one.member_id) for duty, all_ in await lane.duties() for one in all_]
