"""By name, a reminder, openly, the organisers: in that order, and while somebody can still act; afterwards, was it done?"""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from bot.chat.wire.world import Message
from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.talk import ADULTS, COLD, Talk, labels, texts

ZONE = ZoneInfo("Europe/London")


def clock(message: Message) -> str:
    return f"{message.at.astimezone(ZONE):%H:%M}"


async def test_a_frost_found_three_hours_before_dusk_is_called_by_name_then_openly_and_by_the_organisers(
    lane: Talk,
) -> None:
    """Found at 17:30 for 20:36, and nobody answers: everything comes while there is still time to act."""
    await lane.until(4, "17:30", every_min=240)
    lane.weather([calm(), COLD])
    await lane.look()
    (asked,) = [one for one in lane.private("Leila") if "Can you help by 20:36" in one.text]
    assert clock(asked) == "17:30" and "Bed 5" in asked.text
    await lane.until(4, "20:30", every_min=15)
    (reminded,) = [one for one in lane.private("Leila") if one.text.startswith("You have not answered yet")]
    (openly,) = [one for one in lane.group() if one.text.startswith("We still need help by 20:36")]
    told = [one for one in lane.private("Miriam") if "I can't find enough people" in one.text]
    assert "Bed 5" in openly.text and "Bed 2" in openly.text, "whatever nobody has said yes to"
    assert "Missing: people who have said yes." in told[0].text and len(told) == 1
    assert clock(reminded) == "18:15"
    assert clock(openly) == clock(told[0]) == "18:45", "nearly two hours before it is too late"


