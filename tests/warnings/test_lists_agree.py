"""The sheet, the week, the group's message and the private one name the same cover, place, hour and night.

Played by the whole bot in the demo's garden; the weather is invented.
"""

from __future__ import annotations

import re

import pytest

from bot.chat import names
from bot.chat.garden.everyone import voice
from bot.chat.season import wall
from bot.chat.warnings.told import Told
from bot.chat.wire.world import Message
from bot.demo.weather import Day
from bot.i18n import say
from bot.services.look import look
from bot.services.warnings.views import TaskView, view
from bot.storage.models import Garden
from bot.storage.states import AskState
from bot.storage.warnings import warnings as store
from tests.support.invented_weather import calm
from tests.support.paged import pages, whole
from tests.support.talk import COLD, Talk, labels, texts

COLDER: Day = (-3.0, 12.0, 5.0, 1.0, 4.0, 0.0)
ENGLISH = ("Miriam", "Tobias", "Deepa", "Owen", "Leila", "Marcus", "Hana")
SPELLS = {
    "one night": [calm(), COLD],
    "two nights, the second colder": [calm(), (-1.6, *COLD[1:]), COLDER],
    "tomorrow night": [calm(), calm(), COLDER],
}


async def shown(lane: Talk) -> tuple[list[TaskView], str]:
    """The open duties of everything in force, and the lines of the sheet for the gate."""
    app, now = lane.stage.app, lane.stage.clock.at
    async with app.database.begin() as session:
        garden = await session.get_one(Garden, next(iter(lane.stage.groups)))
        outlook = await look(session, garden, app.source, now)
        found = [await view(session, one, outlook) for one in await store.active(session, garden.id, now)]
        told = Told(voice(garden), outlook.crops, now)
        return [duty for one in found for duty in one.open_duties], "\n".join(
            wall.warnings(told, found, has_forecast=True)
        )


def line_of(text: str, place: str) -> str:
    """The line that asks something of a place; not one that brings something into it."""
    lines = text.splitlines()
    bare = [re.sub(r"[Ii]nto [A-Z][a-z]+", "", line) for line in lines]
    found = (line for line, rest in zip(lines, bare, strict=True) if re.search(rf"\b{re.escape(place)}\b", rest))
    return next(found, "")


@pytest.mark.parametrize("spell", SPELLS)
async def test_sheet_week_group_and_private_message_name_the_same(lane: Talk, spell: str) -> None:
    lane.weather(SPELLS[spell])
    said = await lane.until(4, "11:30")
    duties, sheet = await shown(lane)
    assert len(duties) >= 8
    assert len({duty.due_at for duty in duties}) == 1, "one evening, one hour"
    everything = await lane.whole()
    speaks = say("en", "Europe/London")
    for duty in duties:
        hour = speaks.clock(duty.due_at)
        cover = names.cover(speaks, duty.cover) if duty.cover is not None else None
        target = duty.target.name if duty.target is not None else None
        on_sheet, in_group = line_of(sheet, duty.place.name), line_of(everything, duty.place.name)
        assert f"by {hour} on {speaks.day(speaks.local(duty.due_at).date())}" in on_sheet, on_sheet
        assert hour in everything
        for words in (f"with {cover}" if cover else None, f"into {target}" if target else None):
            assert words is None or (words in on_sheet and words in in_group), (words, on_sheet, in_group)
        for name in ENGLISH:
            if not any(each.name == name and each.state is AskState.ASKED for each in duty.asked):
                continue
            private = next(one.text for one in said if one.chat_id == lane.user(name) and "Can you help" in one.text)
            week = await whole(lane, name, "/week")
            asked, mine = line_of(private, duty.place.name), line_of(week, duty.place.name)
            assert hour in private and f"By {hour}" in mine, (private, week)
            for words in (f"ith {cover}" if cover else None, f"nto {target}" if target else None):
                assert words is None or (words in asked and words in mine), (words, asked, mine)


async def test_the_week_never_leads_with_an_hour_that_has_passed(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.until(4, "11:30")
    before = {name: await whole(lane, name, "/week") for name in ("Leila", "Tobias", "Miriam")}
    assert any("By 20:3" in text for text in before.values())
    await lane.until(4, "22:30")
    for name in before:
        text = await whole(lane, name, "/week")
        for hour, minute in re.findall(r"By (\d\d):(\d\d) today", text):
            assert (int(hour), int(minute)) > (22, 30), text


async def test_done_of_a_job_at_several_places_ticks_single_things(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.until(4, "11:30")
    several, name = await bundle(lane)
    (question,) = await lane.press(name, several, "Done")
    first, second, *_ = [label for label in labels(question) if label != "All of these"]
    said = await lane.press(name, question, first)
    assert f"{first} is done." in texts(said)
    done = {duty.place_id for duty, _ in await lane.duties() if duty.state.value == "done"}
    assert len(done) == 1, "the other one stays open"
    ticked = next(one for one in said if second in labels(one))
    await lane.press(name, ticked, second)
    done = {duty.place_id for duty, _ in await lane.duties() if duty.state.value == "done"}
    assert len(done) == 2
    again = texts(await lane.press(name, ticked, "All of these")) if "All of these" in labels(ticked) else ""
    assert "Noted" in again or "no longer on your list" in again


async def bundle(lane: Talk) -> tuple[Message, str]:
    """A job of somebody's week that is at several places, as its number shows it."""
    for name in ("Tobias", "Deepa", "Owen", "Marcus", "Hana", "Miriam"):
        shown = [(week, label) for week in await pages(lane, name, "/week") for label in labels(week)]
        for week, label in [one for one in shown if one[1].startswith("Job ")]:
            (job,) = await lane.press(name, week, label)
            if job.text.startswith(("Bring in", "Cover")) and " and " in job.text.split("(")[-1]:
                return job, name
    raise AssertionError("nobody has a job at several places")
