"""Done under the group's message asks what; what was taken is said, with a way back; no one tap closes what wants three."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from sqlalchemy import select, update

from bot.core.garden.place_state import Did
from bot.core.garden.snapshot import Cover
from bot.storage.models import Ask, Member, Person, Place, PlaceReport, Task
from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts

EVERYBODY = ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana")


async def called(lane: Talk) -> None:
    """A frost is found for the coming night, and people are asked by name."""
    lane.weather([calm(), COLD])
    await lane.look()


async def state_of(lane: Talk) -> list[tuple[object, ...]]:
    """All that a Done changes."""
    async with lane.stage.app.database.begin() as session:
        duties = await session.execute(select(Task.id, Task.state, Task.done_by, Task.done_at).order_by(Task.id))
        asks = await session.execute(select(Ask.task_id, Ask.member_id, Ask.state).order_by(Ask.id))
        told = await session.execute(
            select(PlaceReport.id, PlaceReport.place_id, PlaceReport.did)
            .where(PlaceReport.withdrawn_at.is_(None))
            .order_by(PlaceReport.id)
        )
        return [tuple(row) for rows in (duties, asks, told) for row in rows]


async def told_of(lane: Talk, place: str) -> list[Did]:
    """What was told of a place and not taken back."""
    query = select(PlaceReport.did).join(Place, Place.id == PlaceReport.place_id)
    async with lane.stage.app.database.begin() as session:
        standing = query.where(Place.name == place, PlaceReport.withdrawn_at.is_(None)).order_by(PlaceReport.id)
        return list(await session.scalars(standing))


async def done(lane: Talk) -> Counter[str]:
    return Counter(duty.kind.value for duty, _ in await lane.duties() if duty.state is TaskState.DONE)


async def carriers(lane: Talk) -> list[str]:
    """Who is asked to bring in Pot 1, which by the published figures wants three people of no known strength."""
    async with lane.stage.app.database.begin() as session:
        query = select(Person.name).join(Member).join(Ask).join(Task).join(Place, Place.id == Task.place_id)
        return list(await session.scalars(query.where(Place.name == "Pot 1").order_by(Ask.id)))


async def test_whoever_said_no_and_taps_done_is_asked_what_and_nothing_is_taken(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I can't")
    before = await state_of(lane)
    (question,) = await lane.press("Leila", lane.standing(), "Done")
    assert question.chat_id == lane.user("Leila") and question.text.startswith("What is done?")
    assert labels(question) == ["All jobs", "Let me choose jobs"], "nothing is theirs"
    assert "I will note nothing until you tap." in question.text
    assert await state_of(lane) == before
    assert "Everything is done" not in lane.standing().text


async def test_mine_takes_ones_own_says_what_and_undo_puts_back_everything(lane: Talk) -> None:
    await called(lane)
    await lane.press("Miriam", lane.private("Miriam")[-1], "I'll do it")
    before = await state_of(lane)
    (question,) = await lane.press("Miriam", lane.standing(), "Done")
    assert labels(question) == ["My jobs", "All jobs", "Let me choose jobs"]
    (taken,) = [one for one in await lane.press("Miriam", question, "My jobs") if one.chat_id == lane.user("Miriam")]
    assert "Noted as done:" in taken.text and "Cover: Greenhouse" in taken.text and "Bed 5" not in taken.text
    assert await done(lane) == {"cover": 1} and await told_of(lane, "Greenhouse") == [Did.COVERED]
    assert "Done, thank you Miriam." in await lane.whole()
    said = await lane.press("Miriam", taken, "Undo")
    assert "is as it was before" in texts(said)
    assert await state_of(lane) == before and await told_of(lane, "Greenhouse") == []
    assert "Done, thank you" not in await lane.whole()
    assert "I already have your answer" in texts(await lane.press("Miriam", taken, "Undo")), (
        "pressed twice, it counts once"
    )
    assert await state_of(lane) == before


async def test_undo_under_a_no_that_did_something_leaves_no_trace_of_them(lane: Talk) -> None:
    await called(lane)
    await lane.press("Hana", lane.private("Hana")[-1], "I can't")
    before = await state_of(lane)
    (question,) = await lane.press("Hana", lane.standing(), "Done")
    (listed,) = await lane.press("Hana", question, "Let me choose jobs")
    await lane.press("Hana", listed, "Cover: Bed 2")
    assert await done(lane) == {"cover": 1}
    await lane.press("Hana", lane.private("Hana")[-1], "Undo")
    assert await state_of(lane) == before


async def test_everything_said_plainly_closes_all_and_names_nobody_for_what_was_not_theirs(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I can't")
    (question,) = await lane.press("Leila", lane.standing(), "Done")
    said = await lane.press("Leila", question, "All jobs")
    assert "Noted as done:" in texts(said) and "Pot 1" in texts(said)
    assert {duty.state for duty, _ in await lane.duties()} == {TaskState.DONE}
    assert {duty.done_by for duty, _ in await lane.duties()} == {None}
    assert "Leila" not in lane.standing().text and "Everything is done. Thank you!" in lane.standing().text
    (undo,) = (one for one in lane.private("Leila") if "Undo" in labels(one))
    await lane.press("Leila", undo, "Undo")
    assert TaskState.DONE not in {duty.state for duty, _ in await lane.duties()}
    assert {ask.state for _, asks in await lane.duties() for ask in asks} == {AskState.ASKED, AskState.PASSED}


async def test_a_list_to_tick_takes_one_thing_a_tap_and_shows_what_is_left(lane: Talk) -> None:
    await called(lane)
    (question,) = await lane.press("Leila", lane.standing(), "Done")
    (listed,) = await lane.press("Leila", question, "Let me choose jobs")
    assert {"Cover: Bed 2", "Earth up: Bed 5"} <= {*labels(listed)}
    await lane.press("Leila", listed, "Earth up: Bed 5")
    listed = lane.private("Leila")[-1]
    assert "Earth up: Bed 5" in listed.text and "Earth up: Bed 5" not in labels(listed)
    await lane.press("Leila", listed, "Cover: Bed 2")
    assert await done(lane) == {"earth up": 1, "cover": 1}
    await lane.press("Leila", lane.private("Leila")[-1], "Undo")
    assert await done(lane) == {"earth up": 1}, "Undo takes back the last tap alone"


async def test_one_person_does_not_close_what_wants_three(lane: Talk) -> None:
    await called(lane)
    first, second, third = await carriers(lane)
    for name in (first, second, third):
        await lane.press(name, lane.private(name)[-1], "I'll do it")
    (asked,) = await lane.write(second, "done")
    assert "Is all of it done?" in asked.text and "Pot 1" in asked.text
    assert labels(asked) == ["All of this job", "Only my part"]
    assert await done(lane) == {}
    said = await lane.press(second, asked, "Only my part")
    assert "I noted your part" in texts(said) and await done(lane) == {}
    again = await lane.press(second, asked, "Only my part")
    assert "I already have your answer" in texts(again) and await done(lane) == {}, "a part counts once"
    (asked,) = await lane.write(third, "done")
    await lane.press(third, asked, "Only my part")
    assert await done(lane) == {}
    # The first has the cold frame as well, which one person covers.
    asked = next(one for one in await lane.write(first, "done") if "Only my part" in labels(one))
    assert await done(lane) == {"cover": 1}
    await lane.press(first, asked, "Only my part")
    assert await done(lane) == {"cover": 1, "bring in": 3}, "the third part is the last"
    for name in (second, third):
        assert f"thank you {name}" not in lane.standing().text, "three did it: nobody is named alone"


async def test_one_of_three_may_say_that_the_whole_of_it_is_done(lane: Talk) -> None:
    await called(lane)
    first, second, third = await carriers(lane)
    for name in (first, second, third):
        await lane.press(name, lane.private(name)[-1], "I'll do it")
    before = await state_of(lane)
    (asked,) = await lane.write(third, "done")
    said = await lane.press(third, asked, "All of this job")
    assert await done(lane) == {"bring in": 3}
    undo = next(one for one in said if "Undo" in labels(one))
    await lane.press(third, undo, "Undo")
    assert await state_of(lane) == before


async def test_in_the_morning_all_three_are_thanked_whoever_tapped_for_the_whole_of_it(lane: Talk) -> None:
    await called(lane)
    three = await carriers(lane)
    for name in three:
        await lane.press(name, lane.private(name)[-1], "I'll do it")
    (asked,) = await lane.write(three[-1], "done")
    await lane.press(three[-1], asked, "All of this job")
    await lane.until(5, "12:00", every_min=150)
    after = next(one.text for one in lane.group() if "The cold night is over." in one.text)
    (thanks,) = [line for line in after.splitlines() if line.startswith("Thank you, ")]
    named = [name for name in three if name in thanks]
    assert len(named) == 3 or (len(named) == 2 and "and 1 more" in thanks), thanks


async def test_a_tick_of_what_wants_three_asks_whether_the_whole_of_it_is_done(lane: Talk) -> None:
    await called(lane)
    (question,) = await lane.press("Leila", lane.standing(), "Done")
    (listed,) = await lane.press("Leila", question, "Let me choose jobs")
    (asked,) = await lane.press("Leila", listed, "Bring in: Pot 1")
    assert "Is all of it done?" in asked.text and await done(lane) == {}
    await lane.press("Leila", asked, "All of this job")
    assert await done(lane) == {"bring in": 1}


async def test_where_nobody_else_is_left_waiting_done_is_taken_at_once(lane: Talk) -> None:
    await called(lane)
    (question,) = await lane.press("Miriam", lane.standing(), "Done")
    await lane.press("Miriam", question, "All jobs")
    lane.weather([calm()] * 2)
    await lane.until(5, "07:30", every_min=150)
    asked = [(duty, asks) for duty, asks in await lane.duties() if duty.state is TaskState.OPEN]
    leila = await lane.member("Leila")
    async with lane.stage.app.database.begin() as session:
        await session.execute(update(Task).where(Task.state == TaskState.OPEN).values(state=TaskState.DROPPED))
        kept = next(duty.id for duty, _ in asked if duty.kind == "uncover")
        await session.execute(update(Task).where(Task.id == kept).values(state=TaskState.ACCEPTED))
        await session.execute(update(Ask).where(Ask.task_id == kept).values(member_id=leila, state=AskState.ACCEPTED))
    said = await lane.press("Leila", lane.standing(), "Done")
    assert "Noted as done:" in texts(said)
    assert (await done(lane))["uncover"] == 1


async def test_whose_own_another_has_reported_is_not_asked_about_the_work_of_others(lane: Talk) -> None:
    await called(lane)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    own = lane.private("Kasia")[-1]
    (question,) = await lane.press("Leila", lane.standing(), "Done")
    (listed,) = await lane.press("Leila", question, "Let me choose jobs")
    await lane.press("Leila", listed, "Cover: Bed 2")
    before = await state_of(lane)
    (said,) = await lane.press("Kasia", own, "Zrobione")
    assert said.text == "To już wiem, dzięki." and not labels(said)
    assert await state_of(lane) == before


async def test_done_tapped_twice_notes_once_and_says_that_it_is_known(lane: Talk) -> None:
    await called(lane)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    own = lane.private("Kasia")[-1]
    assert "Okryć: Bed 2" in texts(await lane.press("Kasia", own, "Zrobione"))
    once = await state_of(lane)
    (again,) = await lane.press("Kasia", own, "Zrobione")
    assert await state_of(lane) == once
    assert "Bed 2" not in again.text, "what is done is not offered again"


async def test_an_old_button_asks_too_and_the_morning_after_only_what_is_to_be_undone(lane: Talk) -> None:
    await called(lane)
    old = replace(lane.standing())
    (question,) = await lane.press("Miriam", old, "Done")
    await lane.press("Miriam", question, "All jobs")
    lane.weather([calm()] * 2)
    await lane.until(5, "07:30", every_min=150)
    await lane.press("Hana", old, "Done")
    asked = lane.private("Hana")[-1]
    assert "Uncover: Bed 2" in asked.text and "• Cover:" not in asked.text
    before = await state_of(lane)
    late = next(one for one in lane.private("Miriam") if "Undo" in labels(one))
    assert "no longer needed" in texts(await lane.press("Miriam", late, "Undo")), "the night is over"
    assert await state_of(lane) == before


async def test_done_after_the_night_can_be_taken_back_with_what_it_set_going(lane: Talk) -> None:
    await called(lane)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    own = lane.private("Kasia")[-1]
    await lane.until(5, "07:15", every_min=120)
    lane.weather([calm()] * 2)
    await lane.look()
    said = await lane.press("Kasia", own, "Zrobione")
    assert (await done(lane))["cover"] == 1 and await told_of(lane, "Bed 2") == [Did.COVERED]
    undo = next(one for one in said if "Cofnij" in labels(one))
    await lane.press("Kasia", undo, "Cofnij")
    assert not await done(lane)
    assert not [duty for duty, _ in await lane.duties() if duty.kind == "uncover" and duty.state is TaskState.OPEN]
    assert await told_of(lane, "Bed 2") == []


async def test_somebody_who_was_never_asked_may_say_what_they_did(lane: Talk) -> None:
    await lane.change("Marcus", per_week=0)
    await called(lane)
    marcus = await lane.member("Marcus")
    assert not any(ask.member_id == marcus for _, asks in await lane.duties() for ask in asks)
    (question,) = await lane.press("Marcus", lane.standing(), "Done")
    (listed,) = await lane.press("Marcus", question, "Let me choose jobs")
    await lane.press("Marcus", listed, "Cover: Bed 2")
    assert "Done, thank you Marcus." in await lane.whole()


async def test_where_privately_is_not_possible_it_is_asked_in_place(lane: Talk) -> None:
    await called(lane)
    async with lane.stage.app.database.begin() as session:
        await session.execute(update(Person).where(Person.name == "Owen").values(private_ok_at=None))
    (question,) = await lane.press("Owen", lane.standing(), "Done")
    assert question.chat_id == lane.group_id and question.text.startswith("Owen, what is done?")
    assert "All jobs" in labels(question)


async def test_somebody_elses_undo_changes_nothing(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    await lane.press("Leila", lane.private("Leila")[-1], "Done")
    taken = lane.private("Leila")[-1]
    undo = next(key["callback_data"] for row in taken.keyboard for key in row if key["text"] == "Undo")
    before = await state_of(lane)
    await lane.forge("Tobias", undo, lane.standing())
    assert await state_of(lane) == before


async def test_what_somebody_was_only_asked_for_is_not_taken_with_what_they_had_accepted(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    async with lane.stage.app.database.begin() as session:
        leila = await session.scalar(select(Member.id).join(Person).where(Person.name == "Leila"))
        bed_2 = await session.scalar(
            select(Task.id).join(Place, Place.id == Task.place_id).where(Place.name == "Bed 2")
        )
        assert leila is not None and bed_2 is not None
        session.add(Ask(task_id=bed_2, member_id=leila, asked_at=lane.stage.clock.at))
    await lane.press("Leila", lane.private("Leila")[-1], "Done")
    assert await done(lane) == {"earth up": 1} and "Bed 2" not in lane.private("Leila")[-1].text


async def test_covered_said_in_words_takes_the_cover_that_was_asked_for_there_and_says_so(lane: Talk) -> None:
    await called(lane)
    said = texts(await lane.write("Miriam", "covered the greenhouse"))
    assert "double fleece" in said, "a guess is said"
    assert await told_of(lane, "Greenhouse") == [Did.COVERED]
    query = select(PlaceReport.cover).join(Place, Place.id == PlaceReport.place_id).where(Place.name == "Greenhouse")
    async with lane.stage.app.database.begin() as session:
        assert await session.scalar(query) is Cover.DOUBLE_FLEECE
    assert await done(lane) == {"cover": 1}


async def done_at(lane: Talk) -> set[str]:
    """The places at which something of a warning is done."""
    query = select(Place.name).join(Task, Task.place_id == Place.id).where(Task.state == TaskState.DONE)
    async with lane.stage.app.database.begin() as session:
        return set(await session.scalars(query))


async def asked_for_two(lane: Talk) -> tuple[str, list[str]]:
    """A member who is asked for jobs at several places, which one person does, and the places."""
    query = select(Person.name, Place.name).join(Member, Member.person_id == Person.id).join(Ask).join(Task)
    query = query.join(Place, Place.id == Task.place_id).where(Ask.state == AskState.ASKED, Task.people == 1)
    async with lane.stage.app.database.begin() as session:
        rows = [tuple(row) for row in await session.execute(query.order_by(Place.name))]
    name = next(name for name, n in Counter(name for name, _ in rows).items() if n > 1 and name != "Kasia")
    return name, [place for who, place in rows if who == name]


async def asked_of_few(lane: Talk) -> tuple[str, list[str]]:
    """A frost for which only two can come."""
    for name in ("Tobias", "Kasia", "Owen", "Marcus", "Hana", "Deepa"):
        await lane.change(name, adult=False)
    await called(lane)
    return await asked_for_two(lane)


async def test_done_in_words_takes_only_what_the_words_name(lane: Talk) -> None:
    name, places = await asked_of_few(lane)
    await lane.write(name, "yes")
    (taken,) = [one for one in await lane.write(name, f"done {places[0]}") if one.chat_id == lane.user(name)]
    assert "Noted as done:" in taken.text and places[0] in taken.text and places[1] not in taken.text
    assert await done_at(lane) == {places[0]}


async def test_a_yes_in_words_takes_only_what_the_words_name(lane: Talk) -> None:
    name, places = await asked_of_few(lane)
    await lane.write(name, f"yes I can do {places[1]}")
    async with lane.stage.app.database.begin() as session:
        query = select(Place.name).join(Task, Task.place_id == Place.id).join(Ask).where(Ask.state == AskState.ACCEPTED)
        assert set(await session.scalars(query)) == {places[1]}


async def test_a_yes_or_a_no_that_names_something_else_or_a_part_is_asked_about(lane: Talk) -> None:
    name, places = await asked_of_few(lane)
    before = await state_of(lane)
    for words in ("yes I can do Bed 3", f"no, not {places[0]}"):
        said = await lane.write(name, words)
        assert "I am not sure what that means for this. Please tap:" in texts(said), words
    assert await state_of(lane) == before


async def test_done_of_a_place_that_is_not_theirs_is_asked_about_and_nothing_is_taken(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    before = await state_of(lane)
    (question,) = await lane.write("Leila", "done the greenhouse bit")
    assert question.text.startswith("What is done?") and "Greenhouse" in question.text.split("Other people")[1]
    assert await state_of(lane) == before
