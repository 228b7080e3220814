"""Answers in words, told as stories: only under a condition, all of it done, what is open still, whether the cover may go.

What is expected was written down by hand; the garden is the invented one beside the sentences.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from sqlalchemy import select

from bot.core.warnings.hazards import TaskKind
from bot.storage.models import Ask, Garden, Member, Person, Task
from bot.storage.states import AskState, TaskState
from tests.understanding.play import Lane, on_lane
from tests.understanding.putting import put

DUTY = "cover Bed 1 by 20:30 tonight"


@pytest.fixture
async def lane(tmp_path: Path) -> AsyncIterator[Lane]:
    async with on_lane(tmp_path) as lane:
        yield lane


async def _asked(lane: Lane, *, accepted: bool = False, people: int = 1) -> None:
    """Tobias is asked to cover Bed 1."""
    line = {"context": "accepted" if accepted else "asked", "duty": DUTY}
    async with lane.database.begin() as session:
        row = (await session.scalars(select(Garden))).one()
        member = (await session.scalars(select(Member).join(Person).where(Person.name == "Tobias"))).one()
        placed = await put(session, row, member, line)
        assert placed is not None
        for task in await session.scalars(select(Task)):
            task.people = people


async def _says(lane: Lane, text: str) -> str:
    """What Tobias is told then, privately."""
    user_id = lane.stage.user("Tobias")
    assert user_id is not None
    list(lane.stage.fresh())
    lane.stage.api.write(user_id, user_id, text)
    await lane.stage.settle()
    return "\n".join(one.text for one in lane.stage.fresh() if one.chat_id == user_id)


async def _states(lane: Lane) -> tuple[AskState, TaskState]:
    async with lane.database.begin() as session:
        ask = (await session.scalars(select(Ask))).one()
        return ask.state, (await session.get_one(Task, ask.task_id)).state


@pytest.mark.parametrize(
    "text", ["only if someone helps me", "yes if nobody else can", "i could if leila comes too", "not on my own"]
)
async def test_a_condition_is_no_yes_and_is_asked_about_with_what_helps(lane: Lane, text: str) -> None:
    await _asked(lane)
    said = await _says(lane, text)
    assert "With an “if” it stays open" in said and "one more person" in said and "Bed 1" in said
    assert (await _states(lane))[0] is AskState.ASKED


@pytest.mark.parametrize("text", ["what's still open?", "what is still open", "whats outstanding"])
async def test_what_is_still_open_names_what_one_was_asked_for(lane: Lane, text: str) -> None:
    await _asked(lane)
    said = await _says(lane, text)
    assert "Cover: Bed 1" in said and "not sure" not in said
    assert (await _states(lane))[0] is AskState.ASKED


@pytest.mark.parametrize("text", ["all of it is done", "everything is covered", "the whole bed is covered now"])
async def test_who_says_that_all_is_done_is_not_asked_again(lane: Lane, text: str) -> None:
    await _asked(lane, accepted=True, people=2)
    said = await _says(lane, text)
    assert "Is all of it done" not in said
    assert (await _states(lane))[1] is TaskState.DONE


@pytest.mark.parametrize("text", ["done", "all done"])
async def test_a_mere_done_for_a_job_of_two_is_asked_about(lane: Lane, text: str) -> None:
    await _asked(lane, accepted=True, people=2)
    assert "Is all of it done" in await _says(lane, text)
    assert (await _states(lane))[1] is not TaskState.DONE


@pytest.mark.parametrize(
    "text", ["can I take the fleece off?", "when can the fleece come off bed 1", "can we uncover bed 1 now"]
)
async def test_the_cover_stays_until_the_cold_is_over(lane: Lane, text: str) -> None:
    """The coming night is below what potatoes above the soil stand (−2 °C at the ground), and is over on Wednesday."""
    await _asked(lane)
    said = await _says(lane, text)
    assert "Please leave as it is until Wed 6 May" in said and "Bed 1" in said


async def test_the_cover_may_come_off_where_nothing_suffers_from_the_coming_nights(lane: Lane) -> None:
    """Onions and garlic stand the night."""
    said = await _says(lane, "can I take the fleece off bed 4?")
    assert "Bed 4: nothing to protect in the coming nights" in said and "Please leave" not in said


async def test_next_month_and_weekends_are_what_they_say(lane: Lane) -> None:
    assert "Mon 1 Jun to Tue 30 Jun" in await _says(lane, "I'm away the whole of next month")
    assert "Are you away" not in await _says(lane, "can't do weekends in May")


async def test_who_else_comes_is_told_by_name(lane: Lane) -> None:
    await _asked(lane, accepted=True, people=2)
    said = await _says(lane, "who else is coming?")
    assert "Tobias will do it" in said


@pytest.mark.parametrize("text", ["do I have to do it again tonight?", "no fleece left", "Oskar said he'd do it"])
async def test_a_question_and_what_is_no_answer_leave_the_job_open(lane: Lane, text: str) -> None:
    await _asked(lane)
    await _says(lane, text)
    assert (await _states(lane))[0] is AskState.ASKED


@pytest.mark.parametrize("text", ["locked up and back indoors safely", "the gate is shut", "i did it last night"])
async def test_what_was_shut_or_done_another_night_leaves_the_job_open(lane: Lane, text: str) -> None:
    await _asked(lane, accepted=True)
    await _says(lane, text)
    assert (await _states(lane))[1] is not TaskState.DONE


async def test_pots_that_are_all_in_the_greenhouse_are_brought_in(lane: Lane) -> None:
    await _asked(lane, accepted=True)
    async with lane.database.begin() as session:
        (await session.scalars(select(Task))).one().kind = TaskKind.BRING_IN
    await _says(lane, "theyre all in the greenhouse now")
    assert (await _states(lane))[1] is TaskState.DONE


async def test_everything_off_is_the_job_of_taking_covers_off(lane: Lane) -> None:
    await _asked(lane, accepted=True)
    async with lane.database.begin() as session:
        (await session.scalars(select(Task))).one().kind = TaskKind.UNCOVER
    await _says(lane, "took everything off")
    assert (await _states(lane))[1] is TaskState.DONE
