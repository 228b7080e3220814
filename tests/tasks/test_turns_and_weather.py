"""Water, hoses and houses by turns: what a dry spell, a hose ban, a cold night and a frost make of the lists."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.core.warnings.hazards import TaskKind
from bot.storage.states import TaskState
from tests.support.invented_weather import calm
from tests.support.paged import page_with, pressed, whole
from tests.support.talk import Talk, labels, texts
from tests.tasks.turn_lists import EVERYBODY, WARM, asked, lists, name_of, rows, tuesday

# -- water, and the hose ban


async def test_a_dry_spell_brings_water_by_litres_and_a_hose_ban_is_said(lane: Talk) -> None:
    dry = (9.0, 17.0, 60.0, 3.0, 6.0, 0.0)
    for day in range(4, 13):
        lane.weather([dry] * 4)
        await lane.until(day, "20:00", every_min=240)
        lane.weather([dry] * 4)
    await lane.press("Miriam", await lane.said("Miriam", "/hoseban"), "There is a ban")
    for _ in range(8):
        lane.weather([dry] * 4)
        at = lane.stage.clock.at
        await lane.until(at.day + 1, "08:00", every_min=120)
        found = [one for name in EVERYBODY for one in lists(lane, name) if one.at > at and "Water" in one.text]
        if any("hose ban" in one.text for one in found):
            break
    else:
        pytest.fail("no watering in a fortnight without rain")
    given = found[-1]
    assert "litre" in given.text and "can" in given.text
    assert "Cans only: there is a hose ban." in given.text
    who = name_of(lane, given)
    await lane.press(who, given, labels(given)[0])
    named = [one for walk, _ in await rows(lane) for one in walk if one.state is TaskState.DONE]
    assert named
    lane.weather([dry] * 4)
    watered = {one.place_id for one in named if one.kind is TaskKind.WATER}
    await lane.until(lane.stage.clock.at.day + 1, "08:00", every_min=120)
    tomorrow = lane.stage.clock.at.date()
    again = [one for walk, _ in await rows(lane) for one in walk if one.on == tomorrow]
    assert not watered & {one.place_id for one in again if one.kind is TaskKind.WATER}, "watered is watered"


async def test_the_evening_and_the_morning_go_to_both_on_call(lane: Talk) -> None:
    """A warm day before a cool night: open in the morning, close by sunset."""
    cool = (7.0, 21.0, 45.0, 2.0, 5.0, 0.0)
    await lane.until(4, "21:30", every_min=240)
    lane.weather([calm()] + [cool] * 3)
    await lane.until(5, "06:30", every_min=240)
    lane.weather([cool] * 3)
    await lane.until(5, "07:30", every_min=30)
    found = {name: lists(lane, name)[-1].text for name in asked(lane)}
    assert set(found) == {"Miriam", "Tobias"} or all("Open" in text and "Close" in text for text in found.values())
    assert sum("Open Greenhouse" in text for text in found.values()) == 1
    assert sum("Close Greenhouse" in text for text in found.values()) == 1
    after = lane.stage.clock.at + timedelta(hours=14)
    (((morning,), _), ((evening,), _)) = await rows(lane)
    assert morning.due_at < evening.due_at < after


async def the_day_after(lane: Talk, tuesday_name: str, *, done: bool) -> list[str]:
    """A cool Wednesday before a cold night, after a Tuesday on which the greenhouse was opened. Gives the lists of it."""
    cool = (6.0, 15.0, 85.0, 2.0, 5.0, 0.5)
    if done:
        await lane.press(tuesday_name, lists(lane, tuesday_name)[-1], "Done")
    await lane.until(5, "21:30", every_min=240)
    lane.weather([WARM, *[cool] * 3])
    await lane.until(6, "06:30", every_min=240)
    lane.weather([cool] * 3)
    at = lane.stage.clock.at
    await lane.until(6, "07:30", every_min=30)
    return [one.text for name in EVERYBODY for one in lists(lane, name) if one.at > at]


@pytest.mark.parametrize("done", [True, False])
async def test_a_house_that_was_opened_is_shut_before_the_next_cold_night_even_if_nobody_said_so(
    lane: Talk, done: bool
) -> None:
    name = name_of(lane, await tuesday(lane))
    (given,) = await the_day_after(lane, name, done=done)
    assert "Close Greenhouse by" in given and "the night will be cool" in given
    assert "Open" not in given


async def test_hoses_are_drained_once_before_a_hard_frost_and_not_again_the_day_after(lane: Talk) -> None:
    hard = (-6.0, 4.0, 10.0, 1.5, 4.0, 0.0)
    found: list[str] = []
    for day in (5, 6):
        lane.weather([calm() if day == 5 else hard, hard, hard, hard])
        await lane.until(day, "06:30", every_min=240)
        lane.weather([hard] * 4)
        at = lane.stage.clock.at
        await lane.until(day, "07:30", every_min=30)
        fresh = [(name, one) for name in EVERYBODY for one in lists(lane, name) if one.at > at]
        found.append(texts(one for _, one in fresh))
        for name, one in fresh:
            await lane.press(name, one, labels(one)[0])
    drain = ("Drain the hoses by", "Spuścić wodę z węży do")  # Kasia reads Polish
    assert any(words in found[0] for words in drain) and not any(words in found[1] for words in drain)


async def test_the_walks_go_to_and_fro_between_the_two_on_call_though_only_one_holds_the_key(lane: Talk) -> None:
    given: list[str] = []
    for day in range(5, 10):
        lane.weather([WARM] * 4)
        await lane.until(day, "06:30", every_min=480)
        lane.weather([WARM] * 4)
        at = lane.stage.clock.at
        await lane.until(day, "07:30", every_min=30)
        fresh = [(name, one) for name in EVERYBODY for one in lists(lane, name) if one.at > at]
        for name, one in fresh:
            await lane.press(name, one, "I'll do it")
        given += [name for name, _ in fresh]
    assert len(given) == 5
    assert set(given) == {"Miriam", "Tobias"}


async def test_a_watering_of_ones_own_bed_says_why_with_past_days_and_whose_figures_they_are(lane: Talk) -> None:
    dry = (10.0, 18.0, 50.0, 3.0, 6.0, 0.0)
    for day in range(4, 12):
        lane.weather([dry] * 4)
        await lane.until(day, "20:00", every_min=480)
    week = await page_with(lane, "Tobias", "/week", "Water: Bed 1")
    line = next(one for one in week.text.splitlines() if "Water: Bed 1" in one)
    assert "litres" in line and "cans" in line
    (job,) = await lane.press("Tobias", week, f"Job {line.split('.')[0]}")
    why = await pressed(lane, "Tobias", job, "Why")
    assert "Plants and sun used" in why and "days." in why
    assert "will be missing" in why and "does no harm" in why
    assert "nothing was measured here" in why
    await lane.press("Tobias", job, "Done")
    lane.weather([dry] * 4)
    await lane.until(12, "09:00", every_min=480)
    assert "Water: Bed 1" not in await whole(lane, "Tobias", "/week")


async def test_a_list_for_a_day_with_a_storm_says_when_nobody_should_be_out(lane: Talk) -> None:
    # Nobody is sent out in gusts of 35 mph (15.6 m/s) or more: common practice, no source.
    dry, stormy = (9.0, 17.0, 60.0, 3.0, 6.0, 0.0), (9.0, 17.0, 60.0, 8.0, 20.0, 0.0)
    seen: list[str] = []
    for day in range(4, 16):
        lane.weather([stormy, stormy])
        at = lane.stage.clock.at
        await lane.until(day + 1, "07:30", every_min=240)
        seen += [one.text for name in EVERYBODY for one in lists(lane, name) if one.at > at]
        if seen:
            break
        lane.weather([dry, stormy])
    assert seen, "twelve days without rain want water"
    assert all("Do not go out from" in text and "dangerous" in text for text in seen), seen


async def test_a_call_to_everybody_on_a_day_with_a_storm_says_when_nobody_should_be_out(lane: Talk) -> None:
    """The same gusts as above; whoever has the turn can't, so that everybody is asked."""
    dry, stormy = (9.0, 17.0, 60.0, 3.0, 6.0, 0.0), (9.0, 17.0, 60.0, 8.0, 20.0, 0.0)
    for hour in range(24, 12 * 24):
        day, clock = 4 + hour // 24, f"{hour % 24:02}:00"
        if clock == "06:00":
            lane.weather([stormy, stormy])
        await lane.until(day, clock)
        if asked(lane):
            break
        if clock == "08:00":
            lane.weather([dry, stormy])
    for _ in EVERYBODY:
        for name in asked(lane):
            await lane.write(name, "I can't")
        await lane.look()
    (call,) = [one for one in lane.group() if one.text.startswith("Who can help today")]
    told = [one for one in lane.private("Miriam") if one.text.startswith("Nobody is free for today's turn")]
    assert told
    assert all("Do not go out from" in one.text and "dangerous" in one.text for one in (call, *told))
