"""What members write while they are asked for something, told as stories: not every word is an answer.

What is expected was written down before it was played.
"""

from __future__ import annotations

import pytest
from sqlalchemy import select

from bot.core.warnings.hazards import TaskKind
from bot.storage.models import Entry, Place
from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.talk import ADULTS, COLD, Talk, labels, texts


@pytest.fixture
async def asked(lane: Talk) -> Talk:
    """A frost is called: Tobias is asked to bring in three pots."""
    lane.weather([calm(), COLD])
    await lane.look()
    assert "Bring in: Pot 1, Pot 2 and Pot 3" in texts(lane.private("Tobias"))
    return lane


async def state(lane: Talk, name: str) -> set[AskState]:
    member = await lane.member(name)
    return {ask.state for _, asks in await lane.duties() for ask in asks if ask.member_id == member}


@pytest.mark.parametrize("text", ["tunnel door is broken wind got it", "the greenhouse door blew off", "pot 3 cracked"])
async def test_what_is_broken_goes_to_the_organisers_and_is_no_yes(asked: Talk, text: str) -> None:
    said = await asked.write("Tobias", text)
    assert "something is broken" in texts(asked.private("Miriam")), "an organiser"
    assert "Thank you. The organisers have it." in texts(said)
    assert await state(asked, "Tobias") == {AskState.ASKED}


async def test_a_yes_with_something_broken_is_both(asked: Talk) -> None:
    await asked.write("Tobias", "yes but the tunnel door is broken")
    assert "something is broken" in texts(asked.private("Miriam"))
    assert await state(asked, "Tobias") == {AskState.ACCEPTED}


async def test_no_lifting_is_a_no_to_what_is_carried_and_is_offered_for_longer(asked: Talk) -> None:
    *_, offered = await asked.write("Tobias", "my back is bad no lifting this week")
    assert await state(asked, "Tobias") == {AskState.PASSED}
    assert "No heavy jobs for you until Sun 10 May?" in offered.text and labels(offered)[0] == "Nothing heavy"


async def test_no_lifting_leaves_what_is_not_carried_open(asked: Talk) -> None:
    *_, offered = await asked.write("Leila", "no lifting for me this week")
    assert "No heavy jobs for you" in offered.text
    assert await state(asked, "Leila") == {AskState.ASKED}, "earthing up is no lifting"


async def test_no_and_a_number_puts_right_and_refuses_nothing(asked: Talk) -> None:
    await asked.write("Leila", "planted out 6 tomatoes in bed 5")
    await asked.write("Leila", "no 8")
    assert await state(asked, "Leila") == {AskState.ASKED}
    await asked.write("Tobias", "no 3 rows")
    assert await state(asked, "Tobias") == {AskState.ASKED}, "nothing was recorded that it could be about"


@pytest.mark.parametrize("text", ["who's bringing in the pots?", "is anyone doing the pots", "who does pot 4?"])
async def test_who_does_it_is_answered_with_who_was_asked(asked: Talk, text: str) -> None:
    (said,) = await asked.write("Leila", text)
    assert "Bring in: Pot 4" in said.text and "Marcus" in said.text, "of those who are asked for Pot 4"
    assert "On call" not in said.text


async def test_who_does_what_nobody_was_asked_for(asked: Talk) -> None:
    first, *_ = await asked.write("Leila", "who is doing bed 1?")
    assert first.text == "I have asked nobody for anything there."


async def test_brought_the_pots_in_is_about_those_that_they_were_asked_for(asked: Talk) -> None:
    said = texts(await asked.write("Tobias", "brought the pots in"))
    assert all(f"Brought in: Pot {n}, today." in said for n in (1, 2, 3)) and "Pot 4" not in said


async def test_of_whoever_was_asked_for_none_it_is_asked_which_and_all_are_an_answer(asked: Talk) -> None:
    (question,) = await asked.write("Leila", "watered the pots")
    assert "In which place?" in question.text and "All of them" in labels(question)
    said = texts(await asked.write("Leila", "all"))
    assert all(f"Watered: Pot {n}, today." in said for n in range(1, 6))
    await asked.write("Leila", "watered the pots")
    said = texts(await asked.write("Leila", "pots 1 and 2"))
    assert "Watered: Pot 2, today." in said and "Pot 3" not in said
    async with asked.stage.app.database.begin() as session:
        assert await session.get(Entry, 7) is not None and await session.get(Entry, 8) is None


