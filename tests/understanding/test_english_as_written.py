"""English as tired people type it: absences, words for done, and what looks like an answer and is none.

What is expected was written down by hand, the days by the calendar of 2026.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import date

import pytest

from bot.chat.language.line_tokens import Wrong
from bot.chat.language.replies import Reply, reply
from bot.chat.language.tokens import clear
from bot.chat.people.away_days import guessed, read_days
from bot.core.warnings.hazards import TaskKind
from bot.i18n import say
from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts

ENGLISH = say("en", "Europe/London")
#: A Tuesday.
TODAY = date(2026, 5, 5)


@pytest.mark.parametrize(("text", "first", "last"), [
    ("away until june 5", (5, 5), (6, 5)), ("not able for anything til next week", (5, 5), (5, 10)),
    ("away til the weekend", (5, 5), (5, 8)), ("away until the end of next week", (5, 5), (5, 17)),
    ("away from tomorrow till the end of next week", (5, 6), (5, 17)), ("busy all week", (5, 5), (5, 10)),
    ("off this week or next", (5, 5), (5, 17)), ("can't do anything 3rd-9th", (5, 5), (5, 9)),
    ("away 20th-25th", (5, 20), (5, 25)),
    ("gone for the wkend 16/17", (5, 16), (5, 17)), ("away this wk from thurs", (5, 7), (5, 10)),
    ("away from 22nd for the long weekend", (5, 22), (5, 24)), ("away fri and the weekend", (5, 8), (5, 10)),
    ("out sat but here sun", (5, 9), (5, 9)), ("can't do this evening but free tomorrow", (5, 5), (5, 5)),
    ("traveling May 21 thru May 26", (5, 21), (5, 26)), ("off till at least friday", (5, 5), (5, 8)),
    ("out of town this weekend through tuesday", (5, 9), (5, 12)), ("off to the coast sat, home mon", (5, 9), (5, 10)),
    ("we leave 6am friday home late sunday", (5, 8), (5, 10)), ("away from 6pm fri to sun", (5, 8), (5, 10)),
    ("away fri pm - mon am", (5, 8), (5, 11)), ("away sat 16 to sat 23", (5, 16), (5, 23)), ("return 20 may", (5, 5), (5, 19)),
    ("back from holiday on the 10th", (5, 5), (5, 9)), ("away til after the weekend", (5, 5), (5, 10)),
    ("away end of the month", (5, 21), (5, 31)), ("away the start of next month", (6, 1), (6, 10)),
    ("away for the next couple of weeks", (5, 5), (5, 18)), ("off tomoz, back sunday wk", (5, 6), (5, 16)),
    ("away bank holiday weekend 23rd to the 25th", (5, 23), (5, 25)), ("away the weekend 16/17", (5, 16), (5, 17)),
    ("away 3 days 12-14 may", (5, 12), (5, 14)), ("away a week 25-29 may", (5, 25), (5, 29)),
])  # fmt: skip
def test_days_of_an_absence(text: str, first: tuple[int, int], last: tuple[int, int]) -> None:
    assert read_days(text, ENGLISH, TODAY) == (date(2026, *first), date(2026, *last))


@pytest.mark.parametrize(
    "text",
    [
        "away this weekend and next weekend", "away 9-10 may and 16-17 may", "away friday, can do saturday",
        "vacation 6/1-6/10", "can't help out after the 20th", "not free on thursday until 5", "away a few days next week",
        "away one day next week", "away 2 days next week", "away till the middle of next week", "away bank holiday monday",
        "away except for wednesday", "here til friday then away a week",
    ],
)  # fmt: skip
def test_days_that_are_not_plain_are_asked_for(text: str) -> None:
    with suppress(Wrong):
        assert read_days(text, ENGLISH, TODAY) is None


@pytest.mark.parametrize(("text", "last"), [
    ("im down in cork til next tues", (5, 12)), ("snowed under til friday", (5, 8)), ("no good to you before the 20th", (5, 19)),
    ("no internet next 2 days", (5, 6)),
])  # fmt: skip
def test_days_alone_may_be_an_absence(text: str, last: tuple[int, int]) -> None:
    assert guessed(text, ENGLISH, TODAY) == (TODAY, date(2026, *last))


@pytest.mark.parametrize(
    "text",
    [
        "i can help from monday to thursday", "the shop is shut from monday to wednesday", "lovely weekend everyone",
        "is it dry until friday", "down there this weekend", "it will be cold until friday", "tuesday",
    ],
)  # fmt: skip
def test_other_days_are_none(text: str) -> None:
    assert guessed(text, ENGLISH, TODAY) is None


@pytest.mark.parametrize(("text", "meant"), [
    ("finito", Reply.DONE), ("did the needful", Reply.DONE), ("just back from doing it", Reply.DONE),
    ("that one's off the list", Reply.DONE), ("should be done by 7", Reply.UNSURE), ("looks done to me", Reply.UNSURE),
    ("leila said its done", Reply.UNSURE), ("done but i think the fleece has a hole", Reply.DONE),
    ("done in 5 mins", Reply.UNSURE), ("can't finish it, too windy", Reply.PART), ("done what i can", Reply.PART),
    ("running late make it 7", Reply.LATER), ("running late, more like 9", Reply.LATER), ("can't make it", Reply.NO),
    ("I'll make it", Reply.YES), ("won't be late", None), ("let someone younger do it", Reply.NO),
    ("if you can't get anyone else then yes", Reply.IF), ("yes but not til friday", Reply.UNSURE),
    ("stuck in traffic, 30 mins", Reply.LATER), ("sorry only just seen this, its done", Reply.DONE),
    ("fleece is on the floor", None),
])  # fmt: skip
def test_answers_as_people_type_them(text: str, meant: Reply | None) -> None:
    assert reply(ENGLISH, text) is meant


@pytest.mark.parametrize(("text", "read"), [
    ("ten tomato in bed number 5", "ten tomato in bed        5"), ("bed no. 5", "bed     5"), ("there is no 5", "there is no 5"),
])  # fmt: skip
def test_the_number_of_a_bed_with_a_word_before_it(text: str, read: str) -> None:
    assert clear(text) == read


# -- beside what is asked


@pytest.fixture
async def asked(lane: Talk) -> Talk:
    """A frost is called: Tobias is asked to bring in three pots, tonight."""
    lane.weather([calm(), COLD])
    await lane.look()
    return lane


async def states(lane: Talk, name: str) -> set[AskState]:
    member = await lane.member(name)
    return {ask.state for _, asks in await lane.duties() for ask in asks if ask.member_id == member}


async def done_n(lane: Talk) -> int:
    return sum(duty.kind is TaskKind.BRING_IN and duty.state is TaskState.DONE for duty, _ in await lane.duties())


@pytest.mark.parametrize(
    "text", ["I can do thursday", "ill do it friday", "I can cover things", "i can do bits", "ok sow some more then?"]
)
async def test_what_takes_up_nothing_that_is_asked_is_no_yes(asked: Talk, text: str) -> None:
    said = await asked.write("Tobias", text)
    assert await states(asked, "Tobias") == {AskState.ASKED}
    assert "I am not sure what that means for this." in texts(said)


async def test_a_yes_for_the_day_that_is_asked_is_one(asked: Talk) -> None:
    await asked.write("Tobias", "i can do it tonight")
    assert await states(asked, "Tobias") == {AskState.ACCEPTED}


async def test_what_was_done_with_somebody_is_done_of_what_is_named(asked: Talk) -> None:
    await asked.write("Tobias", "yes")
    said = texts(await asked.write("Tobias", "me and Leila did pots 1 and 2"))
    assert "Pot 1 and Pot 2" in said and "Pot 3" not in said and "not sure" not in said


@pytest.mark.parametrize("text", ["pot 1 in pot 2 not", "2 done", "carried two in"])
async def test_less_than_was_asked_for_is_asked_about(asked: Talk, text: str) -> None:
    await asked.write("Tobias", "yes")
    said = await asked.write("Tobias", text)
    assert "Some of it is done, I think. What is?" in texts(said)
    assert await done_n(asked) == 0


@pytest.mark.parametrize("text", ["carried them in", "done, also picked 2 lettuces", "brought the lot in"])
async def test_the_words_of_a_report_are_a_done(asked: Talk, text: str) -> None:
    await asked.write("Tobias", "yes")
    said = texts(await asked.write("Tobias", text))
    assert "Noted as done" in said or "Is all of it done?" in said


async def test_what_everybody_should_hear_is_offered_to_the_group(asked: Talk) -> None:
    (said,) = await asked.write("Tobias", "tell everyone the key is on the hook")
    assert labels(said) == ["Ask everybody"]
    assert await states(asked, "Tobias") == {AskState.ASKED}


async def test_whether_one_is_needed_shows_what_is_asked_of_them(asked: Talk) -> None:
    said = texts(await asked.write("Tobias", "do you need me tonight"))
    assert "Bring in: Pot 1" in said and "not sure" not in said


async def test_days_off_on_which_somebody_can_come_are_no_absence(asked: Talk) -> None:
    said = texts(await asked.write("Miriam", "im off work next week so can do more"))
    assert "Are you away" not in said


async def test_what_slugs_got_is_a_loss(lane: Talk) -> None:
    said = texts(await lane.write("Leila", "slugs got 6 lettuce in bed 3"))
    assert "Planted out" not in said


async def test_everything_but_leaves_out(lane: Talk) -> None:
    said = texts(await lane.write("Leila", "watered everything but the tunnel"))
    assert "Watered: " not in said


@pytest.mark.parametrize(("text", "clock"), [
    ("gis a nudge at half 6 to shut the frame", "18:30"), ("remind me at quarter to 7 to bring the pots in", "18:45"),
    ("remind me at half past 9 tonight to look at the fleece", "21:30"), ("ping me at quarter past 5 about the key", "17:15"),
])  # fmt: skip
async def test_hours_with_half_and_quarter(lane: Talk, text: str, clock: str) -> None:
    (said,) = await lane.write("Tobias", text)
    assert said.text == f"I remind you: today, {clock}."


@pytest.mark.parametrize(("text", "count"), [
    ("eight.. no sorry nine", 9), ("12, i mean 15", 15), ("a dozen and a half", 18), ("two dozen", 24),
])  # fmt: skip
async def test_a_number_put_right_in_a_breath_is_the_last(lane: Talk, text: str, count: int) -> None:
    (asked,) = await lane.write("Miriam", "planted out cabbages in bed 1")
    if "How many" not in asked.text:  # which kind comes first
        (asked,) = await lane.press("Miriam", asked, labels(asked)[0])
    said = await lane.write("Miriam", text)
    assert f"{count} plants" in texts(said)


async def test_a_number_alone_puts_right_what_is_asked_about(lane: Talk) -> None:
    asked = await lane.write("Miriam", "thats the runner beans in, all 24, bed 1")
    assert "Is this right?" in texts(asked) and "24 plants" in texts(asked)
    assert "12 plants" in texts(await lane.write("Miriam", "just 12 for now"))


async def test_an_answer_that_fits_no_button_brings_the_buttons_again(lane: Talk) -> None:
    (asked,) = await lane.write("Miriam", "planted out cabbages in bed 1")
    (again,) = await lane.write("Miriam", "thon one by the gate")
    assert again.text.startswith("I did not get that answer.") and labels(again) == labels(asked)
    assert "How many" in texts(await lane.press("Miriam", again, labels(again)[0]))


async def test_a_misspelt_verb_beside_another_is_asked_about_and_not_lost(lane: Talk) -> None:
    said = texts(await lane.write("Miriam", "weedd bed 1 then gave it a soak"))
    assert "Watered: Bed 1, today." in said and "Weeded: Bed 1, Mon 4 May." in said and "Is this right?" in said


async def test_forgot_to_say_may_stand_last(lane: Talk) -> None:
    assert "Watered: Tunnel, yesterday." in texts(await lane.write("Miriam", "watered tunnel yday eve forgot to say"))


async def test_how_cold_names_no_cold_frame(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.write("Tobias", "can do. how cold are we talking")
    member = await lane.member("Tobias")
    states = {ask.state for _, asks in await lane.duties() for ask in asks if ask.member_id == member}
    assert states == {AskState.ACCEPTED}


@pytest.mark.parametrize(
    "text", ["i will do, no need to ask anyone else", "sound", "suppose ill have to wont i, nobody else about"]
)
async def test_no_need_to_ask_others_is_a_yes(lane: Talk, text: str) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.write("Tobias", text)
    member = await lane.member("Tobias")
    assert {ask.state for _, asks in await lane.duties() for ask in asks if ask.member_id == member} == {
        AskState.ACCEPTED
    }


@pytest.mark.parametrize(("text", "clock"), [
    ("remind me in an hour to shut the frame", "11:00"), ("ping me in 20 minutes", "10:20"),
    ("remind me in half an hour", "10:30"),
    ("remind me this evening to water", "18:00"), ("remind me tonight about the fleece", "21:00"),
    ("remind me at 7 it takes 20 minutes", "19:00"),
])  # fmt: skip
async def test_a_reminder_in_a_while_or_in_a_part_of_the_day(lane: Talk, text: str, clock: str) -> None:
    (said,) = await lane.write("Tobias", text)
    assert said.text == f"I remind you: today, {clock}."


@pytest.mark.parametrize("text", ["covered already?", "is it done?", "did someone cover it?", "all in?"])
def test_whether_it_is_done_is_no_done(text: str) -> None:
    assert reply(ENGLISH, text) is not Reply.DONE


@pytest.mark.parametrize("text", ["done. where does the key go?", "all covered, who locks up?"])
def test_done_with_a_question_after_it_is_done(text: str) -> None:
    assert reply(ENGLISH, text) is Reply.DONE
