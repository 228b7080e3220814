"""What is queued is sent once, in order, to where it may go. Errors are the platform's, over real HTTP."""

from __future__ import annotations

import asyncio
from base64 import b64encode
from typing import Any

import pytest
from sqlalchemy import select
from telegram import Bot

from bot.chat.wire.outbox import Hooks, counts, run
from bot.chat.wire.pace import Pace
from bot.storage.models import Garden, Outbox
from bot.storage.states import SendState
from tests.support.bot_api import BotApiServer
from tests.support.cast import CALLUM, FARAH, GROUP, INES
from tests.support.ends import Clock, Ends


def texts(server: BotApiServer, chat: int) -> list[str]:
    return [message.text for message in server.api.said(chat)]


async def test_a_key_is_queued_once(ends: Ends, bot_api: BotApiServer) -> None:
    await ends.say(FARAH, "Cover pot 3", key="cold 2026-04-20 call 1")
    assert await ends.say(FARAH, "Cover pot 3", key="cold 2026-04-20 call 1") == 0
    assert await ends.send() == 1
    assert texts(bot_api, FARAH) == ["Cover pot 3"]
    assert await ends.send() == 0


async def test_the_most_urgent_goes_first_then_the_oldest(ends: Ends, bot_api: BotApiServer) -> None:
    for chat, text, urgency in ((FARAH, "a1", 5), (CALLUM, "j1", 5), (FARAH, "a2", 5), (FARAH, "warning", 1)):
        await ends.say(chat, text, urgency=urgency)
    await ends.send()
    assert texts(bot_api, FARAH) == ["warning", "a1", "a2"]
    sent = [call["text"] for call in bot_api.made(["sendMessage"])]
    assert sent[0] == "warning"


async def test_what_is_for_later_waits_and_holds_up_nobody(ends: Ends, bot_api: BotApiServer, clock: Clock) -> None:
    await ends.say(FARAH, "Good morning", send_at=clock.now.replace(hour=23))
    await ends.say(FARAH, "Sowed peas: noted")
    await ends.send()
    assert texts(bot_api, FARAH) == ["Sowed peas: noted"]
    clock.pass_by(hours=5)
    await ends.send()
    assert texts(bot_api, FARAH) == ["Sowed peas: noted", "Good morning"]


async def test_what_comes_too_late_is_let_go_and_counted(ends: Ends, bot_api: BotApiServer, clock: Clock) -> None:
    await ends.say(FARAH, "Cover by 19:50", expires_at=clock.now.replace(hour=20))
    clock.pass_by(hours=2)
    assert await ends.send() == 0
    async with ends.database.begin() as session:
        assert (await counts(session))[SendState.EXPIRED] == 1
    assert texts(bot_api, FARAH) == []


async def test_a_change_waits_for_its_message_and_only_the_newest_is_made(ends: Ends, bot_api: BotApiServer) -> None:
    call = await ends.say(GROUP, "Two pots to cover")
    await ends.say(GROUP, "One pot to cover", method="editMessageText", edits=call)
    await ends.say(GROUP, "All covered", method="editMessageText", edits=call)
    await ends.say(GROUP, "pin", method="pinChatMessage", bare=True, edits=call)
    await ends.send()
    assert [(m.text, m.edits) for m in bot_api.api.said(GROUP)] == [("All covered", ["Two pots to cover"])]
    assert bot_api.api.chats[GROUP].pinned == [bot_api.api.said(GROUP)[0].id]
    assert [state for _, state in await ends.states()] == ["sent", "expired", "sent", "sent"]


async def test_a_change_to_the_same_text_counts_as_made(ends: Ends) -> None:
    # "message is not modified" means that the message already reads so.
    call = await ends.say(GROUP, "All covered")
    await ends.send()
    change = await ends.say(GROUP, "All covered", key="again", method="editMessageText", edits=call)
    await ends.send()
    assert str((await ends.row(change)).state) == "sent"


async def test_a_change_of_what_never_arrived_fails(ends: Ends) -> None:
    call = await ends.say(INES, "Cover pot 3")  # Ines never pressed Start
    change = await ends.say(INES, "Covered", method="editMessageText", edits=call)
    await ends.send()
    assert [str((await ends.row(each)).state) for each in (call, change)] == ["failed", "failed"]


@pytest.mark.parametrize("reason", ["never started", "blocked", "removed"])
async def test_a_place_where_the_bot_may_not_write_is_reported(ends: Ends, bot_api: BotApiServer, reason: str) -> None:
    chat = {"never started": INES, "blocked": CALLUM, "removed": GROUP}[reason]
    if reason == "blocked":
        bot_api.api.block(CALLUM)
    if reason == "removed":
        bot_api.api.leave(bot_api.api.bot.id, GROUP)
    row = await ends.say(chat, "Cover pot 3")
    await ends.say(FARAH, "Cover pot 5")
    await ends.send()
    assert ends.forbidden == [chat]
    assert str((await ends.row(row)).state) == "failed"
    assert texts(bot_api, FARAH) == ["Cover pot 5"]


async def test_a_group_that_became_a_supergroup_is_followed_everywhere(ends: Ends, bot_api: BotApiServer) -> None:
    old = -555
    bot_api.api.add_group(old, "Teasel Lane", kind="group")
    bot_api.api.join(bot_api.api.bot.id, old)
    async with ends.database.begin() as session:
        values = {"name": "Teasel Lane", "latitude": 52.0, "longitude": 0.0, "zone": "Europe/London"}
        session.add(garden := Garden(chat_id=old, **values))
    await ends.say(old, "One")
    await ends.say(old, "Two")
    new = bot_api.api.migrate(old)
    await ends.send()
    assert texts(bot_api, new) == ["One", "Two"]
    async with ends.database.begin() as session:
        assert (await session.get_one(Garden, garden.id)).chat_id == new


