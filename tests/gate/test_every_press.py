"""Every kind of button, pressed by people who were never given it: each press looks up anew who may.

The table of presses is walked, so that a new kind fails here until it is classed and there is a button to press.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from bot.chat.presses import PRESSES
from bot.chat.wire.world import Message
from bot.core.garden.snapshot import Role
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.garden import gardens
from bot.storage.session import Database
from tests.gate.lists import STRANGER, everything
from tests.gate.pressing import Button, lived_in, pressed
from tests.support.invented_weather import calm, write
from tests.support.talk import MONDAY_AT, Talk, first_who_can
from tests.support.two_gardens import sorrel_yard

#: Only show something, or concern nobody but who presses.
SHOW = {
    "all", "crop", "help", "job", "jwhy", "lang", "me", "more", "notes", "out", "played", "undone", "week", "whole", "why",
}  # fmt: skip
#: Say something to the group or the organisers: nothing else is stored.
SAY = {"ask", "hands", "jgone", "oncall", "report"}
#: What only organisers do.
ORGANISERS = {
    "around", "back", "bind", "cal", "file", "found", "glang", "heard", "hose", "key", "knock", "limit", "limitup", "off",
    "oncall", "own",
    "place", "played", "report", "ruleback", "setup", "site", "unlearn", "warn", "who", "wording",
}  # fmt: skip
#: What only that very person does, for themselves or for whom they help.
OWN = {"adult", "away", "helped", "helps", "home", "mine", "still", "wish"}
#: What any member does.
MEMBERS = {
    "cold", "done", "garden", "hands", "ison", "jall", "jdone", "jgone", "jlater", "jshare", "jtick", "left", "no", "note",
    "notso", "reopen", "so", "stays", "swap", "undo", "walk", "yes",
}  # fmt: skip
#: The door itself; who is let in by it: test_nobody_by_a_name.py and test_groups_and_returns.py.
DOOR = {"join"}


@dataclass(slots=True)
class Yard:
    """lane: the garden in question. outsiders: accounts without rights in it, by what they are."""

    lane: Talk
    outsiders: dict[str, int]
    shown: dict[str, list[Button]]


@pytest.fixture
async def yard(furnished_database: Database, tmp_path: Path) -> AsyncIterator[Yard]:
    """Teasel Lane, in which Hana has been an organiser; Sorrel Yard beside it, of which Petra is one; and a stranger."""
    database = furnished_database
    async with database.begin() as session:
        await sorrel_yard(session, (await gardens.all_gardens(session))[0], MONDAY_AT)
    forecast = tmp_path / "forecast.json"
    write(forecast, [calm()] * 10, MONDAY_AT)
    async with on_stage(database, Source(f"file:{forecast}"), MONDAY_AT, first_who_can) as stage:
        lane = Talk(stage, forecast)
        stage.api.add_user(STRANGER, "Miriam")
        outsiders = {"a stranger": STRANGER, "another garden's": lane.user("Petra"), "removed": lane.user("Hana")}
        for user in outsiders.values():
            stage.api.chats[lane.group_id].statuses[user] = "member"
            stage.api.write(user, user, "/help")
        await lane.settled()
        await lane.change("Hana", role=Role.ORGANISER)
        shown = await lived_in(lane)
        await lane.change("Hana", role=Role.MEMBER, left_at=MONDAY_AT, removed_at=MONDAY_AT)
        yield Yard(lane, outsiders, shown)


def test_every_kind_of_button_is_classed() -> None:
    assert set(PRESSES) == SHOW | SAY | ORGANISERS | OWN | MEMBERS | DOOR


async def _tried(yard: Yard, user: int, kinds: set[str]) -> None:
    """Press every button of these kinds; nothing stored may change, and nobody else may hear anything."""
    lane, database = yard.lane, yard.lane.stage.app.database
    mine = next(one for one in reversed(lane.stage.api.said(user)))
    theirs = {user, *(chat for garden, chat in lane.stage.groups.items() if garden != 1)}
    before = await everything(database)
    for kind in sorted(kinds):
        for button in _varied(yard.shown[kind]):
            under: list[Message] = [mine] if button.user is not None else [mine, button.message]
            for message in under:
                said = await pressed(lane, user, button.data, message)
                assert {one.chat_id for one in said} <= {*theirs, lane.group_id}, button.data
                assert all("went wrong" not in one.text and one.kind == "text" for one in said), button.data
        assert await everything(database) == before, (user, kind)


def _varied(every: list[Button]) -> list[Button]:
    """A few of each deed: what stands at the end of the data tells deeds apart."""
    by_deed: dict[str, Button] = {}
    for one in every:
        by_deed.setdefault(one.data.rpartition(":")[2], one)
    return list(by_deed.values())[:4]


async def test_no_button_does_anything_for_whoever_has_no_right_to_it(yard: Yard) -> None:
    assert set(yard.shown) >= set(PRESSES), "there is a button of every kind to press"
    for user in yard.outsiders.values():
        await _tried(yard, user, set(PRESSES) - DOOR - {"lang"})
    # A member, by an organiser's button or somebody else's.
    await _tried(yard, yard.lane.user("Leila"), ORGANISERS | OWN)
    # Whoever was given the buttons as an organiser, and is none any more. What they were asked themselves is theirs.
    await yard.lane.change("Miriam", role=Role.MEMBER)
    await _tried(yard, yard.lane.user("Miriam"), ORGANISERS - {"setup"})


async def test_whoever_the_buttons_are_for_does_change_something_by_them(yard: Yard) -> None:
    """So that the test above cannot pass by pressing what does nothing for anybody."""
    lane, database = yard.lane, yard.lane.stage.app.database
    idle = []
    # Notes before what is built upon them, and answers as long as there is a call.
    notes, call = ("unlearn", "ruleback", "notso", "undo"), ("reopen", "yes", "no", "done", "walk", "helped", "off")
    first = (*notes, *call, "jshare", "setup")
    last = ("adult", "still", "mine", "who")  # after which somebody is gone
    for kind in [*first, *sorted(set(PRESSES) - SHOW - SAY - DOOR - {*first, *last}), *last]:
        before = await everything(database)
        for button in yard.shown[kind]:
            await pressed(lane, button.user or lane.user("Owen"), button.data, button.message)
            if await everything(database) != before:
                break
        else:
            idle.append(kind)
    # A group that is gone or without a garden, a turn that is late, a colleague who was asked, what is on from an earlier
    # night, the morning after, what a reading has taught: tested where they are at home.
    assert {*idle} == {"back", "bind", "found", "home", "ison", "left", "so", "stays", "swap", "unlearn"}, idle
