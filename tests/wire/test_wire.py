"""The platform in memory behaves as the published one does. Facts: Bot API 10.0; error texts as the platform words them
(from memory, and as the chat library's own tests and handlers expect them)."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator

import pytest
from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import BadRequest, ChatMigrated, Conflict, Forbidden

from bot.chat.wire.platform import MemoryApi, MemoryRequest
from tests.support.bot_api import TOKEN
from tests.support.cast import CALLUM, FARAH, GROUP, INES
from tests.support.ends import Clock

OLD_GROUP = -77


@pytest.fixture
def api(clock: Clock) -> MemoryApi:
    """Farah pressed Start, Ines did not; Callum and the bot are members of the group, Farah its creator."""
    world = MemoryApi(clock)
    for user, name in ((FARAH, "Farah"), (CALLUM, "Callum"), (INES, "Ines")):
        world.add_user(user, name)
    world.add_group(GROUP, "Teasel Lane").statuses[FARAH] = "creator"
    for user in (CALLUM, world.bot.id):
        world.join(user, GROUP)
    world.write(FARAH, FARAH, "/start")
    world.pending.clear()
    return world


@pytest.fixture
async def memory_bot(api: MemoryApi) -> AsyncIterator[Bot]:
    async with Bot(TOKEN, request=MemoryRequest(api), get_updates_request=MemoryRequest(api)) as bot:
        yield bot


def keys(data: str) -> InlineKeyboardMarkup:
    return InlineKeyboardMarkup([[InlineKeyboardButton("Done", callback_data=data)]])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("<b>" + "x" * 4096 + "</b>", None),  # counted after parsing
        ("x" * 4097, "Message is too long"),
        ("I <3 peas", "Can't parse entities"),
        (" ", "Message text is empty"),
    ],
)
async def test_text_is_checked_after_parsing(memory_bot: Bot, text: str, words: str | None) -> None:
    if words is None:
        assert (await memory_bot.send_message(FARAH, text, parse_mode="HTML")).text == "x" * 4096
        return
    with pytest.raises(BadRequest, match=words):
        await memory_bot.send_message(FARAH, text, parse_mode="HTML")


async def test_captions_and_callback_data_have_limits_of_their_own(memory_bot: Bot) -> None:
    await memory_bot.send_photo(FARAH, b"picture", caption="x" * 1024)
    with pytest.raises(BadRequest, match="caption is too long"):
        await memory_bot.send_photo(FARAH, b"picture", caption="x" * 1025)
    await memory_bot.send_message(FARAH, "Well?", reply_markup=keys("é" * 32))  # 64 bytes
    with pytest.raises(BadRequest, match=r"(?i)button_data_invalid"):
        await memory_bot.send_message(FARAH, "Well?", reply_markup=keys("é" * 32 + "x"))


async def test_where_the_bot_may_not_write(memory_bot: Bot, api: MemoryApi) -> None:
    with pytest.raises(Forbidden, match="can't initiate"):
        await memory_bot.send_message(INES, "Hello")
    api.block(FARAH)
    with pytest.raises(Forbidden, match="blocked"):
        await memory_bot.send_message(FARAH, "Hello")
    api.write(FARAH, FARAH, "/start")
    await memory_bot.send_message(FARAH, "Hello")
    api.leave(api.bot.id, GROUP)
    with pytest.raises(Forbidden, match="kicked"):
        await memory_bot.send_message(GROUP, "Hello")
    with pytest.raises(BadRequest, match="Chat not found"):
        await memory_bot.send_message(-1, "Hello")


async def test_a_migrated_group_tells_its_new_id(memory_bot: Bot, api: MemoryApi) -> None:
    api.add_group(OLD_GROUP, "Teasel Lane", kind="group")
    api.join(api.bot.id, OLD_GROUP)
    new = api.migrate(OLD_GROUP)
    with pytest.raises(ChatMigrated) as error:
        await memory_bot.send_message(OLD_GROUP, "Hello")
    assert error.value.new_chat_id == new
    notes = [update.message for update in await memory_bot.get_updates() if update.message]
    assert (notes[-2].migrate_to_chat_id, notes[-1].migrate_from_chat_id) == (new, OLD_GROUP)


async def test_editing_to_the_same_is_refused_and_a_late_answer_too(
    memory_bot: Bot, api: MemoryApi, clock: Clock
) -> None:
    message = await memory_bot.send_message(FARAH, "Cover", reply_markup=keys("1"))
    with pytest.raises(BadRequest, match="Message is not modified"):
        await memory_bot.edit_message_text("Cover", FARAH, message.message_id, reply_markup=keys("1"))
    edited = await memory_bot.edit_message_text("Covered", FARAH, message.message_id)
    assert not isinstance(edited, bool)
    assert edited.reply_markup is None  # an edit without buttons takes them away
    other = await memory_bot.send_message(FARAH, "Cover", reply_markup=keys("1"))
    query = api.press(FARAH, api.messages[FARAH, other.message_id], "Done")["callback_query"]
    clock.pass_by(minutes=15)
    with pytest.raises(BadRequest, match="Query is too old"):
        await memory_bot.answer_callback_query(query["id"])


async def test_pins_and_members_need_the_right_of_an_admin(memory_bot: Bot, api: MemoryApi) -> None:
    message = await memory_bot.send_message(GROUP, "Calendar")
    with pytest.raises(BadRequest, match=r"(?i)not enough rights"):
        await memory_bot.pin_chat_message(GROUP, message.message_id)
    with pytest.raises(BadRequest, match=r"(?i)admin_required"):
        await memory_bot.get_chat_member(GROUP, CALLUM)
    api.promote(api.bot.id, GROUP)
    await memory_bot.pin_chat_message(GROUP, message.message_id)
    pinned = (await memory_bot.get_chat(GROUP)).pinned_message
    assert pinned is not None
    assert pinned.message_id == message.message_id
    assert (await memory_bot.get_chat_member(GROUP, CALLUM)).status == "member"
    assert [admin.user.id for admin in await memory_bot.get_chat_administrators(GROUP)] == [FARAH]


async def test_privacy_mode_shows_commands_mentions_and_replies_only(memory_bot: Bot, api: MemoryApi) -> None:
    # Bots, "Privacy mode" (core.telegram.org/bots/features, from memory).
    message = await memory_bot.send_message(GROUP, "Who covers?")
    api.write(CALLUM, GROUP, "Nice weather")
    api.write(CALLUM, GROUP, "/week@other_bot")
    seen = [
        api.write(CALLUM, GROUP, "/week"),
        api.write(CALLUM, GROUP, "/week@gatepost_bot"),
        api.write(CALLUM, GROUP, "ask @gatepost_bot then"),
        api.write(CALLUM, GROUP, "I do", reply_to=message.message_id),
    ]
    assert [update.update_id for update in await memory_bot.get_updates()] == [each["update_id"] for each in seen]
    api.promote(api.bot.id, GROUP)
    api.pending.clear()
    api.write(CALLUM, GROUP, "Nice weather")
    assert len(await memory_bot.get_updates()) == 1


async def test_only_topic_messages_carry_a_topic(memory_bot: Bot, api: MemoryApi) -> None:
    asked = await memory_bot.send_message(GROUP, "Who?")
    api.write(CALLUM, GROUP, "I do", reply_to=asked.message_id)
    (reply,) = await memory_bot.get_updates()
    assert reply.message is not None
    # A thread of replies has an id too, and is no topic: it must not be answered into.
    assert (reply.message.is_topic_message, reply.message.message_thread_id) == (None, asked.message_id)
    with pytest.raises(BadRequest, match="thread not found"):
        await memory_bot.send_message(GROUP, "Thanks", message_thread_id=asked.message_id)


async def test_the_wanted_updates_are_remembered(memory_bot: Bot, api: MemoryApi) -> None:
    await memory_bot.get_updates(allowed_updates=["message"])
    await memory_bot.get_updates()
    message = await memory_bot.send_message(FARAH, "Cover", reply_markup=keys("1"))
    api.press(FARAH, api.messages[FARAH, message.message_id], "Done")
    api.edit(api.messages[FARAH, 1], "/start again")
    api.write(FARAH, FARAH, "Hello")
    assert [update.effective_message.text for update in await memory_bot.get_updates() if update.effective_message] == [
        "Hello"
    ]


async def test_updates_come_until_they_are_confirmed(memory_bot: Bot, api: MemoryApi) -> None:
    one, two = (api.write(FARAH, FARAH, text)["update_id"] for text in ("One", "Two"))
    for _ in range(2):
        assert [update.update_id for update in await memory_bot.get_updates()] == [one, two]
    assert [update.update_id for update in await memory_bot.get_updates(one + 1)] == [two]
    assert [update.update_id for update in await memory_bot.get_updates()] == [two]


async def test_a_second_poller_ends_the_first_ones_wait(memory_bot: Bot, api: MemoryApi) -> None:
    first = asyncio.ensure_future(memory_bot.get_updates(timeout=5))
    await asyncio.sleep(0.01)
    await memory_bot.get_updates()
    with pytest.raises(Conflict):
        await first


async def test_an_uploaded_file_keeps_its_bytes_and_can_be_sent_again(memory_bot: Bot, api: MemoryApi) -> None:
    message = await memory_bot.send_document(FARAH, b"BEGIN:VCALENDAR", filename="rota.ics")
    assert message.document is not None
    assert (message.document.file_name, api.files[message.document.file_id]) == ("rota.ics", b"BEGIN:VCALENDAR")
    again = await memory_bot.send_document(GROUP, message.document.file_id)
    assert again.document is not None
    with pytest.raises(BadRequest, match=r"(?i)wrong file identifier"):
        await memory_bot.send_document(GROUP, "no-such-file")