async def test_html_that_the_platform_refuses_goes_out_as_plain_text(ends: Ends, bot_api: BotApiServer) -> None:
    await ends.say(FARAH, "<b>Sowed</b> by <3 & co", payload={"parse_mode": "HTML", "text": "<b>Sowed</b> by <3 & co"})
    await ends.send()
    assert texts(bot_api, FARAH) == ["Sowed by <3 & co"]


async def test_what_the_platform_refuses_for_good_fails_without_quoting_anybody(ends: Ends) -> None:
    row = await ends.say(FARAH, "x" * 4097, key="long")  # Bot API: 1-4096 characters
    await ends.send()
    failed = await ends.row(row)
    assert (str(failed.state), failed.error) == ("failed", "BadRequest: Message is too long")


async def test_topic_and_buttons_arrive(ends: Ends, bot: Bot, bot_api: BotApiServer) -> None:
    bot_api.api.chats[GROUP].topics = {77}
    keys = {"inline_keyboard": [[{"text": "I'll do it", "callback_data": "yes:1"}]]}
    await ends.say(GROUP, "Cover pot 3?", thread_id=77, payload={"reply_markup": keys})
    await ends.send()
    (message,) = bot_api.api.said(GROUP)
    assert (message.thread_id, message.keyboard) == (77, keys["inline_keyboard"])


@pytest.mark.parametrize(("method", "part"), [("sendPhoto", "photo"), ("sendDocument", "document")])
async def test_a_picture_or_file_is_kept_in_the_row_and_uploaded(
    ends: Ends, bot_api: BotApiServer, method: str, part: str
) -> None:
    content = bytes(range(256)) * 700  # under 200 kB, with every byte in it
    file = {"file": b64encode(content).decode(), "name": "calendar.png"}
    await ends.say(GROUP, part, method=method, bare=True, payload={part: file, "caption": "June"})
    await ends.send()
    (message,) = bot_api.api.said(GROUP)
    assert message.text == "June"
    assert bot_api.api.files[message.file_id or ""] == content


@pytest.mark.parametrize("chat", ["502", None, 2**63])
async def test_a_chat_that_is_no_number_is_refused_before_it_can_stop_the_sender(ends: Ends, chat: Any) -> None:
    with pytest.raises(ValueError, match="expected a number of 64 bits"):
        await ends.say(chat, "Cover the pots")
    assert await ends.states() == []


async def test_once_we_are_to_stop_no_send_is_begun_and_what_was_claimed_is_given_back(
    ends: Ends, bot_api: BotApiServer
) -> None:
    for chat in (FARAH, CALLUM, GROUP):
        await ends.say(chat, "Cover by 19:50")
    stop, hooks = asyncio.Event(), Hooks(ends._forbidden)
    slow = Pace(per_s=2.0)
    sending = asyncio.create_task(
        run(ends.bot, ends.database, ends.clock, pace=slow, hooks=hooks, wake=asyncio.Event(), stop=stop)
    )
    while not bot_api.made(["sendMessage"]):
        await asyncio.sleep(0.01)
    stop.set()
    await asyncio.wait_for(sending, 10)
    assert len(bot_api.made(["sendMessage"])) == 1
    async with ends.database.begin() as session:
        rows = (await session.scalars(select(Outbox).order_by(Outbox.id))).all()
    left = [row for row in rows if row.state is not SendState.SENT]
    assert [(row.state, row.attempts, row.claimed_at) for row in left] == [(SendState.PENDING, 0, None)] * 2
    assert await ends.send() == 2, "the next process sends them"


async def _quietly(ends: Ends, text: str) -> None:
    """What says at one moment, after another message that rings, what need not ring by itself."""
    await ends.say(GROUP, text, payload={"disable_notification": True})


def _rung(server: BotApiServer) -> list[bool]:
    return ["disable_notification" not in call for call in server.made(["sendMessage"])]


async def test_what_follows_a_message_that_rang_is_silent(ends: Ends, bot_api: BotApiServer) -> None:
    await ends.say(GROUP, "Frost tonight")
    await _quietly(ends, "Gale tomorrow")
    await ends.send()
    assert _rung(bot_api) == [True, False]


async def test_the_first_that_arrives_rings_where_the_one_that_should_have_does_not(
    ends: Ends, bot_api: BotApiServer, clock: Clock
) -> None:
    await ends.say(GROUP, "Frost tonight", expires_at=clock.now.replace(hour=19))
    await ends.say(GROUP, "bare", key="fails", bare=True, payload={"nonsense": True})
    await _quietly(ends, "Gale tomorrow")
    await _quietly(ends, "Wichura jutro")
    clock.pass_by(hours=2)
    await ends.send()
    assert texts(bot_api, GROUP) == ["Gale tomorrow", "Wichura jutro"]
    assert _rung(bot_api) == [True, False]


async def test_what_comes_long_after_the_message_that_rang_rings_too(
    ends: Ends, bot_api: BotApiServer, clock: Clock
) -> None:
    await ends.say(GROUP, "Frost tonight")
    await ends.say(GROUP, "Gale tomorrow", payload={"disable_notification": True}, send_at=clock.now.replace(hour=20))
    await ends.send()
    clock.pass_by(hours=2)
    await ends.send()
    assert _rung(bot_api) == [True, True]
