"""A name on the list is nobody's key: who is meant, an organiser says."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from bot.core.garden.snapshot import Role
from bot.storage.models import Away, Entry, JobMark, Key, Member, Person, Plot, PlotHolder
from bot.storage.states import KeyState, MarkKind
from tests.gate.lists import STRANGER, Gate
from tests.support.talk import labels
from tests.support.village import AMIRA, GROUP, HANA, JOE

LISTED = "Wanda,organiser,yes,yes,20,Plot 7\nJoe Marsh,member,yes,yes,12,Plot 3"
WANDA = 77


async def test_a_stranger_with_an_organisers_name_is_a_plain_new_member(gate: Gate) -> None:
    await gate.listing(LISTED)
    gate.comes(STRANGER, "Wanda")
    await gate.joins(STRANGER)
    await gate.village.write(STRANGER, "/start hello")
    came = await gate.member(STRANGER)
    assert came is not None
    assert (came.role, came.adult, came.has_key, came.lift_kg) == (Role.MEMBER, False, False, None)
    assert ("Wanda", None) in await gate.names(), "the organiser's place is still free"
    for command in ("/export", "/members", "/setup", "/places", "/rehearse", "/keys new Tunnel"):
        said = await gate.village.write(STRANGER, command)
        assert all("Plot 7" not in one.text and one.kind == "text" for one in said), command
        assert any("organisers" in one.text.casefold() for one in said), command


async def test_the_organisers_are_asked_privately_with_the_account_as_the_group_sees_it(gate: Gate) -> None:
    await gate.listing(LISTED)
    gate.comes(STRANGER, "Wanda", username="wandering_w")
    said = await gate.joins(STRANGER)
    (asked,) = gate.asked()
    assert asked.chat_id == AMIRA and "Wanda (wandering_w)" in asked.text and "organiser" in asked.text
    assert f"tg://user?id={STRANGER}" in str(asked.entities), "the account can be looked at"
    assert labels(asked) == ["Wanda", "Somebody new"]
    assert all("list" not in one.text for one in said if one.chat_id == GROUP), "the group hears nothing of it"
    (told,) = await gate.village.write(STRANGER, "/start hello")
    assert "name like yours" in told.text and "Until they answer, you are a new member" in told.text


async def test_an_organisers_place_takes_two_taps_and_says_what_is_given(gate: Gate) -> None:
    await gate.listing(LISTED)
    gate.comes(WANDA, "Wanda")
    await gate.joins(WANDA)
    (sure,) = await gate.village.tap(AMIRA, "Wanda")
    assert (
        "Do you want to make Wanda an organiser of Elm Lane?" in sure.text and "get all the data as files" in sure.text
    )
    came = await gate.member(WANDA)
    assert came is not None and came.role is Role.MEMBER
    await gate.village.tap(AMIRA, "Not yet")
    (asked,) = gate.asked()
    assert "Are they on the list already?" in asked.text
    await gate.village.tap(AMIRA, "Wanda")
    await gate.village.tap(AMIRA, "Yes, it is them")
    came = await gate.member(WANDA)
    assert came is not None and (came.role, came.has_key, came.lift_kg) == (Role.ORGANISER, True, 20)


async def test_a_tap_gives_a_member_all_that_was_listed_and_keeps_what_they_did_meanwhile(gate: Gate) -> None:
    await gate.listing(LISTED)
    gate.comes(STRANGER, "Joe", last_name="M.")
    await gate.joins(STRANGER)
    await gate.village.write(STRANGER, "/start hello")
    await gate.village.tap(STRANGER, "Yes")
    await gate.village.tap(STRANGER, "Change lifting")
    await gate.village.tap(STRANGER, "No lifting")
    await gate.village.write(STRANGER, "/away 2026-06-01 2026-06-08")
    await gate.village.write(STRANGER, "yes")
    said = await gate.village.tap(AMIRA, "Joe Marsh")
    assert any("You are Joe Marsh on the list of Elm Lane." in one.text for one in said if one.chat_id == STRANGER)
    assert sum(name.startswith("Joe") for name, _ in await gate.names()) == 1
    assert ("Joe Marsh", STRANGER) in await gate.names(), "the files know them by this name"
    came = await gate.member(STRANGER)
    assert came is not None and came.has_key and came.lift_kg == 0, "what they said themselves counts"
    async with gate.database.begin() as session:
        held = select(Plot.name).join(PlotHolder).where(PlotHolder.member_id == came.id)
        assert list(await session.scalars(held)) == ["Plot 3"]
        assert len(list(await session.scalars(select(Away).where(Away.member_id == came.id)))) == 1


async def test_somebody_new_stays_new_and_hears_it(gate: Gate) -> None:
    await gate.listing(LISTED)
    gate.comes(STRANGER, "Joe")
    await gate.joins(STRANGER)
    await gate.village.write(STRANGER, "/start hello")
    said = await gate.village.tap(AMIRA, "Somebody new")
    assert any("as a new member" in one.text for one in said if one.chat_id == STRANGER)
    assert ("Joe Marsh", None) in await gate.names() and ("Joe", STRANGER) in await gate.names()


async def test_the_second_organiser_to_answer_changes_nothing_more(gate: Gate) -> None:
    await gate.listing(LISTED)
    await gate.village.joined(HANA)
    await gate.village.write(AMIRA, "/members")
    await gate.village.tap(AMIRA, "Hana")
    await gate.village.tap(AMIRA, "Make them organiser")
    gate.comes(STRANGER, "Joe")
    await gate.joins(STRANGER)
    (first,), (second,) = gate.asked(AMIRA), gate.asked(HANA)
    await gate.village.press(AMIRA, first, "Somebody new")
    (late,) = await gate.village.press(HANA, second, "Joe Marsh")
    assert "question is closed" in late.text
    assert ("Joe Marsh", None) in await gate.names()


async def test_who_is_on_no_list_is_asked_about_nowhere(gate: Gate) -> None:
    await gate.listing(LISTED)
    gate.comes(STRANGER, "Ferdinand")
    await gate.joins(STRANGER)
    assert gate.asked() == []


async def test_an_account_that_is_known_needs_nobodys_word_to_come_back(gate: Gate) -> None:
    await gate.village.joined(JOE)
    gate.village.stage.api.leave(JOE, GROUP)
    await gate.village.settled()
    assert await gate.member(JOE) is None
    gate.village.stage.api.join(JOE, GROUP)
    await gate.joins(JOE)
    came = await gate.member(JOE)
    assert came is not None and came.adult and gate.asked() == []


async def test_an_organiser_who_left_comes_back_as_a_plain_member(gate: Gate) -> None:
    await gate.village.joined(HANA)
    await gate.village.write(AMIRA, "/members")
    await gate.village.tap(AMIRA, "Hana")
    await gate.village.tap(AMIRA, "Make them organiser")
    gate.village.stage.api.leave(HANA, GROUP)
    await gate.village.settled()
    gate.village.stage.api.join(HANA, GROUP)
    await gate.joins(HANA)
    came = await gate.member(HANA)
    assert came is not None and came.role is Role.MEMBER


@pytest.mark.parametrize("name", ["Wanda", "wanda", "WANDA B.", "Wànda"])
async def test_every_way_to_write_the_name_is_only_a_question(gate: Gate, name: str) -> None:
    await gate.listing(LISTED)
    gate.comes(STRANGER, name)
    await gate.joins(STRANGER)
    assert len(gate.asked()) == 1
    came = await gate.member(STRANGER)
    assert came is not None and came.role is Role.MEMBER


async def test_keys_and_notes_of_both_are_one_persons(gate: Gate) -> None:
    await gate.listing(LISTED)
    gate.comes(STRANGER, "Joe")
    await gate.joins(STRANGER)
    newcomer = await gate.member(STRANGER)
    assert newcomer is not None
    at = gate.village.stage.clock.at
    async with gate.database.begin() as session:
        listed = (await session.scalars(select(Member).join(Person).where(Person.name == "Joe Marsh"))).one()
        here = {"garden_id": listed.garden_id}
        session.add(Key(name="Tunnel", holder_member_id=listed.id, state=KeyState.HELD, **here))
        session.add(Entry(member_id=newcomer.id, written_at=at, done_on=at.date(), action="watered", **here))
        both = [JobMark(member_id=one, job="a" * 16, kind=kind, marked_at=at, until_on=at.date(), **here)
                for one, kind in ((listed.id, MarkKind.LATER), (newcomer.id, MarkKind.DONE))]  # fmt: skip
        session.add_all(both)
    await gate.village.tap(AMIRA, "Joe Marsh")
    came = await gate.member(STRANGER)
    assert came is not None
    async with gate.database.begin() as session:
        assert (await session.scalars(select(Entry.member_id))).all() == [came.id]
        tunnel = select(Key.holder_member_id).where(Key.name == "Tunnel")
        assert (await session.scalars(tunnel)).all() == [came.id]
        assert (await session.scalars(select(JobMark.kind))).all() == [MarkKind.DONE], "the newer word counts"
    assert len(await gate.names()) == 3, "Amira, Wanda and Joe: nobody is there twice"
