"""The daily work by turns, in the chat: one list in the morning for whoever is on call, and nothing when nothing is wanted."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from sqlalchemy import select

from bot.chat.people import departures
from bot.chat.tasks import daily
from bot.chat.wire.world import Message
from bot.services.garden import places
from bot.services.people import leaving
from bot.services.tasks import rota
from bot.storage.garden import gardens
from bot.storage.models import Place
from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.paged import page_with, pressed, whole
from tests.support.talk import Talk, labels, texts
from tests.tasks.turn_lists import EVERYBODY, FIRST, HOT, WARM, asked, lists, name_of, rows, tuesday

# -- what is said


async def test_whoever_is_on_call_gets_one_list_in_the_morning_and_nobody_else_anything(lane: Talk) -> None:
    given = await tuesday(lane)
    who = name_of(lane, given)
    assert who in ("Miriam", "Tobias"), "they are on call that week"
    assert given.at == datetime(2026, 5, 5, 6, 0, tzinfo=UTC), "7:00 in summer time, when the quiet hours end"
    assert "Open Greenhouse by" in given.text
    assert labels(given) == ["Done", "I can't", "I'll do it", "Why"]
    assert {name: len(lists(lane, name)) for name in EVERYBODY} == {name: int(name == who) for name in EVERYBODY}
    assert not any("Greenhouse" in message.text for message in lane.group())


async def test_a_locked_house_comes_with_a_word_about_the_key(lane: Talk) -> None:
    given = await tuesday(lane)
    assert name_of(lane, given) == "Miriam", "of the two on call, neither of whom has had a turn yet, she holds a key"
    assert "Greenhouse is locked: take your key." in given.text
    await lane.press("Miriam", given, "I can't")
    await lane.look()
    (theirs,) = lists(lane, "Tobias")
    assert "Greenhouse is locked: Miriam or Deepa can lend you a key." in theirs.text


async def test_nobody_is_written_to_when_nothing_is_wanted(lane: Talk) -> None:
    """Three mild, damp days."""
    for day in (4, 5, 6):
        lane.weather([calm()] * 3)
        await lane.until(day, "20:00", every_min=120)
    assert asked(lane) == []
    assert await rows(lane) == []


async def test_however_often_the_watch_looks_the_list_is_sent_once_a_day(lane: Talk) -> None:
    given = await tuesday(lane)
    await lane.until(5, "18:00", every_min=20)
    assert len(lists(lane, name_of(lane, given))) == 1
    assert len(await rows(lane)) == 1


async def test_a_hot_day_is_the_warnings_and_brings_no_list_besides(lane: Talk) -> None:
    lane.weather([calm(), HOT, HOT])
    await lane.until(5, "06:30", every_min=60)
    lane.weather([HOT, HOT])
    await lane.until(5, "09:00", every_min=30)
    assert any(duty.kind == "vent" for duty, _ in await lane.duties())
    assert asked(lane) == []


async def test_without_a_forecast_nothing_is_guessed_and_the_list_comes_with_the_forecast(lane: Talk) -> None:
    await lane.until(4, "21:30", every_min=240)
    lane.weather([calm()] + [WARM] * 3)
    kept = lane.forecast.read_text()
    lane.forecast.unlink()
    await lane.until(5, "08:00", every_min=60)
    assert asked(lane) == []
    lane.forecast.write_text(kept)
    lane.weather([WARM] * 3)
    await lane.until(5, "08:30", every_min=30)
    assert len(asked(lane)) == 1


async def test_a_tick_that_is_cut_off_leaves_nothing_half_done_and_the_next_says_it_once(
    lane: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def cut(*_: object, **__: object) -> None:
        raise RuntimeError("the process dies here")

    await lane.until(4, "21:30", every_min=240)
    lane.weather([WARM] * 3)
    await lane.until(5, "06:30", every_min=240)
    lane.weather([WARM] * 3)
    monkeypatch.setattr(daily, "post", cut)
    with pytest.raises(RuntimeError):
        await lane.until(5, "07:30")
    assert await rows(lane) == []
    monkeypatch.undo()
    await lane.until(5, "07:35")  # a garden whose look failed is looked at again after a pause
    assert len(asked(lane)) == 1


# -- answers


async def test_done_is_thanked_once_and_counts_for_fairness(lane: Talk) -> None:
    given = await tuesday(lane)
    who = name_of(lane, given)
    old = Message(**{field: getattr(given, field) for field in given.__dataclass_fields__})
    (said,) = await lane.press(who, given, "Done")
    assert said.text == "Thank you! Done: open up."
    assert labels(said) == []
    again = await lane.press(who, old, "Done")
    assert "I already have your answer, thank you." in texts(again)
    (((turn,), asks),) = await rows(lane)
    assert (turn.state, [ask.state for ask in asks]) == (TaskState.DONE, [AskState.ACCEPTED])
    async with lane.stage.app.database.begin() as session:
        (garden,) = await gardens.all_gardens(session)
        helpers = await rota.helpers(session, await gardens.snapshot(session, garden), lane.stage.clock.at)
    burdens = {one.id: one.burden for one in helpers}
    assert [one for one, burden in burdens.items() if burden > 0] == [await lane.member(who)]


async def test_i_cant_goes_to_the_other_on_call_then_to_the_next_and_nobody_hears_it_twice(lane: Talk) -> None:
    first = await tuesday(lane)
    old = Message(**{field: getattr(first, field) for field in first.__dataclass_fields__})
    (said,) = await lane.press(name_of(lane, first), first, "I can't")
    assert said.text == "All right, I will ask the next person."
    await lane.press(name_of(lane, first), old, "I can't")
    await lane.look()
    (second,) = [one for name in EVERYBODY for one in lists(lane, name)]
    assert {name_of(lane, first), name_of(lane, second)} == {"Miriam", "Tobias"}
    await lane.press(name_of(lane, second), second, "I can't")
    await lane.look()
    await lane.look()
    (third,) = [one for name in EVERYBODY for one in lists(lane, name)]
    assert name_of(lane, third) not in ("Miriam", "Tobias", "Robin")
    assert [message for message in lane.group() if "Greenhouse" in message.text] == []


async def test_when_nobody_is_left_the_group_is_asked_and_organisers_hear_of_it(lane: Talk) -> None:
    await tuesday(lane)
    for _ in range(12):
        for name in EVERYBODY:
            for one in lists(lane, name):
                await lane.press(name, one, labels(one)[1])
        await lane.look()
    call = lane.standing()
    assert call.text.startswith("Who can help today, by")
    assert labels(call) == ["I'll do it", "Why"]
    assert sum(one.text.startswith("Who can help") for one in lane.group()) == 1
    assert any(one.text.startswith("Nobody is free for today's turn:") for one in lane.private("Miriam"))
    assert "we need somebody" in (await lane.said("Owen", "/oncall")).text
    old = Message(**{field: getattr(call, field) for field in call.__dataclass_fields__})
    await lane.press("Robin", old, "I'll do it")
    assert "Only adults" in lane.private("Robin")[-1].text
    await lane.press("Owen", call, "I'll do it")
    assert "Owen will do it today, thank you: open up." in call.text
    assert lane.private("Owen")[-1].text.startswith(FIRST)
    await lane.press("Owen", old, "I'll do it")
    assert "I already have your answer" in lane.private("Owen")[-1].text
    await lane.press("Hana", old, "I'll do it")
    assert "Other people do this job now" in lane.private("Hana")[-1].text
    (((turn,), asks),) = await rows(lane)
    assert [ask.member_id for ask in asks if ask.state is AskState.ACCEPTED] == [await lane.member("Owen")]
    assert turn.state is TaskState.ACCEPTED


async def test_words_do_what_the_buttons_do(lane: Talk) -> None:
    who = name_of(lane, await tuesday(lane))
    assert "I will ask the next person" in texts(await lane.write(who, "I can't"))
    await lane.look()
    other = "Tobias" if who == "Miriam" else "Miriam"
    assert "Thank you! Done: open up." in texts(await lane.write(other, "done"))


async def test_done_the_next_morning_is_thanked_and_missing_it_is_never_mentioned(lane: Talk) -> None:
    given = await tuesday(lane)
    who = name_of(lane, given)
    lane.weather([calm()] * 3)
    await lane.until(6, "09:00", every_min=240)
    (((turn,), _),) = await rows(lane)
    assert turn.state is TaskState.MISSED
    assert not any("missed" in one.text.lower() for name in EVERYBODY for one in lane.private(name))
    assert "Thank you! Done: open up." in texts(await lane.press(who, given, "Done"))
    (((turn,), _),) = await rows(lane)
    assert turn.state is TaskState.DONE and turn.done_at is not None and turn.done_at.date() == turn.on


async def test_a_stranger_and_a_forged_number_change_nothing(lane: Talk) -> None:
    given = await tuesday(lane)
    before = [task.state for walk, _ in await rows(lane) for task in walk]
    for data in ("walk:done:999999", "walk:done:x", "walk:gone:1", "walk:", "walk:take:99999999999"):
        await lane.forge(name_of(lane, given), data, given)
    assert [task.state for walk, _ in await rows(lane) for task in walk] == before
    assert "had not asked you" in texts(await lane.forge("Owen", "walk:no:1", given))
    assert [task.state for walk, _ in await rows(lane) for task in walk] == before


async def test_why_shows_the_numbers(lane: Talk) -> None:
    given = await tuesday(lane)
    said = await pressed(lane, name_of(lane, given), given, "Why")
    assert "Harm begins at 27" in said and "Sources:" in said


# -- people who can't come


async def test_who_is_away_is_replaced_before_and_during_the_day(lane: Talk) -> None:
    await lane.write("Miriam", "/away 2026-05-05 2026-05-05")
    await lane.write("Miriam", "yes")
    given = await tuesday(lane)
    assert name_of(lane, given) == "Tobias"
    await lane.write("Tobias", "/away 2026-05-05 2026-05-06")
    await lane.write("Tobias", "yes")
    await lane.look()
    assert [name for name in asked(lane) if name not in ("Miriam", "Tobias")]
    assert len([1 for _, asks in await rows(lane) for ask in asks if ask.state is AskState.ASKED]) == 1


async def test_who_is_not_free_at_that_hour_or_wants_no_lifting_is_passed_over(lane: Talk) -> None:
    await lane.change("Miriam", per_week=0)
    assert name_of(lane, await tuesday(lane)) == "Tobias"


async def test_whoever_blocks_the_bot_counts_as_a_no(lane: Talk) -> None:
    given = await tuesday(lane)
    who = name_of(lane, given)
    async with lane.stage.app.database.begin() as session:
        await leaving.blocked(session, lane.user(who), lane.stage.clock.at)
    await lane.look()
    assert len([name for name in asked(lane) if name != who]) == 1


# -- the week, and who sees what


async def test_what_is_somebodys_turn_is_on_their_week_and_nobody_elses(lane: Talk) -> None:
    who = name_of(lane, await tuesday(lane))
    mine = await whole(lane, who, "/week")
    assert "Open the vents: Greenhouse" in mine
    assert "Today, open up: your turn, see /turns." in mine
    for name in EVERYBODY:
        if name in (who, "Kasia"):
            continue
        theirs = await whole(lane, name, "/week")
        tomorrow = name in ("Miriam", "Tobias")
        assert ("Open the vents: Greenhouse. By 12:00 today" in theirs) is False
        assert ("Open the vents" in theirs) is tomorrow
        assert f"Today, open up: {who}." in theirs
        assert "find somebody" not in theirs
    assert f"Today, open up: {who}." in (await lane.said("Owen", "/oncall")).text


async def test_done_under_the_weeks_job_settles_the_turn(lane: Talk) -> None:
    who = name_of(lane, await tuesday(lane))
    week = await page_with(lane, who, "/week", "Greenhouse")
    number = next(line.split(".")[0] for line in week.text.splitlines() if "Greenhouse" in line)
    (job,) = await lane.press(who, week, f"Job {number}")
    await lane.press(who, job, "Done")
    await lane.look()
    (((turn,), _),) = await rows(lane)
    assert (turn.state, turn.done_by) == (TaskState.DONE, await lane.member(who))
    assert "thank you" in (await lane.said("Owen", "/oncall")).text


async def test_turns_lists_what_is_mine_today_with_its_buttons(lane: Talk) -> None:
    who = name_of(lane, await tuesday(lane))
    (shown,) = await lane.write(who, "/turns")
    assert shown.text.startswith(FIRST) and labels(shown) == ["Done", "I can't", "I'll do it", "Why"]
    (other,) = await lane.write("Owen", "/turns")
    assert "no open jobs" in other.text


# -- what becomes of it when the records change


async def test_a_place_stays_in_the_records_until_todays_turn_there_is_over(lane: Talk) -> None:
    given = await tuesday(lane)
    assert await _in_use(lane, "Greenhouse") and not await _in_use(lane, "Pot 1")
    await lane.press(name_of(lane, given), given, "Done")
    assert not await _in_use(lane, "Greenhouse")


async def _in_use(lane: Talk, name: str) -> bool:
    async with lane.stage.app.database.begin() as session:
        place = (await session.scalars(select(Place).where(Place.name == name))).one()
        return (await places.hanging(session, place, lane.stage.clock.at)).in_use


async def test_organisers_hear_that_the_turn_of_somebody_who_left_goes_to_others(lane: Talk) -> None:
    await lane.press("Miriam", await tuesday(lane), "I can't")
    await lane.look()
    assert lists(lane, "Tobias")
    now, tobias = lane.stage.clock.at, lane.user("Tobias")
    async with lane.stage.app.database.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        await departures.leave(session, garden.id, tobias, now)
    said = [one.text for one in await lane.settled() if one.chat_id == lane.user("Miriam")]
    assert any("Their turns go to others" in text for text in said)
