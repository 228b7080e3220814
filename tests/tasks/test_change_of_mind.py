"""Forecasts change: what flips does not stutter, who is free again hears of it, and what is earlier rings anew."""

from __future__ import annotations

from bot.demo.weather import Day
from bot.storage.states import AskState, TaskState
from tests.support.group_messages import by_event
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, texts

NAMES = ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana", "Robin")
#: A night between harm and none, invented: only potatoes may suffer.
EDGE: Day = (4.0, 14.0, 20.0, 1.0, 4.0, 0.0)


#: Two windy days, invented: the gusts of the second pass what is safe two hours earlier.
WINDY: Day = (7.0, 14.0, 90.0, 11.0, 19.5, 0.0)
WINDIER: Day = (7.0, 14.0, 90.0, 11.0, 27.0, 0.0)


async def test_a_forecast_that_flips_every_six_hours_does_not_make_the_group_stutter(lane: Talk) -> None:
    for flip in range(8):
        days_until = 2 if lane.stage.clock.at.day == 4 else 1
        lane.weather([*[calm()] * days_until, COLD if flip % 2 == 0 else calm()])
        hour = 10 + 6 * (flip + 1)
        await lane.until(4 + hour // 24, f"{hour % 24:02}:00", every_min=120)
    (event,) = await by_event(lane.stage.app.database)
    assert "called off" not in event.kinds
    assert len(event.kinds) == len(set(event.kinds)) <= 4, event.kinds


async def test_people_are_asked_once_however_often_their_bed_is_in_danger_and_out_of_it(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    asked = {name: len(lane.private(name)) for name in ("Kasia", "Leila")}
    for hour, colder in ((10, False), (11, True)):
        lane.weather([calm(), COLD if colder else EDGE])
        await lane.until(4, f"{hour}:30")
    assert {name: len(lane.private(name)) for name in asked} == asked


async def test_who_had_said_yes_hears_when_the_night_is_called_off_and_who_had_not_is_left_in_peace(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(4, "13:00")
    await lane.press("Leila", lane.private("Leila")[-1], "I'll do it")
    heard = len(lane.private("Owen"))
    lane.weather([calm()] * 5)
    said = await lane.until(5, "09:00", every_min=120)
    assert "I no longer think harmful cold" in texts(lane.group())
    (free,) = (message for message in said if message.chat_id == lane.user("Leila"))
    assert "You do not need to come for cold" in free.text and "Earth up: Bed 5" in free.text
    assert not free.keyboard
    assert len(lane.private("Owen")) == heard
    later = await lane.until(5, "18:00", every_min=180)
    assert not [message for message in later if message.chat_id == lane.user("Leila")], "once is enough"
    assert {duty.state for duty, _ in await lane.duties()} == {TaskState.DROPPED}


async def test_one_bed_that_is_safe_again_frees_its_person_while_the_rest_goes_on(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(4, "13:00")
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    lane.weather([calm(), calm(), EDGE])
    await lane.until(4, "15:00")
    assert len(lane.private("Kasia")) == 1, "not before it is sure"
    lane.weather([calm(), calm(), EDGE])
    said = await lane.until(5, "10:00", every_min=120)
    (free,) = (one for one in said if one.chat_id == lane.user("Kasia") and "Bed 2" in one.text)
    assert "marchew" in free.text and not free.keyboard
    assert "I no longer think" not in texts(lane.group())
    assert any(duty.state is TaskState.OPEN for duty, _ in await lane.duties())


async def test_what_was_covered_before_the_all_clear_is_to_be_uncovered(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(4, "13:00")
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobione")
    lane.weather([calm()] * 5)
    await lane.until(5, "09:00", every_min=120)
    off = lane.standing()
    assert "I no longer think harmful cold" in off.text and "Uncover: Bed 2" in off.text
    undone = [(duty.state, len(asks)) for duty, asks in await lane.duties() if duty.kind == "uncover"]
    assert undone == [(TaskState.OPEN, 1)]


async def test_cold_that_comes_back_finds_covered_beds_covered_and_asks_for_uncovered_ones_again(lane: Talk) -> None:
    lane.weather([calm(), calm(), calm(), COLD])
    await lane.until(5, "13:00", every_min=180)
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobię to")
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobione")
    lane.weather([calm()] * 5)
    await lane.until(6, "07:00", every_min=120)
    await lane.press("Kasia", lane.standing(), "I'll do it")
    await lane.press("Kasia", lane.private("Kasia")[-1], "Zrobione")
    lane.weather([calm(), COLD])
    await lane.look()
    covers = [duty for duty, _ in await lane.duties() if duty.kind == "cover" and duty.state is TaskState.OPEN]
    assert "Bed 2" in lane.standing().text and len(covers) >= 2
    assert not [duty for duty, _ in await lane.duties() if duty.kind == "uncover" and duty.state is TaskState.OPEN]


async def test_a_wind_that_comes_earlier_rings_anew_for_those_who_said_yes_and_only_for_them(lane: Talk) -> None:
    lane.weather([calm(), WINDY])
    await lane.until(4, "11:00")
    asked = {ask.member_id for _, asks in await lane.duties() for ask in asks if ask.state is AskState.ASKED}
    on_it = [name for name in NAMES if await lane.member(name) in asked]
    who = on_it[0]
    await lane.press(who, lane.private(who)[-1], "I'll do it")
    before = {duty.id: duty.due_at for duty, _ in await lane.duties()}
    lane.weather([calm(), WINDIER])
    said = await lane.look()
    after = {duty.id: duty.due_at for duty, _ in await lane.duties()}
    assert any((before[id_] - after[id_]).total_seconds() > 1800 for id_ in before), "the story needs an earlier wind"
    (earlier,) = (message for message in said if message.chat_id == lane.user(who))
    assert "It is earlier than I said. Please finish by" in earlier.text
    idle = {lane.user(name) for name in NAMES if name not in on_it}
    assert idle and not [message for message in said if message.chat_id in idle]
    assert not [m for m in await lane.look() if m.chat_id == lane.user(who)], "once"