async def test_when_it_is_fed_is_answered_in_a_line(asked: Talk) -> None:
    (said,) = await asked.write("Leila", "when do i feed the tomatoes")
    assert said.text.splitlines() == ["Tomatoes", "Feed every week."]
    assert "Care and pests" in labels(said)


@pytest.mark.parametrize(
    "text",
    [
        "pots 1 and 2 are in but 3 is too heavy for us",
        "brought in pot 1 and pot 2, couldn't shift pot 3",
    ],
)
async def test_what_is_left_of_theirs_is_shown_with_its_buttons_after_a_part(asked: Talk, text: str) -> None:
    said = await asked.write("Tobias", text)
    assert "Brought in: Pot 1, today." in texts(said) and "Brought in: Pot 3" not in texts(said)
    assert said[-1].text.startswith("This is still open:") and "Pot 3" in said[-1].text
    assert "I can't" in labels(said[-1]) or "One more person" in labels(said[-1])


async def test_after_all_of_it_nothing_more_is_said(asked: Talk) -> None:
    said = texts(await asked.write("Tobias", "brought the pots in"))
    assert "still open" not in said


async def test_sorry_and_a_number_puts_the_last_record_right_while_something_is_asked(asked: Talk) -> None:
    await asked.write("Tobias", "picked 400 g of strawberries")
    said = texts(await asked.write("Tobias", "sorry 300"))
    assert "300" in said and "not sure" not in said
    assert await state(asked, "Tobias") == {AskState.ASKED}


async def test_who_is_back_is_greeted_and_not_asked_what_it_means(asked: Talk) -> None:
    said = texts(await asked.write("Tobias", "I'm back"))
    assert said.startswith("Good to have you back!") and "not sure" not in said
    assert "This is still open:" in said and "Pot 1" in said, "what they were asked for while they were not looking"
    assert await state(asked, "Tobias") == {AskState.ASKED}


async def test_whether_it_is_safe_to_go_is_answered_with_the_wind(lane: Talk) -> None:
    lane.weather([(7.0, 14.0, 90.0, 11.0, 25.0, 3.0), calm()])
    await lane.look()
    (said,) = await lane.write("Leila", "is it safe to go up now")
    assert said.text.startswith("Do not go out from"), said.text


async def test_no_damage_is_done_to_whoever_was_asked_to_look(lane: Talk) -> None:
    lane.weather([calm(), (7.0, 14.0, 90.0, 11.0, 25.0, 3.0), calm()])
    await lane.look()
    await lane.until(5, "23:00", every_min=120)
    lane.weather([calm()] * 5)
    await lane.until(6, "09:00", every_min=60)
    looked = [
        (duty.id, ask.member_id)
        for duty, asks in await lane.duties()
        for ask in asks
        if duty.kind is TaskKind.LOOK and ask.state is AskState.ASKED
    ]
    task_id, member_id = looked[0]
    (name,) = [one for one in ADULTS if await lane.member(one) == member_id]
    await lane.write(name, "no damage")
    assert [duty.state for duty, _ in await lane.duties() if duty.id == task_id] == [TaskState.DONE]


@pytest.mark.parametrize("text", ["did mine", "ok mine's in", "got mine in"])
async def test_ones_own_that_is_done_is_no_yes(asked: Talk, text: str) -> None:
    said = texts(await asked.write("Tobias", text))
    assert "Is all of it done?" in said and "Mint" not in said, "pots that want three people"


@pytest.mark.parametrize("text", ["who hasnt answered yet", "who still hasn't said yes"])
async def test_who_has_not_answered_is_told_by_the_warning_as_it_stands(asked: Talk, text: str) -> None:
    assert "We need this done by" in texts(await asked.write("Miriam", text))