async def test_what_everybody_has_said_yes_to_is_not_called_for(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.agree()
    open_ = [duty for duty, _ in await lane.duties() if duty.state is TaskState.OPEN]
    await lane.until(4, "20:30", every_min=30)
    called = [one for one in lane.group() if one.text.startswith("We still need help")]
    assert bool(called) is bool(open_)
    assert "Bed 5" not in texts(called)


async def test_silence_frees_a_duty_for_the_next_person_who_still_has_time_to_answer(lane: Talk) -> None:
    await lane.until(4, "17:30", every_min=240)
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.agree(but="Leila")
    await lane.until(4, "20:30", every_min=15)
    leila = await lane.member("Leila")
    first, *_ = [asks for _, asks in await lane.duties() if asks[0].member_id == leila]
    assert first[0].state is AskState.SILENT
    assert {ask.member_id for ask in first[1:]}, "somebody else was asked"
    assert first[1].asked_at.astimezone(ZONE) <= datetime(2026, 5, 4, 19, 15, tzinfo=ZONE)


async def test_who_says_nothing_has_others_asked_the_same_day_and_the_group_is_not_rung(lane: Talk) -> None:
    """A frost called at 10:00 for 20:36: after a third of the time until the group would be asked Leila is reminded, and
    somebody else is asked, too."""
    lane.weather([calm(), COLD])
    await lane.look()
    for clock_at in ("10:00", "11:00", "12:00", "13:00", "14:30", "15:30", "17:00", "18:30", "19:30", "20:30"):
        await lane.until(4, clock_at, every_min=30)
        for name in ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Marcus", "Hana"):
            for one in lane.private(name):
                if yes := {"I'll do it", "Zrobię to"} & {*labels(one)}:
                    await lane.press(name, one, *yes)
    (reminded,) = [one for one in lane.private("Leila") if one.text.startswith("You have not answered yet")]
    assert "12:30" <= clock(reminded) <= "13:30"
    (bed,) = [asks for duty, asks in await lane.duties() if asks and asks[0].member_id == await lane.member("Leila")]
    assert [ask.state for ask in bed] == [AskState.SILENT, AskState.ACCEPTED]
    assert "12:30" <= f"{bed[1].asked_at.astimezone(ZONE):%H:%M}" <= "14:00", "looks are half an hour apart here"
    assert not [one for one in lane.group() if one.text.startswith("We still need help")]


async def test_two_who_say_nothing_are_passed_by_and_the_third_stays_asked_until_the_group_is(lane: Talk) -> None:
    """A garden whose people are at work is not asked from the first to the last for a job of one."""
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.agree(but="Leila")
    await lane.until(4, "18:30", every_min=30)
    (bed,) = [asks for duty, asks in await lane.duties() if asks and asks[0].member_id == await lane.member("Leila")]
    assert [ask.state for ask in bed] == [AskState.SILENT, AskState.SILENT, AskState.ASKED]
    await lane.until(4, "19:00", every_min=15)
    assert [one for one in lane.group() if one.text.startswith("We still need help")]


async def test_a_garden_whose_people_are_all_at_work_is_reminded_once_and_not_asked_around_among_itself(
    lane: Talk,
) -> None:
    """Nobody answers: nobody is asked for what another was asked for, until everybody is asked openly."""
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.until(4, "18:30", every_min=15)
    for name in ADULTS:
        asked = [one for one in lane.private(name) if "Can you help by" in one.text]
        assert [one.text.startswith("You have not answered yet") for one in asked] in ([], [False, True]), name
    await lane.until(4, "19:00", every_min=15)
    assert [one for one in lane.group() if one.text.startswith("We still need help")]


async def test_one_who_says_yes_late_is_asked_for_what_another_does_not_answer_and_the_others_for_nothing_new(
    lane: Talk,
) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.until(4, "17:00", every_min=15)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    heard = {name: len(lane.private(name)) for name in ADULTS}
    await lane.until(4, "18:30", every_min=15)
    assert [name for name in ADULTS if len(lane.private(name)) > heard[name]] == ["Kasia"]
    kasia = await lane.member("Kasia")
    asked = [
        asks for _, asks in await lane.duties() if (kasia, AskState.ASKED) in [(a.member_id, a.state) for a in asks]
    ]
    assert len(asked) == 1 and AskState.SILENT in [ask.state for ask in asked[0]], (
        "one kind of work is enough at a time"
    )


async def working_without_a_tap(lane: Talk) -> list[Message]:
    """Leila says yes and no more; gives what is said to him the morning after."""
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    await lane.until(4, "20:30", every_min=120)
    heard = len(lane.private("Leila"))
    await lane.until(4, "21:30", every_min=30)
    if len(lane.private("Leila")) > heard:
        await lane.press("Leila", lane.private("Leila")[-1], "I'm safely home")
    lane.weather([calm()] * 4)
    said = await lane.until(5, "12:00", every_min=60)
    return [one for one in said if one.chat_id == lane.user("Leila") and one.text.startswith("Was it done?")]


async def leilas(lane: Talk) -> list[TaskState]:
    leila = await lane.member("Leila")
    yes = [
        duty
        for duty, asks in await lane.duties()
        if any(ask.member_id == leila and ask.state is AskState.ACCEPTED for ask in asks) and duty.kind != "uncover"
    ]
    return [duty.state for duty in yes]


async def test_whoever_works_and_never_taps_is_asked_once_in_the_morning_and_one_tap_counts_it(lane: Talk) -> None:
    (question,) = await working_without_a_tap(lane)
    assert "Bed 5" in question.text and labels(question) == ["Done", "Not done"]
    await lane.press("Leila", question, "Done")
    assert set(await leilas(lane)) == {TaskState.DONE}
    later = await lane.until(6, "12:00", every_min=240)
    assert not [one for one in later if one.text.startswith("Was it done?")]


async def test_not_done_is_no_matter_and_counts_for_nobody(lane: Talk) -> None:
    (question,) = await working_without_a_tap(lane)
    (said,) = await lane.press("Leila", question, "Not done")
    assert said.text == "Thank you for telling me. That is fine." and not labels(said)
    assert await leilas(lane) == []


async def test_what_somebody_else_reported_done_is_not_asked_about_and_is_to_the_credit_of_who_had_said_yes(
    lane: Talk,
) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    (question,) = await lane.press("Hana", lane.standing(), "Done")
    await lane.press("Hana", question, "All jobs")
    assert set(await leilas(lane)) == {TaskState.DONE}
    lane.weather([calm()] * 4)
    said = [*await lane.until(4, "21:00", every_min=180), *await lane.until(5, "12:00", every_min=120)]
    assert not [one for one in said if one.text.startswith("Was it done?")]


async def test_a_yes_after_silence_takes_all_that_they_were_asked_for_and_nobody_else_has_taken(lane: Talk) -> None:
    """All but one have said yes by the evening."""
    await lane.until(4, "17:30", every_min=240)
    lane.weather([calm(), COLD])
    await lane.look()
    for name in ("Miriam", "Kasia", "Deepa", "Owen", "Leila", "Hana"):
        for one in lane.private(name):
            if yes := {"I'll do it", "Zrobię to"} & {*labels(one)}:
                await lane.press(name, one, *yes)
    await lane.until(4, "19:15", every_min=15)
    tobias = await lane.member("Tobias")
    before = {duty.id: ask.state for duty, asks in await lane.duties() for ask in asks if ask.member_id == tobias}
    assert len(before) > 1 and set(before.values()) == {AskState.SILENT}
    ask = next(one for one in lane.private("Tobias") if "I'll do it" in labels(one))
    await lane.press("Tobias", ask, "I'll do it")
    after = {duty.id: ask.state for duty, asks in await lane.duties() for ask in asks if ask.member_id == tobias}
    assert after == dict.fromkeys(before, AskState.ACCEPTED)
