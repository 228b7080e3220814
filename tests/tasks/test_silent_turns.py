"""The daily turns when people say nothing: the other on call, then everybody, and in the end the organisers."""

from __future__ import annotations

from collections import Counter
from zoneinfo import ZoneInfo

from bot.storage.states import AskState, TaskState
from tests.support.talk import Talk, labels
from tests.tasks.turn_lists import WARM, asked, lists, name_of, rows, tuesday

ZONE = ZoneInfo("Europe/London")


async def test_no_answer_goes_to_the_other_on_call_the_same_morning_and_then_to_everybody(lane: Talk) -> None:
    first = await tuesday(lane)
    assert "No answer by " in first.text and "Then I will also ask the next person." in first.text
    await lane.until(5, "20:00", every_min=15)
    assert set(asked(lane)) == {"Miriam", "Tobias"}, "they are on call, and nobody else is asked by name"
    ((_, those),) = await rows(lane)
    assert [ask.state for ask in those] == [AskState.SILENT, AskState.SILENT]
    (call,) = [one for one in lane.group() if one.text.startswith("Who can help today")]
    assert call.at.astimezone(ZONE).hour < 12, "before the house is hot"
    assert any(one.text.startswith("Nobody is free for today's turn") for one in lane.private("Miriam"))


async def test_a_yes_keeps_the_turn(lane: Talk) -> None:
    given = await tuesday(lane)
    who = name_of(lane, given)
    (said,) = await lane.press(who, given, "I'll do it")
    assert said.text.startswith("Thank you!") and "I'll do it" not in labels(said)
    await lane.until(5, "20:00", every_min=30)
    assert not asked(lane), "their own list says Thank you now, and nobody else has one"
    await lane.press(who, said, "Done")
    (((turn,), _),) = await rows(lane)
    assert (turn.state, turn.done_by) == (TaskState.DONE, await lane.member(who))


async def test_done_from_whoever_was_passed_by_is_taken_and_the_other_is_free(lane: Talk) -> None:
    given = await tuesday(lane)
    who = name_of(lane, given)
    await lane.until(5, "09:00", every_min=15)
    assert set(asked(lane)) == {"Miriam", "Tobias"}
    await lane.press(who, given, "Done")
    (((turn,), those),) = await rows(lane)
    assert turn.done_by == await lane.member(who)
    assert {ask.state for ask in those} == {AskState.ACCEPTED, AskState.RELEASED}


async def test_the_greenhouse_does_not_go_to_the_same_silent_people_every_morning_and_organisers_hear_once(
    lane: Talk,
) -> None:
    await lane.until(4, "21:30", every_min=240)
    for day in range(5, 15):
        lane.weather([WARM] * 4)
        await lane.until(day, "07:30", every_min=120)
        await lane.until(day, "21:00", every_min=240)
    first = Counter(min(those, key=lambda ask: ask.id).member_id for _, those in await rows(lane) if those)
    assert sum(first.values()) >= 6, "the story needs that many mornings"
    assert max(first.values()) <= 2
    told = [one for one in lane.private("Miriam") if one.text.startswith("For a week, nobody has answered me")]
    assert len(told) == 1
    assert not lists(lane, "Robin")
