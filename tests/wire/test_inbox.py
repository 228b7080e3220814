"""What comes in is kept before it is confirmed, and handled once. Rules: Bot API 10.0, getUpdates."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

import pytest
from sqlalchemy import func, select
from telegram import Bot, Update
from telegram.error import Conflict
from telegram.ext import CallbackContext, CommandHandler

from bot.chat.wire import updates
from bot.chat.wire.inbox import ASIDE, poll, store
from bot.chat.wire.updates import ALLOWED_UPDATES
from bot.storage.models import Inbox
from bot.storage.session import Database
from tests.support.bot_api import BotApiServer, Fault
from tests.support.cast import CALLUM, FARAH, GROUP
from tests.support.ends import Clock


@asynccontextmanager
async def polling(bot: Bot, database: Database, clock: Clock) -> AsyncIterator[asyncio.Event]:
    """A poller at work; the event is set whenever it stored something."""
    stop, wake = asyncio.Event(), asyncio.Event()
    task = asyncio.ensure_future(poll(bot, database, stop, clock, wake, timeout_s=1))
    try:
        yield wake
    finally:
        stop.set()
        await task


async def kept(database: Database) -> list[int]:
    async with database.begin() as session:
        return list(await session.scalars(select(Inbox.update_id).order_by(Inbox.update_id)))


async def test_an_update_is_stored_before_the_next_call_confirms_it(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    sent = [bot_api.api.write(FARAH, FARAH, text)["update_id"] for text in ("One", "Two", "Three")]
    async with polling(bot, database, clock) as wake:
        await wake.wait()
        # Not confirmed yet, or confirmed and stored: never confirmed only.
        assert await kept(database) == sent
    offsets = [call.get("offset") for call in bot_api.made(["getUpdates"])]
    assert offsets[0] is None
    assert set(offsets[1:]) <= {sent[-1] + 1}


async def test_an_update_that_was_not_confirmed_comes_again_and_is_kept_once(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    update = bot_api.api.write(FARAH, FARAH, "Sowed peas")
    async with database.begin() as session:
        assert await store(session, update, now=clock())
        assert not await store(session, update, now=clock())
    async with polling(bot, database, clock) as wake:
        await wake.wait()
    assert await kept(database) == [update["update_id"]]


async def test_every_call_states_the_wanted_updates_and_drops_none(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    async with polling(bot, database, clock) as wake:
        bot_api.api.write(FARAH, FARAH, "Sowed peas")
        await wake.wait()
    calls = bot_api.made(["getUpdates"])
    assert all(call["allowed_updates"] == list(ALLOWED_UPDATES) for call in calls)
    assert bot_api.made(["setWebhook", "deleteWebhook"]) == []


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """A second stands for a minute and more."""
    monkeypatch.setattr(updates, "NEWCOMER_S", 1.0)
    monkeypatch.setattr(updates, "RESIDENT_S", 2.0)
    monkeypatch.setattr(updates, "PAUSE_S", (0.05, 0.15))


async def test_a_single_conflict_is_waited_out(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock, hasty: None
) -> None:
    """Such as that of a process that was killed and whose last call still hangs."""
    async with polling(bot, database, clock) as wake:
        await asyncio.sleep(0.1)
        await bot.get_updates()
        update = bot_api.api.write(FARAH, FARAH, "Sowed peas")
        await asyncio.wait_for(wake.wait(), 5)
    assert await kept(database) == [update["update_id"]]


async def test_a_second_process_that_goes_on_polling_ends_the_newcomer_with_what_to_do(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock, hasty: None
) -> None:
    async def other() -> None:
        while True:
            with contextlib.suppress(Conflict):
                await bot.get_updates()
            await asyncio.sleep(0.1)

    rival = asyncio.create_task(other())
    with pytest.raises(Conflict, match=r"stop one of the two.*GATEPOST_TOKEN"):
        await asyncio.wait_for(poll(bot, database, asyncio.Event(), clock, asyncio.Event(), timeout_s=1), 10)
    rival.cancel()


async def test_of_two_that_poll_one_is_left_and_it_is_the_older(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock, hasty: None
) -> None:
    stop = asyncio.Event()
    older = asyncio.create_task(poll(bot, database, stop, clock, asyncio.Event(), timeout_s=1))
    await asyncio.sleep(1.2)
    newer = asyncio.create_task(poll(bot, database, stop, clock, asyncio.Event(), timeout_s=1))
    await asyncio.wait({older, newer}, timeout=10, return_when=asyncio.FIRST_COMPLETED)
    assert newer.done() and isinstance(newer.exception(), Conflict)
    await asyncio.sleep(1.5)
    assert not older.done()
    stop.set()
    await older


async def test_a_webhook_that_was_set_before_is_removed_and_its_address_is_not_shown_whole(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock, hasty: None, caplog: pytest.LogCaptureFixture
) -> None:
    await bot.set_webhook("https://old.example/secret-path")
    async with polling(bot, database, clock) as wake:
        update = bot_api.api.write(FARAH, FARAH, "Sowed peas")
        await asyncio.wait_for(wake.wait(), 5)
    assert await kept(database) == [update["update_id"]]
    assert "old.example" in caplog.text and "secret-path" not in caplog.text


async def test_a_webhook_that_comes_back_again_and_again_is_named(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock, hasty: None
) -> None:
    async def other() -> None:
        while True:
            await bot.set_webhook("https://other.example/x")
            await asyncio.sleep(0.02)

    rival = asyncio.create_task(other())
    with pytest.raises(Conflict, match=r"sets a webhook .* at other\.example"):
        await asyncio.wait_for(poll(bot, database, asyncio.Event(), clock, asyncio.Event(), timeout_s=1), 10)
    rival.cancel()


async def test_one_that_cannot_be_stored_is_put_aside_and_the_others_are_kept(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock, caplog: pytest.LogCaptureFixture
) -> None:
    api = bot_api.api
    first, bad, last = (api.write(FARAH, FARAH, text) for text in ("One", "secret words", "Three"))
    bad["message"]["chat"] = {"id": 2**70, "type": "private"}
    async with polling(bot, database, clock) as wake:
        await asyncio.wait_for(wake.wait(), 5)
    assert await kept(database) == [each["update_id"] for each in (first, bad, last)]
    async with database.begin() as session:
        row = await session.get_one(Inbox, bad["update_id"])
    assert row.done_at is not None and (row.error or "").startswith(f"{ASIDE}message: ") and row.payload == {}
    assert "(message: entities, text)" in caplog.text and "secret words" not in caplog.text


@pytest.mark.parametrize("fault", [Fault.CUT_BEFORE, Fault.CUT_AFTER, Fault.SERVER_ERROR, Fault.GATEWAY_ERROR])
async def test_polling_goes_on_after_a_failure(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock, fault: Fault
) -> None:
    bot_api.faults.next_up.append(fault)
    update = bot_api.api.write(FARAH, FARAH, "Sowed peas")
    async with polling(bot, database, clock) as wake:
        await asyncio.wait_for(wake.wait(), 5)
    assert await kept(database) == [update["update_id"]]


async def test_an_update_reads_back_from_storage_as_it_came(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    message = await bot.send_message(GROUP, "Potted on?", reply_markup=None)
    raw = bot_api.api.write(CALLUM, GROUP, "/done yes", reply_to=message.message_id)
    async with polling(bot, database, clock) as wake:
        await wake.wait()
    async with database.begin() as session:
        row = await session.get_one(Inbox, raw["update_id"])
    assert row.chat_id == GROUP
    assert Update.de_json(row.payload, bot).to_dict() == Update.de_json(raw, bot).to_dict()


async def test_a_written_command_is_one_to_the_chat_library(bot: Bot, bot_api: BotApiServer) -> None:
    async def callback(_update: Update, _context: CallbackContext[Any, Any, Any, Any]) -> None: ...

    await bot.initialize()
    update = Update.de_json(bot_api.api.write(FARAH, GROUP, "/week@gatepost_bot now"), bot)
    assert CommandHandler("week", callback).check_update(update) == (["now"], True)


async def test_different_kinds_of_updates_stand_in_their_chats_line(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    api = bot_api.api
    keys = {"inline_keyboard": [[{"text": "Done", "callback_data": "done:1"}]]}
    await api.call("sendMessage", {"chat_id": GROUP, "text": "Cover the pots", "reply_markup": keys})
    updates = [
        api.write(CALLUM, GROUP, "Hello"),
        api.press(CALLUM, api.said(GROUP)[0], "Done"),
        api.leave(CALLUM, GROUP),
    ]
    async with database.begin() as session:
        for update in [*updates, api.block(FARAH)]:
            await store(session, update, now=clock())
        lines = await session.execute(select(Inbox.chat_id, func.count()).group_by(Inbox.chat_id))
        assert dict(lines.all()) == {GROUP: 3, FARAH: 1}
