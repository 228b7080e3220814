"""Which group is a garden's, who comes back, and who is no person at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy import select

from bot.chat.wire.world import Message
from bot.core.garden.snapshot import Role
from bot.storage.models import Garden
from tests.gate.lists import STRANGER, Gate
from tests.support.talk import labels
from tests.support.village import AMIRA, GROUP, HANA, JOE, Village

OTHER = -1002
CLUB = -1003


def texts(said: Sequence[Message], chat: int) -> str:
    return "\n".join(one.text for one in said if one.chat_id == chat)


async def _chat(gate: Gate) -> int | None:
    async with gate.database.begin() as session:
        return await session.scalar(select(Garden.chat_id))


async def _elsewhere(gate: Gate, title: str = "The Rowers' Club") -> None:
    """The garden has lost its group; there is another one."""
    gate.village.stage.api.leave(gate.village.stage.api.bot.id, GROUP)
    await gate.village.settled()
    group = gate.village.stage.api.add_group(OTHER, title)
    group.statuses |= {AMIRA: "member", JOE: "member", HANA: "creator"}


# -- binding


async def test_an_organiser_who_adds_the_bot_to_a_group_is_asked_privately_before_the_garden_is_bound(
    gate: Gate,
) -> None:
    await _elsewhere(gate)
    said = await gate.village.added(by=AMIRA, chat=OTHER)
    assert await _chat(gate) is None
    assert "Elm Lane" not in texts(said, OTHER)
    (asked,) = [one for one in said if one.chat_id == AMIRA]
    assert "The Rowers' Club" in asked.text and labels(asked) == ["Elm Lane", "No"]
    shown = replace(asked)
    (left,) = await gate.village.press(AMIRA, asked, "No")
    assert "do not look after a garden" in left.text and await _chat(gate) is None
    said = await gate.village.press(AMIRA, shown, "Elm Lane")
    assert await _chat(gate) == OTHER
    assert "Hello, Elm Lane!" in texts(said, OTHER)


@pytest.mark.parametrize("who", [JOE, HANA, STRANGER])
async def test_a_member_or_stranger_who_adds_it_binds_nothing(gate: Gate, who: int) -> None:
    await gate.village.joined(JOE)
    gate.comes(STRANGER, "Wanda")
    await _elsewhere(gate)
    said = await gate.village.added(by=who, chat=OTHER)
    assert await _chat(gate) is None
    assert {one.chat_id for one in said} == {OTHER} and "Elm Lane" not in texts(said, OTHER)


async def test_a_group_that_nobody_was_asked_about_cannot_be_bound_by_made_up_data(gate: Gate) -> None:
    await _elsewhere(gate)
    club = gate.village.stage.api.add_group(CLUB, "Elsewhere")
    club.statuses |= {gate.village.stage.api.bot.id: "member", AMIRA: "member"}
    said = await gate.village.added(by=AMIRA, chat=OTHER)
    (asked,) = [one for one in said if one.chat_id == AMIRA]
    await _forged(gate.village, AMIRA, asked, f"bind:1:{CLUB}")
    assert await _chat(gate) is None
    for data in (f"bind:1:{OTHER}", "bind:1:x", "bind::", "bind:1"):
        await _forged(gate.village, JOE, asked, data)
        assert await _chat(gate) is None


async def test_a_late_tap_binds_no_group_that_the_bot_has_left(gate: Gate) -> None:
    await _elsewhere(gate)
    said = await gate.village.added(by=AMIRA, chat=OTHER)
    (asked,) = [one for one in said if one.chat_id == AMIRA]
    gate.village.stage.api.leave(gate.village.stage.api.bot.id, OTHER)
    await gate.village.settled()
    (told,) = await gate.village.press(AMIRA, asked, "Elm Lane")
    assert "can't see both of us" in told.text and await _chat(gate) is None


async def _forged(village: Village, who: int, message: Message, data: str) -> list[Message]:
    forged = replace(message, keyboard=[[{"text": "x", "callback_data": data}]])
    return await village.press(who, forged, "x")


# -- coming back


async def _removed(gate: Gate, who: int, name: str) -> None:
    await gate.village.joined(who)
    await gate.village.write(AMIRA, "/members")
    await gate.village.tap(AMIRA, name)
    await gate.village.tap(AMIRA, "Remove")
    await gate.village.tap(AMIRA, "Yes, remove")


async def test_a_removed_member_is_let_in_by_an_organiser_only(gate: Gate) -> None:
    await _removed(gate, JOE, "Joe")
    said = await gate.joins(JOE)
    assert await gate.member(JOE) is None
    assert "an organiser has to let you in first. I have asked them." in texts(said, JOE)
    assert texts(said, GROUP) == "", "nobody else has to read it"
    (asked,) = gate.asked()
    assert "Joe would like to come back" in asked.text
    await gate.joins(JOE)
    assert len(gate.asked()) == 1, "asked once, however often they tap"
    said = await gate.village.tap(AMIRA, "Let them in")
    assert "welcome back to Elm Lane" in texts(said, JOE)
    came = await gate.member(JOE)
    assert came is not None and came.role is Role.MEMBER


async def test_a_removed_member_who_is_refused_hears_it_and_cannot_ask_without_end(gate: Gate) -> None:
    await _removed(gate, JOE, "Joe")
    await gate.joins(JOE)
    said = await gate.village.tap(AMIRA, "No")
    assert "do not want to change this" in texts(said, JOE)
    before = len(gate.village.stage.api.said(AMIRA))
    await gate.joins(JOE)
    assert len(gate.village.stage.api.said(AMIRA)) == before and await gate.member(JOE) is None


async def test_a_removed_organiser_does_not_come_back_by_the_groups_rights(gate: Gate) -> None:
    await gate.village.joined(HANA)
    await gate.village.write(AMIRA, "/members")
    await gate.village.tap(AMIRA, "Hana")
    await gate.village.tap(AMIRA, "Make them organiser")
    await gate.village.tap(AMIRA, "Remove")
    await gate.village.tap(AMIRA, "Yes, remove")
    (shown,) = await gate.village.write(HANA, "/setup", chat=GROUP)
    await _forged(gate.village, HANA, shown, "found:")
    await _forged(gate.village, HANA, shown, "found:of:1")
    assert await gate.member(HANA) is None
    assert "Hana would like to come back" in gate.asked()[0].text


async def test_whoever_took_themselves_off_comes_back_by_themselves(gate: Gate) -> None:
    await gate.joins(JOE)
    await gate.village.write(JOE, "/start hello")
    await gate.village.tap(JOE, "No")
    assert await gate.member(JOE) is None
    await gate.joins(JOE)
    assert await gate.member(JOE) is not None


async def test_join_tapped_twice_at_once_welcomes_once(gate: Gate) -> None:
    api = gate.village.stage.api
    greeting = next(one for one in api.said(GROUP) if "tap Join" in one.text)
    for _ in range(3):
        api.press(JOE, greeting, "Join")
    said = await gate.village.settled()
    assert texts(said, GROUP).count("Welcome, Joe!") == 1


# -- no people


async def test_a_bot_joins_nothing(gate: Gate) -> None:
    gate.comes(STRANGER, "Helpful")
    gate.village.stage.api.users[STRANGER].is_bot = True
    assert await gate.joins(STRANGER) == []
    assert await gate.member(STRANGER) is None


CHANNEL = {"id": -1009, "type": "channel", "title": "News"}
MACHINES: dict[str, dict[str, Any]] = {
    "a bot": {"from": {"id": 500, "is_bot": True, "first_name": "Robo"}},
    "a channel": {"from": {"id": 136817688, "is_bot": True, "first_name": "Channel"}, "sender_chat": CHANNEL},
    "forwarded by itself": {
        "from": {"id": 777000, "is_bot": False, "first_name": "T"}, "sender_chat": CHANNEL, "is_automatic_forward": True,
    },
    "written by means of a bot": {"via_bot": {"id": 501, "is_bot": True, "first_name": "Inline"}},
}  # fmt: skip


@pytest.mark.parametrize("kind", MACHINES)
@pytest.mark.parametrize("text", ["/weather", "help", "@gatepost_bot hello", "what should I do this week?", "/start x"])
async def test_machines_are_met_with_silence(gate: Gate, kind: str, text: str) -> None:
    await gate.village.joined(JOE)
    assert await gate.village.write(JOE, "/weather", chat=GROUP) != []
    gate.village.stage.api.write(JOE, GROUP, text, also=MACHINES[kind])
    assert await gate.village.settled() == []


async def test_an_administrator_who_writes_as_the_group_is_a_person(gate: Gate) -> None:
    also = {
        "from": {"id": 1087968824, "is_bot": True, "first_name": "Group", "username": "GroupAnonymousBot"},
        "sender_chat": {"id": GROUP, "type": "supergroup", "title": "Elm Lane Allotments"},
    }
    gate.village.stage.api.write(JOE, GROUP, "/weather", also=also)
    assert await gate.village.settled() != []
