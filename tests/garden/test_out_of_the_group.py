"""The group can't be written to, or there is none: organisers hear at once, and warnings reach each member privately."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.wire.world import Message
from bot.storage.models import Garden, Member, Outbox, Person
from bot.storage.states import Shut
from tests.support.invented_weather import calm
from tests.support.talk import Talk, labels, texts

ORGANISER, MEMBERS = "Miriam", ("Tobias", "Deepa", "Owen", "Leila", "Marcus", "Hana")
COLDER = (-4.0, 9.0, 0.0, 1.0, 3.0, 0.0)


async def removed(lane: Talk) -> list[Message]:
    """Some administrator removes the bot from the group."""
    lane.stage.api.leave(lane.stage.api.bot.id, lane.group_id)
    return await lane.settled()


async def added(lane: Talk, by: str, status: str = "member") -> list[Message]:
    api = lane.stage.api
    group = api.chats[lane.group_id]
    old, group.statuses[api.bot.id] = group.statuses[api.bot.id], status
    body = {"chat": group.json(), "from": api.users[lane.user(by)].json(), "date": int(api.clock().timestamp())}
    body |= {"old_chat_member": api.member_json(api.bot.id, old)}
    api._push("my_chat_member", body | {"new_chat_member": api.member_json(api.bot.id, status)})
    return await lane.settled()


async def garden(lane: Talk) -> Garden:
    async with lane.stage.app.database.begin() as session:
        return await session.get_one(Garden, next(iter(lane.stage.groups)))


async def change(lane: Talk, **values: object) -> None:
    async with lane.stage.app.database.begin() as session:
        row = await session.get_one(Garden, next(iter(lane.stage.groups)))
        for name, value in values.items():
            setattr(row, name, value)


def to(lane: Talk, name: str, said: list[Message]) -> list[str]:
    return [one.text for one in said if one.chat_id == lane.user(name)]


def in_group(lane: Talk, said: list[Message]) -> list[str]:
    return [one.text for one in said if one.chat_id == lane.group_id]


# -- removed


async def test_removed_on_the_morning_of_a_frosty_day_organisers_hear_and_everyone_is_warned(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLDER])  # the night of Tuesday
    announced = await lane.until(4, "12:00")
    assert len(in_group(lane, announced)) == 1, "the group has the heads-up"
    said = await removed(lane)
    assert {one.chat_id for one in said} == {lane.user(ORGANISER)}, "only organisers, and at once"
    (told,) = to(lane, ORGANISER, said)
    assert "no longer in the group of" in told and "What stops" in told and "What still works" in told
    assert "add me to the group again" in told and "Warnings now: cold" in told
    day = await lane.until(5, "20:00")
    assert in_group(lane, day) == []
    for name in MEMBERS:
        heard = to(lane, name, day)
        assert sum("at the plants" in one for one in heard) == 1, (name, heard)
        assert all(len(one) < 900 for one in heard)
    asked = [name for name in (ORGANISER, *MEMBERS) if any("Can you help by" in one for one in to(lane, name, day))]
    assert asked, "people are asked by name as always"
    mine = to(lane, ORGANISER, day)
    assert sum("This is not in the group chat" in one for one in mine) == 2, "once on Monday, once on Tuesday"
    note, _ = [one for one in mine if "This is not in the group chat" in one]
    assert "at the plants" in note and "I have sent it to 9 members privately" in note
    assert any("można" in one or "przy roślinach" in one for one in to(lane, "Kasia", day)), "each in their language"


async def test_members_who_cannot_be_reached_are_named_to_the_organiser(lane: Talk) -> None:
    await removed(lane)
    lane.stage.api.block(lane.user("Owen"))
    await lane.settled()
    lane.weather([calm(), COLDER])
    day = await lane.until(4, "15:00")
    (note,) = [one for one in to(lane, ORGANISER, day) if "This is not in the group chat" in one]
    assert "I can't write to these people, so please tell them yourself: Owen." in note


async def test_thanks_and_the_all_clear_go_privately_too(lane: Talk) -> None:
    await removed(lane)
    lane.weather([calm(), COLDER])
    day = await lane.until(4, "15:00")
    asks = [one for one in day if "I'll do it" in labels(one) and "Can you help" in one.text]
    helper = next(name for name in MEMBERS if lane.user(name) == asks[-1].chat_id)
    await lane.press(helper, asks[-1], "I'll do it")
    await lane.press(helper, asks[-1], "Done")
    after = await lane.until(5, "10:00")
    (thanks,) = [one for one in to(lane, helper, after) if "The cold night is over" in one]
    assert "Thank you for this:" in thanks
    for name in ("Robin",):  # a child, who is asked for nothing
        assert not any("The cold night is over" in one for one in to(lane, name, after)), "left in peace"
    (asked,) = [one for one in after if one.chat_id == lane.user(ORGANISER) and "The cold night is over" in one.text]
    degrees = [label for label in labels(asked) if "°C" in label]
    if degrees:
        assert "Noted" in texts(await lane.press(ORGANISER, asked, degrees[0]))


async def test_called_off_is_told_to_everyone_who_was_warned(lane: Talk) -> None:
    await removed(lane)
    lane.weather([calm(), calm(), COLDER])
    await lane.until(4, "12:00")
    lane.weather([calm()])
    said = await lane.until(5, "12:00")
    for name in MEMBERS:
        assert sum("I no longer think" in one for one in to(lane, name, said)) == 1, name


async def test_what_waited_for_the_group_when_the_bot_was_removed_goes_privately(lane: Talk) -> None:
    lane.weather([calm(), COLDER])
    await lane.stage.app.watch()  # decided, and not sent yet
    lane.stage.api.chats[lane.group_id].statuses[lane.stage.api.bot.id] = "left"
    said = await lane.settled()  # which shows only at the next send
    assert "no longer in the group" in texts(said)
    for name in MEMBERS:
        assert any("at the plants" in one for one in to(lane, name, said)), name


async def test_added_again_by_a_plain_member_it_asks_and_one_tap_brings_all_back(lane: Talk) -> None:
    lane.weather([calm(), calm(), calm(), COLDER])
    await removed(lane)
    heads_up = await lane.until(6, "10:00", every_min=180)  # two days later
    assert any("at the plants" in one for one in to(lane, "Tobias", heads_up))
    said = await added(lane, "Tobias")
    (asked,) = [one for one in said if one.chat_id == lane.user(ORGANISER)]
    assert labels(asked) == ["Write there again", "No"] and "again" in asked.text
    (here,) = [one for one in said if one.chat_id == lane.group_id]
    assert (await garden(lane)).chat_id is None, "nothing is bound unasked"
    refused = await lane.press("Tobias", here, "Write here again")
    assert "one of the organisers" in texts(refused)
    back = await lane.press(ORGANISER, asked, "Write there again")
    row = await garden(lane)
    assert (row.chat_id, row.shut) == (lane.group_id, "")
    assert any("I can write here again" in one for one in in_group(lane, back))
    (standing,) = [one for one in back if one.chat_id == lane.group_id and "at the plants" in one.text]
    assert "Why" in labels(standing)
    twice = await lane.press(ORGANISER, here, "Write here again")
    assert "already" in texts(twice) and "at the plants" not in texts(twice)
    later = await lane.until(7, "10:00")
    assert in_group(lane, later) and "This is not in the group chat" not in texts(later)


async def test_an_organiser_who_adds_it_has_said_yes_by_that(lane: Talk) -> None:
    await removed(lane)
    said = await added(lane, ORGANISER)
    assert any("I can write here again" in one for one in in_group(lane, said))
    assert (await garden(lane)).chat_id == lane.group_id


async def test_no_means_that_it_stays_quiet_there(lane: Talk) -> None:
    await removed(lane)
    (asked,) = [one for one in await added(lane, "Owen") if one.chat_id == lane.user(ORGANISER)]
    assert "private chat" in texts(await lane.press(ORGANISER, asked, "No"))
    assert (await garden(lane)).chat_id is None


# -- in the group, and may not write


async def test_muted_in_the_middle_of_a_warning_with_open_asks(lane: Talk) -> None:
    lane.stage.api.chats[lane.group_id].statuses[lane.stage.api.bot.id] = "member"
    lane.weather([calm(), calm(), COLDER])
    await lane.until(4, "12:00")
    lane.stage.api.chats[lane.group_id].muted = True
    day = await lane.until(4, "20:00")
    assert in_group(lane, [one for one in day if not one.edits]) == []
    (note,) = [one for one in to(lane, ORGANISER, day) if "not allowed to write in the group" in one]
    assert "Send messages" in note and "administrator" in note
    for name in MEMBERS:
        assert sum("at the plants" in one for one in to(lane, name, day)) == 1, name
    assert "not allowed to write in the group" in (await lane.said(ORGANISER, "/setup")).text
    late = await lane.until(5, "12:00", every_min=30)
    assert sum("not allowed to write in the group" in one for one in to(lane, ORGANISER, late)) == 0, "said once"
    asked = [one for one in day if "Can you help" in one.text]
    helper = next(name for name in (ORGANISER, *MEMBERS) if lane.user(name) == asked[0].chat_id)
    assert "Thank you" in texts(await lane.press(helper, asked[0], "I'll do it")), "answers are taken"
    lane.stage.api.chats[lane.group_id].muted = False
    mended = await lane.until(5, "16:00")
    spoken = in_group(lane, mended)
    assert any("I can write here again" in one for one in spoken) and any("at the plants" in one for one in spoken)
    assert sum("again. The current warnings" in one for one in to(lane, ORGANISER, mended)) == 1
    assert "not allowed to write in the group" not in (await lane.said(ORGANISER, "/setup")).text


async def test_setup_tries_the_group_at_once(lane: Talk) -> None:
    lane.stage.api.chats[lane.group_id].statuses[lane.stage.api.bot.id] = "member"
    lane.stage.api.chats[lane.group_id].muted = True
    answered = await lane.write("Tobias", "/weather", group=True)
    assert in_group(lane, answered) == [] and to(lane, "Tobias", answered), "the answer is given privately"
    lane.stage.api.chats[lane.group_id].muted = False
    said = await lane.write(ORGANISER, "/setup")
    assert any("I can write here again" in one for one in in_group(lane, said))


async def test_a_group_that_is_not_there_any_more(lane: Talk) -> None:
    await change(lane, chat_id=-404)
    lane.weather([calm(), COLDER])
    said = await lane.look()
    assert "can't find the group of" in texts(said) and any("at the plants" in one for one in to(lane, "Hana", said))
    assert (await garden(lane)).shut == Shut.GONE


async def test_a_group_that_is_found_again_is_bound_again(lane: Talk) -> None:
    await change(lane, chat_id=-404)
    lane.weather([calm(), COLDER])
    await lane.look()
    lane.stage.api.add_group(-404, "Teasel Lane").statuses[lane.stage.api.bot.id] = "member"
    said = await lane.until(4, "15:00")
    assert any(one.chat_id == -404 and "at the plants" in one.text for one in said)
    assert ((await garden(lane)).chat_id, (await garden(lane)).shut) == (-404, "")


async def test_rights_taken_from_the_bot_and_given_back_are_heard_of_without_a_send(lane: Talk) -> None:
    rights = dict.fromkeys(
        (
            "is_member", "can_send_audios", "can_send_documents", "can_send_photos", "can_send_videos", "can_edit_tag",
            "can_send_video_notes", "can_send_voice_notes", "can_send_polls", "can_send_other_messages",
            "can_add_web_page_previews", "can_change_info", "can_invite_users", "can_pin_messages", "can_manage_topics",
            "can_react_to_messages",
        ),
        True,
    )  # fmt: skip
    api = lane.stage.api
    group = api.chats[lane.group_id]
    group.statuses[api.bot.id] = "member"
    member = api.member_json(api.bot.id, "member")
    restricted = rights | {"status": "restricted", "user": api.bot.json(), "until_date": 0, "can_send_messages": False}
    body = {"chat": group.json(), "from": api.users[lane.user("Owen")].json(), "date": int(api.clock().timestamp())}
    group.muted = True
    api._push("my_chat_member", body | {"old_chat_member": member, "new_chat_member": restricted})
    (told,) = await lane.settled()
    assert told.chat_id == lane.user(ORGANISER) and "not allowed to write in the group" in told.text
    assert "Owen" not in told.text, "nobody is blamed"
    group.muted = False
    lane.stage.clock.at += timedelta(minutes=1)
    api._push("my_chat_member", body | {"old_chat_member": restricted, "new_chat_member": member})
    said = await lane.settled()
    assert "I can write here again" in texts(one for one in said if one.chat_id == lane.group_id)


async def test_a_calendar_reminder_and_a_hose_ban_reach_everyone_privately(lane: Talk) -> None:
    await removed(lane)
    (asked,) = await lane.write(ORGANISER, "/hoseban")
    said = await lane.press(ORGANISER, asked, "There is a ban")
    for name in MEMBERS:
        assert any("hose ban" in one for one in to(lane, name, said)), name


# -- topics


async def in_topic(lane: Talk) -> None:
    lane.stage.api.chats[lane.group_id].topics = {5}
    lane.stage.api.chats[lane.group_id].statuses[lane.stage.api.bot.id] = "member"
    await change(lane, thread_id=5)


async def test_a_topic_that_is_deleted_is_left_for_general_and_another_can_be_chosen(lane: Talk) -> None:
    await in_topic(lane)
    lane.weather([calm(), calm(), COLDER])
    assert (await lane.until(4, "12:00"))[0].thread_id == 5
    lane.stage.api.chats[lane.group_id].topics = {8}
    day = await lane.until(4, "20:00")
    (call,) = [one for one in day if one.chat_id == lane.group_id and not one.edits]
    assert call.thread_id is None and "at the plants" in call.text, "in General"
    (note,) = [one for one in to(lane, ORGANISER, day) if "My topic in the group" in one]
    assert "is gone" in note and "/setup in the topic" in note
    assert "My topic is gone" in (await lane.said(ORGANISER, "/setup")).text
    lane.stage.api.write(lane.user(ORGANISER), lane.group_id, "/setup@gatepost_bot", thread_id=8)
    (choice,) = [one for one in await lane.settled() if one.chat_id == lane.group_id]
    chosen = await lane.press(ORGANISER, choice, "Write here")
    assert [one.thread_id for one in chosen if "at the plants" in one.text] == [8]
    assert ((await garden(lane)).thread_id, (await garden(lane)).shut) == (8, "")


async def test_a_topic_that_is_closed_and_opened_again(lane: Talk) -> None:
    await in_topic(lane)
    lane.stage.api.chats[lane.group_id].closed = {5}
    lane.weather([calm(), calm(), COLDER])
    noon = await lane.until(4, "12:00")
    assert [one.thread_id for one in noon if one.chat_id == lane.group_id] == [None]
    assert sum("is closed" in one for one in to(lane, ORGANISER, noon)) == 1
    lane.stage.api.chats[lane.group_id].closed = set()
    call = await lane.until(4, "20:00")
    assert [one.thread_id for one in call if one.chat_id == lane.group_id and not one.edits] == [5]
    assert any("I write in the topic of" in one for one in to(lane, ORGANISER, call))


async def test_where_general_is_closed_as_well_everyone_hears_privately(lane: Talk) -> None:
    await in_topic(lane)
    lane.stage.api.chats[lane.group_id].closed = {0, 5}
    lane.weather([calm(), calm(), COLDER])
    noon = await lane.until(4, "12:00")
    assert in_group(lane, noon) == []
    for name in MEMBERS:
        assert any("at the plants" in one for one in to(lane, name, noon)), name
    day = await lane.until(4, "20:00")
    told = [one for one in (*to(lane, ORGANISER, noon), *to(lane, ORGANISER, day)) if "What stops" in one]
    assert len(told) == 1, "however often it is tried"


# -- never in a group


async def test_a_garden_of_three_who_never_had_a_group_is_warned(lane: Talk) -> None:
    three = ("Miriam", "Tobias", "Deepa")
    async with lane.stage.app.database.begin() as session:
        for name in (*MEMBERS, "Kasia", "Robin"):
            if name not in three:
                (await session.get_one(Member, await _member(session, name))).left_at = lane.stage.clock.at
    await change(lane, chat_id=None)
    lane.stage.api.chats[lane.group_id].statuses[lane.stage.api.bot.id] = "left"
    lane.weather([calm(), COLDER])
    day = await lane.until(4, "18:00")
    for name in three:
        heard = to(lane, name, day)
        assert sum("at the plants" in one for one in heard) == 1, heard
    assert any("Can you help" in one.text for one in day)
    assert "The group" not in texts(day)
    card = (await lane.said("Miriam", "/setup")).text
    assert "No group chat" in card and "warn nobody" not in card
    lane.forecast.unlink()
    missing = await lane.until(5, "16:00")
    for name in three:
        assert sum("no weather forecast since" in one for one in to(lane, name, missing)) == 1


async def _member(session: AsyncSession, name: str) -> int:
    found = await session.scalar(select(Member.id).join(Person).where(Person.name == name))
    assert isinstance(found, int)
    return found


# -- a supergroup


async def test_a_supergroup_gets_the_standing_warning_anew_and_no_strange_message_is_changed(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLDER])
    await lane.until(4, "12:00")
    await lane.write(ORGANISER, "/calendar 12 May work day")
    old = lane.group_id
    new = lane.stage.api.migrate(old)
    lane.stage.groups[next(iter(lane.stage.groups))] = new
    first = lane.stage.api._store(lane.stage.api.chats[new], lane.stage.api.bot, "Something else", [])
    before = {message.id: message.text for message in lane.stage.api.said(new)}
    said = await lane.settled()
    standing = [one for one in said if one.chat_id == new and "at the plants" in one.text]
    assert len(standing) == 1 and "Why" in labels(standing[0])
    call = await lane.until(4, "20:00")
    assert lane.stage.api.messages[new, first.id].text == before[first.id]
    newest = [one for one in call if one.chat_id == new and not one.edits]
    assert len(newest) == 1, "the call, once"
    asked = next(one for one in call if "Can you help" in one.text)
    helper = next(name for name in (ORGANISER, *MEMBERS) if lane.user(name) == asked.chat_id)
    edits = [one for one in await lane.press(helper, asked, "I'll do it") if one.chat_id == new]
    assert [one.id for one in edits] == [newest[0].id], "what changes is the new group's own message"
    async with lane.stage.app.database.begin() as session:
        failed = (await session.scalars(select(Outbox.error).where(Outbox.state == "failed"))).all()
    assert failed == []


async def test_a_pinned_calendar_is_pinned_anew_in_the_supergroup(lane: Talk) -> None:
    await lane.write(ORGANISER, "/calendar\n12 May work day")
    done = next(one for one in reversed(lane.private(ORGANISER)) if one.keyboard)
    await lane.press(ORGANISER, done, labels(done)[0])
    assert lane.stage.api.chats[lane.group_id].pinned
    new = lane.stage.api.migrate(lane.group_id)
    await lane.settled()
    (pinned,) = lane.stage.api.chats[new].pinned
    assert "work day" in lane.stage.api.messages[new, pinned].text


async def test_nothing_is_said_twice_when_nothing_changes(lane: Talk) -> None:
    await removed(lane)
    lane.weather([calm(), COLDER])
    await lane.look()
    lane.stage.clock.at += timedelta(minutes=1)
    assert await lane.look() == []