async def test_what_is_covered_and_inside_is_told_as_people_told_it(asked: Talk) -> None:
    assert "Nothing there is covered" in texts(await asked.write("Leila", "what's still covered?"))
    await asked.write("Tobias", "brought the pots in")
    await asked.write("Kasia", "Bed 2 okryta podwójną agrowłókniną")
    (said,) = await asked.write("Leila", "what's still covered?")
    assert said.text.splitlines() == [
        "Covered now: Bed 2.", "Inside now: Pot 1, Pot 2 and Pot 3.", "That is what people told me."
    ]  # fmt: skip
    (said,) = await asked.write("Leila", "can the pots go back out")
    assert "Please leave as it is until" in said.text


@pytest.mark.parametrize("text", ["i can do the cold frame but not the greenhouse", "yes but only the cold frame"])
async def test_a_yes_to_what_they_were_not_asked_for_is_asked_about(asked: Talk, text: str) -> None:
    said = texts(await asked.write("Tobias", text))
    assert "not sure" in said and "Pot 1" in said
    assert await state(asked, "Tobias") == {AskState.ASKED}


@pytest.mark.parametrize(
    "text",
    [
        "i can do pots 1 and 2 but not pot 3",
        "I can do all of them but not pot 3",
        "yes to pots 1 and 2, not pot 3 though",
    ],
)
async def test_a_yes_that_leaves_one_out_passes_that_on(asked: Talk, text: str) -> None:
    said = texts(await asked.write("Tobias", text))
    assert "I will ask the next person" in said, said
    tobias = await asked.member("Tobias")
    async with asked.stage.app.database.begin() as session:
        names = {place.id: place.name for place in await session.scalars(select(Place))}
    of = {
        names[duty.place_id or 0]: ask.state
        for duty, asks in await asked.duties()
        for ask in asks
        if ask.member_id == tobias
    }
    assert of == {"Pot 1": AskState.ACCEPTED, "Pot 2": AskState.ACCEPTED, "Pot 3": AskState.PASSED}


async def test_a_yes_with_a_denial_of_nothing_is_to_all(asked: Talk) -> None:
    await asked.write("Tobias", "yes i can do the pots, not a problem")
    assert await state(asked, "Tobias") == {AskState.ACCEPTED}


async def test_a_hand_is_asked_for_after_the_yes(asked: Talk) -> None:
    (said,) = await asked.write("Leila", "need someone to help me with bed 5")
    assert said.text.startswith("First tap “I'll do it”. Then you can tap “One more person”.")
    assert await state(asked, "Leila") == {AskState.ASKED}


async def test_a_reminder_beside_an_ask_is_set_and_the_ask_stays_open(asked: Talk) -> None:
    said = texts(await asked.write("Leila", "remind me in half an hour to check bed 5"))
    assert "I remind you: today, 10:30." in said and "it stays open" in said
    assert await state(asked, "Leila") == {AskState.ASKED}


async def test_spuds_earthed_is_about_the_bed_that_they_were_asked_for(asked: Talk) -> None:
    said = texts(await asked.write("Leila", "spuds earthed"))
    assert "Earthed up: Maincrop potatoes (Bed 5), today." in said and "Which" not in said
    earthed = [duty.state for duty, _ in await asked.duties() if duty.kind is TaskKind.EARTH_UP]
    assert earthed == [TaskState.DONE]


async def test_what_somebody_did_elsewhere_is_no_done(asked: Talk) -> None:
    said = texts(await asked.write("Leila", "my father in cork has covered all his already"))
    assert "not sure" in said and await state(asked, "Leila") == {AskState.ASKED}
    assert all(duty.state is not TaskState.DONE for duty, _ in await asked.duties())


async def test_a_yes_that_leaves_out_what_is_too_heavy_is_both(asked: Talk) -> None:
    said = texts(await asked.write("Tobias", "i can do pots 1 and 2 but not pot 3, its too heavy"))
    assert "I will ask the next person" in said and "No heavy jobs for you" in said
    assert await state(asked, "Tobias") == {AskState.ACCEPTED, AskState.PASSED}


async def test_a_hand_wanted_for_a_lift_is_asked_for_and_refuses_nothing(asked: Talk) -> None:
    said = texts(await asked.write("Tobias", "could do with a hand, can't lift on my own"))
    assert "First tap" in said and await state(asked, "Tobias") == {AskState.ASKED}


async def test_brought_back_out_is_no_no(asked: Talk) -> None:
    await asked.write("Tobias", "brought them back out oops")
    assert AskState.PASSED not in await state(asked, "Tobias")
