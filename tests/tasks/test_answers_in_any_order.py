"""Yes, no, not done, no answer, no way to reach somebody: the work goes to the next person, and nobody is shamed."""

from __future__ import annotations

from datetime import timedelta

from bot.demo.weather import Day
from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts

ADULTS = ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana")
NO = {"Kasia": "Nie mogę"}
#: A night that only potatoes may suffer from: invented.
EDGE: Day = (3.0, 14.0, 20.0, 1.0, 4.0, 0.0)


async def called(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()


async def on_bed_5(lane: Talk) -> list[tuple[str, str]]:
    """Who is or was asked to earth up Bed 5, in order, and what became of it."""
    names = {await lane.member(name): name for name in (*ADULTS, "Robin")}
    return [
        (names[ask.member_id], ask.state.value)
        for duty, asks in await lane.duties()
        if duty.kind == "earth up"
        for ask in asks
    ]


async def test_a_no_after_a_yes_frees_the_duty_and_the_next_person_is_asked_at_the_next_look(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    assert "Leila will do it" in lane.standing().text
    said = await lane.press("Leila", lane.private("Leila")[-1], "Now I can't do it")
    assert "I will ask the next person" in texts(said)
    assert "1 person needed" in lane.standing().text and "Leila" not in lane.standing().text
    await lane.look()
    (first, passed), (second, asked) = await on_bed_5(lane)
    assert (first, passed, asked) == ("Leila", "passed", "asked") and second != "Leila"
    assert f"{second}?" in lane.standing().text, "the standing message names the next person"


async def test_whoever_has_said_no_is_not_asked_for_it_again(lane: Talk) -> None:
    await called(lane)
    for _ in range(3):
        name = next(name for name, state in await on_bed_5(lane) if state == "asked")
        await lane.press(name, lane.private(name)[-1], NO.get(name, "I can't"))
        await lane.look()
    people = [name for name, _ in await on_bed_5(lane)]
    assert len(people) == len(set(people)) == 4


async def test_when_everybody_passes_the_organiser_hears_what_is_missing_and_by_when(lane: Talk) -> None:
    few = ("Miriam", "Kasia", "Leila")
    for name in set(ADULTS) - set(few):
        await lane.change(name, left_at=lane.stage.clock.at)
    lane.weather([calm(), EDGE])
    for _ in range(4):
        lane.stage.clock.at += timedelta(minutes=1)
        await lane.look()
        for name in few:
            no = NO.get(name, "I can't")
            question = next((one for one in reversed(lane.private(name)) if no in labels(one)), None)
            if question is not None:
                await lane.press(name, question, no)
    told = [message for message in lane.private("Miriam") if "I can't find enough people by 20:36" in message.text]
    assert told, "the organiser is told"
    assert "Missing: people who have not said no." in texts(told)
    assert not any("find enough people" in texts(lane.private(name)) for name in few[1:])
    assert "needed" in lane.standing().text
    assert not any(name in texts(lane.group()) for name in few), "nobody is named for a no"


async def test_not_done_by_any_member_reopens_it_names_nobody_and_asks_anew(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    assert "Not done" not in labels(lane.standing())
    await lane.press("Leila", lane.private("Leila")[-1], "Done")
    (which,) = await lane.press("Owen", lane.standing(), "Not done")
    assert which.chat_id == lane.user("Owen"), "between the two of us"
    assert labels(which) == ["Earth up: Bed 5"]
    said = await lane.press("Owen", which, "Earth up: Bed 5")
    assert "open again" in texts(said)
    standing = lane.standing()
    line = next(line for line in standing.text.splitlines() if "Earth up" in line)
    assert "Leila" not in line and "Owen" not in line and "needed" in line
    await lane.look()
    assert [state for _, state in await on_bed_5(lane)].count("asked") == 1
    again = await lane.press("Owen", which, "Earth up: Bed 5")
    assert "open again" not in texts(again), "pressed twice, it counts once"


async def test_a_bed_that_was_not_covered_after_all_stands_uncovered_in_the_records(lane: Talk) -> None:
    await called(lane)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobione")
    (which,) = await lane.press("Owen", lane.standing(), "Not done")
    await lane.press("Owen", which, labels(which)[0])
    await lane.look()
    assert "Cover: Bed 2" in lane.standing().text
    states = [duty.state for duty, _ in await lane.duties() if duty.kind == "cover" and "carrot" in duty.crops]
    assert states == [TaskState.OPEN]


async def test_an_uncovering_that_was_not_done_is_asked_for_again(lane: Talk) -> None:
    await called(lane)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobione")
    await lane.until(5, "07:30", every_min=150)
    lane.weather([calm()])
    await lane.look()
    (who,) = [
        name
        for name in ADULTS
        for duty, asks in await lane.duties()
        if duty.kind == "uncover" and asks and asks[0].member_id == await lane.member(name)
    ]
    await lane.press(who, lane.standing(), "Done")
    assert f"Done, thank you {who}" in lane.standing().text
    (which,) = await lane.press("Owen", lane.standing(), "Not done")
    await lane.press("Owen", which, labels(which)[0])
    assert f"Done, thank you {who}" not in lane.standing().text
    assert "Uncover: Bed 2" in lane.standing().text


async def test_the_morning_after_the_night_itself_can_not_be_reopened(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    await lane.press("Leila", lane.private("Leila")[-1], "Done")
    (which,) = await lane.press("Owen", lane.standing(), "Not done")
    await lane.until(5, "07:30", every_min=150)
    assert "no longer needed" in texts(await lane.press("Owen", which, labels(which)[0]))


async def test_a_member_who_blocks_the_bot_is_replaced_at_once_and_the_group_is_told_with_a_mention(lane: Talk) -> None:
    await called(lane)
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    lane.stage.api.block(lane.user("Leila"))
    said = await lane.settled()
    (told,) = (message for message in said if message.chat_id == lane.group_id and not message.edited_at)
    assert told.text.startswith("Leila, I can't write to you privately now")
    assert told.entities[0]["url"] == f"tg://user?id={lane.user('Leila')}"
    await lane.look()
    assert [state for _, state in await on_bed_5(lane)] == ["passed", "asked"]


async def test_a_message_that_is_refused_counts_as_a_no_and_is_told_once(lane: Talk) -> None:
    lane.stage.api.chats[lane.user("Leila")].statuses[lane.user("Leila")] = "kicked"
    await called(lane)
    assert texts(lane.group()).count("I can't write to you privately") == 1
    await lane.look()
    assert [state for _, state in await on_bed_5(lane)] == ["passed", "asked"]
    await lane.until(4, "20:00", every_min=120)
    assert texts(lane.group()).count("I can't write to you privately") == 1


async def test_somebody_with_nothing_to_do_who_blocks_the_bot_is_not_spoken_of(lane: Talk) -> None:
    lane.stage.api.block(lane.user("Leila"))
    assert await lane.settled() == []


async def test_whoever_comes_back_can_be_asked_again(lane: Talk) -> None:
    lane.stage.api.block(lane.user("Leila"))
    lane.stage.api.unblock(lane.user("Leila"))
    await lane.settled()
    await called(lane)
    assert [name for name, _ in await on_bed_5(lane)] == ["Leila"]


async def test_silence_is_followed_by_a_reminder_then_the_next_person(lane: Talk) -> None:
    await called(lane)
    await lane.agree(but="Leila")
    await lane.until(4, "11:30", every_min=60)
    assert await on_bed_5(lane) == [("Leila", "asked")]
    assert "You have not answered yet" not in texts(lane.private("Leila"))
    await lane.until(4, "14:30", every_min=60)
    assert "You have not answered yet" in lane.private("Leila")[-1].text
    (leila, silent), *others = await on_bed_5(lane)
    assert (leila, silent) == ("Leila", "silent") and others
    said = await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    assert "Thank you" in texts(said), "late is welcome"


async def test_a_no_after_the_reminder_is_heard_as_a_no_though_somebody_else_was_asked_with_it(lane: Talk) -> None:
    await called(lane)
    await lane.agree(but="Leila")
    await lane.until(4, "14:30", every_min=60)
    said = await lane.press("Leila", lane.private("Leila")[-1], "I can't")
    assert "All right" in texts(said)
    (leila, state), *others = await on_bed_5(lane)
    assert (leila, state) == ("Leila", "passed") and others


async def test_morning_work_that_nobody_answers_for_is_reminded_of_too(lane: Talk) -> None:
    await called(lane)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobione")
    await lane.until(5, "07:30", every_min=150)
    lane.weather([calm()])
    said = await lane.until(5, "19:00", every_min=100)
    assert "You have not answered yet" in texts(said) or "Nie ma jeszcze twojej odpowiedzi" in texts(said)
    states = [ask.state for duty, asks in await lane.duties() if duty.kind == "uncover" for ask in asks]
    assert AskState.SILENT in states and len(states) >= 2


async def test_whoever_needs_a_hand_gets_one_more_person_once_and_the_group_is_asked(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(5, "11:00")
    before = {duty.id: duty.people for duty, _ in await lane.duties()}
    (thanks,) = [
        one for one in await lane.press("Leila", lane.standing(), "I'll do it") if one.chat_id == lane.user("Leila")
    ]
    said = await lane.press("Leila", thanks, "One more person")
    assert "Leila needs one more person by" in texts(lane.group())
    assert "I will look for one more person for you" in texts(said)
    said = await lane.press("Leila", thanks, "One more person")
    assert "I already have your answer, thank you." in texts(said)
    await lane.write("Leila", "I need a hand")
    assert texts(lane.group()).count("needs one more person") == 1
    leila = await lane.member("Leila")
    await lane.look()
    yes = leila, AskState.ACCEPTED
    mine = [(duty, asks) for duty, asks in await lane.duties() if yes in [(ask.member_id, ask.state) for ask in asks]]
    assert mine and all(duty.people == before[duty.id] + 1 for duty, _ in mine)
    assert all(len(asks) > before[duty.id] for duty, asks in mine), "the next look asks somebody by name"


async def test_nobody_gets_a_hand_for_what_is_not_theirs(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(5, "11:00")
    await lane.write("Robin", "One more person")
    assert "needs one more person" not in texts(lane.group())
