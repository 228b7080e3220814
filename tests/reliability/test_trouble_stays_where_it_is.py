"""Trouble with one garden, or with one part of the watch, keeps nothing from anybody else."""

from __future__ import annotations

from contextlib import suppress
from inspect import signature

import pytest
from sqlalchemy import select
from telegram import ChatMemberRestricted

from bot.chat.tasks import daily
from bot.storage.models import Garden, Member, NamedHelper, Person
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, texts


async def test_a_garden_whose_records_cannot_be_read_does_not_silence_the_next(lane: Talk) -> None:
    async with lane.stage.app.database.begin() as session:
        first = (await session.scalars(select(Garden))).one()
        second = Garden(
            name="Far Field", chat_id=-77, latitude=first.latitude, longitude=first.longitude, zone=first.zone
        )
        session.add(second)
        await session.flush()
        miriam = (await session.scalars(select(Person).where(Person.name == "Miriam"))).one()
        helper = Member(garden_id=second.id, person=miriam, joined_at=lane.stage.clock.at)
        edith = Member(garden_id=second.id, person=Person(name="Edith"), joined_at=lane.stage.clock.at)
        session.add_all([helper, edith])
        await session.flush()
        session.add(NamedHelper(member_id=edith.id, helper_id=helper.id))
        first.zone = "Nowhere/Land"
    with pytest.raises(KeyError):  # it is still told to whoever runs the bot
        await lane.stage.app.watch()
    assert "Edith" in texts(await lane.settled()), "the other garden's helper is asked"


async def test_safely_home_is_asked_though_the_daily_turns_fail(lane: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(5, "15:00", every_min=120)
    await lane.press("Owen", lane.standing(), "I'll do it")
    await lane.until(5, "20:45", every_min=15)

    async def fails(*_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr(daily, "tick", fails)
    lane.stage.clock.at = lane.stage.clock.at.replace(hour=20, minute=15)  # 21:15 on the garden's clock
    with suppress(RuntimeError):
        await lane.stage.app.watch()
    assert "Are you safely home?" in texts(await lane.settled())


@pytest.mark.parametrize("is_member", [True, False])
async def test_whoever_may_not_write_in_the_group_for_a_while_stays_in_the_garden(lane: Talk, is_member: bool) -> None:
    api, owen = lane.stage.api, lane.user("Owen")
    needed = [name for name in signature(ChatMemberRestricted).parameters if name.startswith("can_")]
    muted = {"status": "restricted", "user": api.users[owen].json(), "is_member": is_member, "until_date": 0}
    update = {
        "update_id": api.next_update_id,
        "chat_member": {
            "chat": api.chats[lane.group_id].json(), "from": api.users[lane.user("Miriam")].json(), "date": 0,
            "old_chat_member": api.member_json(owen, "member"),
            "new_chat_member": muted | dict.fromkeys(needed, False),
        },
    }  # fmt: skip
    told = texts(await lane.give(update))
    assert ("Owen has left Teasel Lane." in told) is not is_member
