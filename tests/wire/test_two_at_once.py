"""The same button by two people, twice by one, late, early, or of a message that came twice: each takes effect once."""

from __future__ import annotations

import pytest

from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts

pytestmark = pytest.mark.apart


async def called(lane: Talk) -> None:
    """A frost is found for the coming night, and people are asked by name."""
    lane.weather([calm(), COLD])
    await lane.look()


async def states(lane: Talk) -> list[str]:
    return sorted(duty.state for duty, _ in await lane.duties())


async def test_one_person_who_presses_yes_twice_is_on_the_same_duties_once(lane: Talk) -> None:
    await called(lane)
    question = lane.private("Kasia")[-1]
    twice = [lane.stage.api.press(lane.user("Kasia"), question, "Zrobię to") for _ in range(2)]
    first = await lane.settled()
    kasia, before = await lane.member("Kasia"), [(ask.id, ask.state) for _, asks in await lane.duties() for ask in asks]
    mine = [ask for _, asks in await lane.duties() for ask in asks if ask.member_id == kasia]
    assert (
        mine and {ask.state for ask in mine} == {AskState.ACCEPTED} and len({ask.task_id for ask in mine}) == len(mine)
    )
    assert "dzięki" in texts(first).casefold()
    assert [one.chat_id for one in first if one.chat_id != lane.group_id] == [lane.user("Kasia")]
    twice[1]["update_id"] += 1000
    await lane.give(twice[1])
    assert [(ask.id, ask.state) for _, asks in await lane.duties() for ask in asks] == before


async def test_two_people_press_yes_under_the_groups_message_and_get_different_things_to_do(lane: Talk) -> None:
    await called(lane)
    standing = lane.standing()
    lane.stage.api.press(lane.user("Leila"), standing, "I'll do it")
    lane.stage.api.press(lane.user("Owen"), standing, "I'll do it")
    await lane.settled()
    taken = [
        {ask.member_id for ask in asks if ask.state is AskState.ACCEPTED and ask.why != "OFFERED"}
        for _, asks in await lane.duties()
    ]
    leila, owen = await lane.member("Leila"), await lane.member("Owen")
    assert any(leila in people for people in taken) and any(owen in people for people in taken)
    for duty, asks in await lane.duties():
        assert sum(ask.state is AskState.ACCEPTED for ask in asks) <= duty.people


async def test_done_pressed_twice_reports_ones_own_and_nobody_elses(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    leila = await lane.member("Leila")
    for _ in range(2):
        await lane.press("Leila", lane.standing(), "Done")
    await lane.press("Leila", lane.private("Leila")[-1], "My jobs")
    once = await states(lane)
    await lane.press("Leila", lane.private("Leila")[-2], "My jobs")
    assert await states(lane) == once
    assert {duty.done_by for duty, _ in await lane.duties() if duty.state is TaskState.DONE} == {leila}
    assert TaskState.OPEN in once


async def test_what_somebody_else_had_taken_is_done_but_not_by_whoever_says_so(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    (question,) = await lane.press("Marcus", lane.standing(), "Done")
    (listed,) = await lane.press("Marcus", question, "Let me choose jobs")
    await lane.press("Marcus", listed, "Earth up: Bed 5")
    ((duty, asks),) = [(duty, asks) for duty, asks in await lane.duties() if duty.state is TaskState.DONE]
    assert duty.done_by is None
    assert [(ask.member_id, ask.state) for ask in asks] == [(await lane.member("Leila"), AskState.ACCEPTED)]


async def test_work_done_a_day_early_is_thanked_for_and_nobody_is_asked_for_it_any_more(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(4, "13:00")
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    said = await lane.press("Leila", lane.private("Leila")[-1], "Done")
    assert "Thank you" in texts(said)
    asked = len(lane.private("Leila"))
    lane.weather([calm(), calm(), COLD])
    await lane.until(5, "12:00", every_min=180)
    assert not [one for one in lane.private("Leila")[asked:] if "Bed 5" in one.text]
    assert "thank you Leila" in lane.standing().text


async def test_work_reported_the_morning_after_is_thanked_for_and_is_to_be_undone_like_the_rest(lane: Talk) -> None:
    await called(lane)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    question = lane.private("Kasia")[-1]
    await lane.until(5, "07:15", every_min=120)
    lane.weather([calm()])
    late = await lane.press("Kasia", question, "Zrobione")
    assert "Dzięki" in texts(late)
    await lane.look()
    undoing = [duty for duty, _ in await lane.duties() if duty.kind == "uncover"]
    assert [duty.state for duty in undoing] == [TaskState.OPEN]
    assert "Uncover" in lane.standing().text


async def test_a_press_on_yesterdays_duty_is_answered_kindly_and_changes_nothing(lane: Talk) -> None:
    await called(lane)
    question, standing = lane.private("Leila")[-1], lane.standing()
    await lane.until(5, "08:00", every_min=120)
    before = await states(lane)
    assert "no longer needed" in texts(await lane.press("Leila", question, "I'll do it"))
    assert "no longer needed" in texts(await lane.press("Leila", question, "I can't"))
    await lane.press("Owen", standing, "Why")
    assert await states(lane) == before


async def test_an_update_that_is_delivered_twice_is_answered_once(lane: Talk) -> None:
    await called(lane)
    update = lane.stage.api.press(lane.user("Leila"), lane.private("Leila")[-1], "I'll do it")
    first = await lane.settled()
    assert "Thank you" in texts(first)
    assert await lane.give(update, update) == []
    written = lane.stage.api.write(lane.user("Leila"), lane.user("Leila"), "what should I do this week?")
    (answer,) = await lane.give(written)
    assert answer.text
    assert await lane.give(written) == []


async def test_an_edit_of_an_old_message_asks_nothing_again(lane: Talk) -> None:
    user = lane.user("Owen")
    lane.stage.api.write(user, user, "/week")
    assert len(await lane.settled()) == 1
    mine = next(m for m in lane.stage.api.messages.values() if m.text == "/week")
    for words in ("/away 7", "/week", "done", "what should I do this week?"):
        lane.stage.api.edit(mine, words)
        assert await lane.settled() == []


async def test_a_job_of_the_week_marked_done_twice_is_gone_and_said_so(lane: Talk) -> None:
    week = await lane.said("Tobias", "what should I do this week?")
    (job,) = await lane.press("Tobias", week, labels(week)[0])
    (noted,) = await lane.press("Tobias", job, "Done")
    assert "Noted as done" in noted.text
    (again,) = await lane.press("Tobias", job, "Done")
    assert "no longer on your list" in again.text
