"""A cry reaches the organisers at once, in the words in which it was written; a plain yes ends the question."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.chat.language.cries import cries, is_home, says_no, sounds_like_a_cry
from bot.chat.wire.world import Message
from bot.i18n import say
from bot.services.tasks import safely_home
from bot.storage.states import AskState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts
from tests.tasks.test_safely_home import asked, yes_from

ENGLISH, POLISH = say("en", "Europe/London"), say("pl", "Europe/Warsaw")
EMERGENCY = "call 112 or your local emergency number first"


async def question(lane: Talk, name: str = "Owen") -> Message:
    """This member is late from the garden, and has just been asked whether they are safely home."""
    await yes_from(lane, name)
    (found,) = asked(await lane.until(5, "21:15", every_min=15))
    return found


def to_miriam(said: list[Message], lane: Talk) -> list[str]:
    return [one.text for one in said if one.chat_id == lane.user("Miriam")]


# -- what the words mean


@pytest.mark.parametrize(
    "text",
    [
        "yes",
        "Yes!",
        "yes, thanks",
        "I'm home",
        "I’m home now",
        "safe",
        "home",
        "Ok",
        "all good",
        "👍",
        "home safe, thank you",
    ],
)
def test_a_plain_yes_in_any_of_its_forms(text: str) -> None:
    assert is_home(ENGLISH, text, asked=True)
    assert not sounds_like_a_cry(ENGLISH, text)


@pytest.mark.parametrize(
    "text", ["jestem w domu", "tak", "Tak, dziękuję", "już w domu", "cała i zdrowa", "w domu", "I'm home"]
)
def test_a_plain_yes_in_polish(text: str) -> None:
    assert is_home(POLISH, text, asked=True)


@pytest.mark.parametrize(
    "text", ["not home", "home? no", "I'm not safe", "yes but my ankle hurts", "no", "nearly home", ""]
)
def test_no_yes(text: str) -> None:
    assert not is_home(ENGLISH, text, asked=True)


def test_a_bare_yes_says_nothing_where_nobody_asked() -> None:
    assert not is_home(ENGLISH, "ok", asked=False) and is_home(ENGLISH, "I'm home", asked=False)


@pytest.mark.parametrize(
    "text",
    [
        "help! I fell", "HELP!! the shed", "I need help", "Help me please", "sos", "I've fallen by the gate",
        "I can't get up", "please send an ambulance", "I’m hurt", "somebody fell off the wall",
    ],
)  # fmt: skip
def test_a_plain_cry_needs_no_question(text: str) -> None:
    assert cries(ENGLISH, text)


@pytest.mark.parametrize(
    "text",
    ["pomocy", "Ratunku!", "pomocy, upadłam", "upadłem i nie mogę wstać", "wezwijcie karetkę", "potrzebuję pomocy"],
)
def test_a_plain_cry_in_polish(text: str) -> None:
    assert cries(POLISH, text)


@pytest.mark.parametrize(
    "text",
    [
        "help", "help!", "/help", "I need help with the tomatoes", "can you help me to water?", "the pot fell over",
        "the frost hurt the beans", "the gate is stuck", "we lost the courgettes", "I fell in love with these peas", "pomoc",
    ],
)  # fmt: skip
def test_what_is_said_of_the_garden_is_no_cry(text: str) -> None:
    assert not cries(ENGLISH, text) and not cries(POLISH, text)


@pytest.mark.parametrize("text", ["help", "hurt", "fell", "stuck", "I am lost", "can't move", "pomoc", "ambulance"])
def test_where_somebody_is_waited_for_a_word_is_enough(text: str) -> None:
    assert sounds_like_a_cry(POLISH, text), "in their own language and in English"


@pytest.mark.parametrize("text", ["no", "not yet", "No!", "on my way"])
def test_a_no_is_a_no(text: str) -> None:
    assert says_no(ENGLISH, text)


# -- what becomes of them


async def test_every_plain_yes_ends_the_question(lane: Talk) -> None:
    await question(lane)
    (said,) = await lane.write("Owen", "yes, I'm home")
    assert said.text == "Good. Thank you, and rest well!"
    assert "Please find out" not in texts(await lane.until(5, "23:45", every_min=15))


async def test_a_yes_in_polish_ends_it_too(lane: Talk) -> None:
    await yes_from(lane, "Kasia")
    await lane.until(5, "21:15", every_min=15)
    await lane.write("Kasia", "jestem w domu")
    assert "Please find out" not in texts(await lane.until(5, "23:45", every_min=15))


async def test_a_cry_while_the_question_is_open_reaches_organisers_with_its_words_and_the_place(lane: Talk) -> None:
    await question(lane)
    said = await lane.write("Owen", "help! <b>I fell</b>")
    (told,) = to_miriam(said, lane)
    assert "Owen needs help now." in told
    assert "They wrote: “help! <b>I fell</b>”" in told.replace("\u2060", ""), "as it was written, with nothing to tap"
    assert "They had a job at " in told
    (answer,) = [one for one in said if one.chat_id == lane.user("Owen")]
    assert "I have just told the organisers" in answer.text and EMERGENCY in answer.text
    assert labels(answer) == ["I'm safely home"]
    assert "Please find out" not in texts(await lane.until(5, "23:45", every_min=15)), "no second alarm for the same"
    assert "Owen is safely home." in texts(await lane.press("Owen", answer, "I'm safely home"))


async def test_a_single_word_for_help_is_a_cry_then_and_the_list_of_commands_otherwise(lane: Talk) -> None:
    (listed,) = await lane.write("Owen", "help!")
    assert "/week" in listed.text and "In danger? Call 112 or your local emergency number." in listed.text
    await question(lane)
    assert len(to_miriam(await lane.write("Owen", "help!"), lane)) == 1


async def test_whatever_is_not_understood_goes_to_organisers_while_the_question_is_open(lane: Talk) -> None:
    await question(lane)
    said = await lane.write("Owen", "the bus is gone and it is dark")
    (told,) = to_miriam(said, lane)
    assert "Owen has answered, but I can't tell if all is well." in told
    assert "They wrote: “the bus is gone and it is dark”" in told
    assert EMERGENCY in texts(said)
    assert to_miriam(await lane.write("Owen", "no"), lane), "a no is no word about a turn then"


async def test_long_words_are_cut_and_a_voice_message_is_told_of(lane: Talk) -> None:
    await question(lane)
    (told,) = to_miriam(await lane.write("Owen", "brambles " * 300), lane)
    assert len(told) < 700
    owen = lane.user("Owen")
    voice = {"file_id": "v", "file_unique_id": "v", "duration": 3}
    lane.stage.api.write(owen, owen, "", also={"voice": voice})
    said = await lane.settled()
    assert "It was not a text" in texts(said)


async def test_help_by_an_old_button_is_heard_long_after(lane: Talk) -> None:
    found = await question(lane)
    await lane.press("Owen", found, "I'm safely home")
    lane.stage.clock.at += timedelta(hours=9)
    said = await lane.press("Owen", found, "I need help")
    assert "Owen needs help now." in texts(said) and EMERGENCY in texts(said)


async def test_a_cry_after_they_were_home_is_still_a_cry(lane: Talk) -> None:
    found = await question(lane)
    await lane.press("Owen", found, "I'm safely home")
    assert to_miriam(await lane.write("Owen", "I fell"), lane)


async def test_and_what_they_say_of_the_garden_then_is_not(lane: Talk) -> None:
    found = await question(lane)
    await lane.press("Owen", found, "I'm safely home")
    assert not to_miriam(await lane.write("Owen", "the frost broke the bean canes"), lane)


async def test_a_plain_cry_without_any_question_reaches_organisers_and_what_is_written_after_it_too(lane: Talk) -> None:
    said = await lane.write("Owen", "help! I fell")
    (told,) = to_miriam(said, lane)
    assert "Teasel Lane" in told and "“help! I fell”" in told
    assert EMERGENCY in texts(said)
    (more,) = to_miriam(await lane.write("Owen", "behind the greenhouse"), lane)
    assert "behind the greenhouse" in more
    said = await lane.write("Owen", "all good")
    assert "Owen is safely home." in texts(said)
    assert not to_miriam(await lane.write("Owen", "behind the greenhouse"), lane)


async def asks_of(lane: Talk, name: str) -> list[AskState]:
    member_id = await lane.member(name)
    return [ask.state for _, asks in await lane.duties() for ask in asks if ask.member_id == member_id]


async def test_whoever_cries_is_asked_for_nothing_until_they_are_well(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.write("Leila", "I hurt my back so no")
    said = await lane.until(4, "15:30", every_min=15)
    assert not await asks_of(lane, "Leila"), "who is asked first otherwise"
    assert "Can you help" in texts(said), "others are"
    await lane.write("Leila", "all good")
    async with lane.stage.app.database.begin() as session:
        assert not await safely_home.crying(session, lane.stage.clock.at)


async def test_the_answer_of_whoever_cries_is_not_waited_for(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    assert AskState.ASKED in await asks_of(lane, "Leila")
    await lane.write("Leila", "help! I fell")
    said = await lane.until(4, "15:30", every_min=15)
    states = await asks_of(lane, "Leila")
    assert states and AskState.ASKED not in states
    assert "You have not answered yet" not in texts(one for one in said if one.chat_id == lane.user("Leila"))


async def test_a_yes_of_whoever_cries_is_the_organisers_to_settle(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    assert to_miriam(await lane.write("Leila", "help! I fell"), lane)
    await lane.look()
    assert AskState.ACCEPTED in await asks_of(lane, "Leila")


async def test_a_cry_in_the_group_is_heard_as_well(lane: Talk) -> None:
    said = await lane.write("Owen", "help! Leila fell off the wall", group=True)
    assert to_miriam(said, lane)
    assert [one.text for one in said if one.chat_id == lane.group_id and EMERGENCY in one.text]


async def test_talk_in_the_group_is_nobodys_alarm(lane: Talk) -> None:
    await question(lane)
    assert not await lane.write("Owen", "see you all tomorrow", group=True)


async def test_whoever_is_on_a_job_may_have_meant_one_more_person(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(5, "15:00", every_min=120)
    await lane.press("Owen", lane.standing(), "I'll do it")
    said = await lane.write("Owen", "I need help")
    assert to_miriam(said, lane), "in doubt it is a cry"
    (answer,) = [one for one in said if one.chat_id == lane.user("Owen")]
    assert labels(answer) == ["I'm safely home", "One more person"]
    await lane.press("Owen", answer, "One more person")
    assert "Owen needs one more person by" in texts(lane.group())


async def test_the_two_buttons_read_alone(lane: Talk) -> None:
    found = await question(lane)
    assert labels(found) == ["I'm safely home", "I need help"]
    assert not any("hand" in key for one in lane.private("Owen") for key in labels(one))


async def test_an_organiser_alone_who_cries_is_heard_by_the_group(lane: Talk) -> None:
    said = await lane.write("Miriam", "help! I fell")
    assert "Miriam needs help now." in texts([one for one in said if one.chat_id == lane.group_id])
    assert "I have just told the group" in texts(said)


async def test_a_stranger_who_cries_is_told_whom_to_call(lane: Talk) -> None:
    user = 424242
    lane.stage.api.add_user(user, "Sam")
    lane.stage.api.write(user, user, "help! I fell")
    said = await lane.settled()
    assert EMERGENCY in texts(said) and "I can't reach anybody for you" in texts(said)
