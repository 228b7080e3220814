"""Codes: nobody's by guessing, everybody's who holds them, once, for some days, and never in the open."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import timedelta
from math import log2

import pytest
from sqlalchemy import select

from bot.chat.wire.world import Message
from bot.core.garden.snapshot import Role
from bot.services.people import codes, retention
from bot.storage.garden import gardens
from bot.storage.models import ClaimCode, CodeGuess
from tests.gate.lists import STRANGER, Gate
from tests.support.village import AMIRA, GROUP, HANA, JOE

LISTED = "Wanda,organiser,yes,yes,20,Plot 7\nBen,member,yes,no,12,Plot 3"


async def new_organisers_code(gate: Gate) -> str:
    """As whoever runs the bot makes it, for a garden whose list has no organiser without an account."""
    async with gate.database.begin() as session:
        (garden, *_) = await gardens.all_gardens(session)
        (made,) = await codes.first(session, garden, gate.village.stage.clock.at)
    return made.text


async def code_for(gate: Gate, name: str) -> str:
    """As an organiser makes it, from the card of somebody on the list."""
    await gate.village.write(AMIRA, "/members")
    await gate.village.tap(AMIRA, name)
    said = await gate.village.tap(AMIRA, "Make an app code")
    found = _code_in(said)
    if not found:
        found = _code_in(await gate.village.tap(AMIRA, "Yes, make a code"))
    return found


def _code_in(said: Sequence[Message]) -> str:
    return next((found[1] for one in said if (found := re.search(r"/start (\w+)", one.text))), "")


async def test_a_code_has_sixty_bits_and_no_sign_that_a_phone_or_an_eye_changes(gate: Gate) -> None:
    made = [await new_organisers_code(gate) for _ in range(200)]
    signs = set("".join(made))
    assert len(set(made)) == 200 and all(one.isascii() and one.isalnum() for one in made)
    assert not signs & set("0O1Il-_")
    assert len(made[0]) * log2(len(signs)) >= 60


@pytest.mark.parametrize("way", ["as it is", "small", "apart"])
async def test_a_code_may_be_written_as_people_write(gate: Gate, way: str) -> None:
    code = await code_for(gate, "Ben") if await _listed(gate) else ""
    written = {"as it is": code, "small": code.lower(), "apart": f" {code[:4]} {code[4:]} "}[way]
    said = await gate.village.write(STRANGER, f"/start {written}")
    assert "You are Ben on the list of Elm Lane." in said[0].text
    came = await gate.member(STRANGER)
    assert came is not None and (came.adult, came.lift_kg, came.role) == (True, 12, Role.MEMBER)


async def _listed(gate: Gate) -> bool:
    await gate.listing(LISTED)
    gate.comes(STRANGER, "Somebody Else")
    return True


async def test_a_code_works_once(gate: Gate) -> None:
    await _listed(gate)
    code = await code_for(gate, "Ben")
    await gate.village.write(STRANGER, f"/start {code}")
    (refused,) = await gate.village.write(JOE, f"/start {code}")
    assert "works once, and for 5 days" in refused.text
    assert await gate.member(JOE) is None


async def test_a_code_runs_out_and_a_new_one_makes_the_old_void(gate: Gate) -> None:
    await _listed(gate)
    first = await code_for(gate, "Ben")
    second = await code_for(gate, "Ben")
    assert "do not know" in (await gate.village.write(STRANGER, f"/start {first}"))[0].text
    gate.village.stage.clock.at += timedelta(days=5, minutes=1)
    assert "do not know" in (await gate.village.write(STRANGER, f"/start {second}"))[0].text
    assert await gate.member(STRANGER) is None
    third = await code_for(gate, "Ben")
    gate.village.stage.clock.at += timedelta(days=4, hours=23)
    assert "You are Ben" in (await gate.village.write(STRANGER, f"/start {third}"))[0].text


async def test_the_organiser_is_told_until_when_a_code_holds(gate: Gate) -> None:
    await _listed(gate)
    await code_for(gate, "Ben")
    said = gate.village.stage.api.said(AMIRA)[-1].text
    assert "Sat 9 May, 10:00" in said and "works once" in said and "nobody else" in said


async def test_a_code_for_an_organisers_place_says_first_what_it_gives(gate: Gate) -> None:
    await _listed(gate)
    await gate.village.write(AMIRA, "/members")
    await gate.village.tap(AMIRA, "Wanda")
    said = await gate.village.tap(AMIRA, "Make an app code")
    assert "get all the data as files" in said[0].text and not _code_in(said)
    code = _code_in(await gate.village.tap(AMIRA, "Yes, make a code"))
    said = await gate.village.write(STRANGER, f"/start {code}")
    assert any("You are Wanda on the list" in one.text for one in said)
    assert any("Somebody Else has sent the code for Wanda" in one.text for one in said if one.chat_id == AMIRA)
    came = await gate.member(STRANGER)
    assert came is not None and came.role is Role.ORGANISER


async def test_a_code_gives_a_plain_member_their_place_with_what_they_did_meanwhile(gate: Gate) -> None:
    await _listed(gate)
    await gate.joins(STRANGER)
    await gate.village.write(STRANGER, "/start hello")
    await gate.village.tap(STRANGER, "Yes")
    await gate.village.tap(STRANGER, "Change lifting")
    await gate.village.tap(STRANGER, "Up to 5\N{NO-BREAK SPACE}kg")
    await gate.village.write(STRANGER, f"/start {await code_for(gate, 'Ben')}")
    came = await gate.member(STRANGER)
    assert came is not None and came.lift_kg == 5
    assert sorted(name for name, _ in await gate.names()) == ["Amira", "Ben", "Wanda"]


async def test_after_a_few_wrong_codes_an_account_waits_and_others_do_not(gate: Gate) -> None:
    await _listed(gate)
    code = await code_for(gate, "Ben")
    for n in range(codes.GUESSES_N):
        (said,) = await gate.village.write(STRANGER, f"/start GUESS{n}")
        assert "do not know" in said.text
    (said,) = await gate.village.write(STRANGER, f"/start {code}")
    assert "try again in 60 minutes" in said.text
    assert await gate.member(STRANGER) is None, "not even with the right one"
    assert "You are Ben" in (await gate.village.write(JOE, f"/start {code}"))[0].text
    code = await code_for(gate, "Wanda")
    gate.village.stage.clock.at += codes.WAIT_FOR + timedelta(minutes=1)
    assert "You are Wanda" in (await gate.village.write(STRANGER, f"/start {code}"))[0].text


async def test_guesses_are_forgotten_by_the_clock(gate: Gate) -> None:
    await gate.village.write(JOE, "/start GUESS")
    gate.village.stage.clock.at += timedelta(hours=2)
    async with gate.database.begin() as session:
        assert (await session.scalars(select(CodeGuess.user_id))).all() == [JOE]
        await retention.tidy(session, gate.village.stage.clock.at)
        assert (await session.scalars(select(CodeGuess))).all() == []


@pytest.mark.parametrize(
    "text", ["—", "żółw", "BmyTIfcMvQ—", "٣٣٣", "\U0001f331" * 40, "a" * 4000, "'; drop", "ﬀ\u202e"]
)
async def test_any_text_at_all_in_place_of_a_code_is_answered_kindly_at_once(gate: Gate, text: str) -> None:
    await new_organisers_code(gate)
    (said,) = await gate.village.write(JOE, f"/start {text}")
    assert "do not know this code" in said.text


@pytest.mark.parametrize("way", ["/start {code}", "look: {code}!", "https://t.me/gatepost_bot?start={code}", "{small}"])
async def test_a_code_that_is_posted_in_a_group_is_void_and_the_organisers_get_a_new_way(gate: Gate, way: str) -> None:
    await _listed(gate)
    code = await code_for(gate, "Ben")
    said = await gate.village.write(JOE, way.format(code=code, small=code.lower()), chat=GROUP)
    (seen,) = [one for one in said if one.chat_id == GROUP]
    assert "no longer works" in seen.text and code not in seen.text
    (told,) = [one for one in said if one.chat_id == AMIRA]
    assert "posted the code for Ben in a group" in told.text
    assert "do not know" in (await gate.village.write(STRANGER, f"/start {code}"))[0].text
    second = _code_in(await gate.village.tap(AMIRA, "Make a new code"))
    assert "You are Ben" in (await gate.village.write(STRANGER, f"/start {second}"))[0].text


async def test_a_code_written_into_an_older_message_is_void_as_well(gate: Gate) -> None:
    await _listed(gate)
    code = await code_for(gate, "Ben")
    update = gate.village.stage.api.write(JOE, GROUP, "hello")
    message = gate.village.stage.api.messages[GROUP, update["message"]["message_id"]]
    gate.village.stage.api.edit(message, f"hello {code}")
    await gate.village.settled()
    async with gate.database.begin() as session:
        assert (await session.scalars(select(ClaimCode))).all() == []


async def test_a_new_organisers_code_posted_in_a_group_is_made_anew_by_whoever_runs_the_bot(gate: Gate) -> None:
    code = await new_organisers_code(gate)
    said = await gate.village.write(JOE, f"/start {code}", chat=GROUP)
    assert any("gatepost code" in one.text for one in said if one.chat_id == GROUP)
    assert "do not know" in (await gate.village.write(HANA, f"/start {code}"))[0].text


async def test_the_code_of_whoever_runs_the_bot_makes_an_organiser_and_the_others_hear_it(gate: Gate) -> None:
    code = await new_organisers_code(gate)
    said = await gate.village.write(HANA, f"/start {code}")
    assert any("You are now an organiser of Elm Lane." in one.text for one in said if one.chat_id == HANA)
    assert any("Hana now looks after" in one.text for one in said if one.chat_id == AMIRA)


async def test_where_no_organiser_has_an_account_the_newcomer_is_told_of_the_code_and_asked_about_later(
    gate: Gate,
) -> None:
    await gate.listing("Ben,member,yes,no,12,Plot 3")
    await gate.village.write(AMIRA, "/me")
    gate.village.stage.api.leave(AMIRA, GROUP)
    await gate.village.settled()
    gate.comes(STRANGER, "Ben")
    await gate.joins(STRANGER)
    (told,) = await gate.village.write(STRANGER, "/start hello")
    assert "get a code from the person who runs me" in told.text
    code = await new_organisers_code(gate)
    await gate.village.write(HANA, f"/start {code}")
    (asked,) = gate.asked(HANA)
    assert "Ben has joined Elm Lane" in asked.text
