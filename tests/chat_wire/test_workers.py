"""Updates take effect once, in order, whatever fails. The steps of the back-off are common practice, no source."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from typing import Any

import pytest
from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Bot, Update

from bot.chat.inbox import Workers, store
from bot.chat.outbox import queue
from bot.storage.models import Inbox
from bot.storage.session import Database
from tests.support.bot_api import BotApiServer, Fault
from tests.support.cast import CALLUM, FARAH, GROUP
from tests.support.ends import Clock, Ends


@dataclass
class Diary:
    """A handler that notes what it is given, and fails on the word "bad"."""

    clock: Clock
    seen: list[str] = field(default_factory=list)
    given_up: list[int] = field(default_factory=list)
    pause_s: float = 0.0

    async def handle(self, update: Update, session: AsyncSession) -> None:
        text = update.effective_message.text if update.effective_message else None
        await self.reply(f"reply {update.update_id}", update, session)
        await asyncio.sleep(self.pause_s)
        self.seen.append(text or "")
        if text and "bad" in text:
            raise ZeroDivisionError(f"secret words: {text}")

    async def give_up(self, update: Update, session: AsyncSession) -> None:
        self.given_up.append(update.update_id)
        await self.reply(f"sorry {update.update_id}", update, session)

    async def reply(self, key: str, update: Update, session: AsyncSession) -> None:
        assert update.effective_chat is not None
        payload = {"text": key}
        common: dict[str, Any] = {"thread_id": None, "method": "sendMessage", "urgency": 5, "now": self.clock()}
        await queue(session, key=key, chat_id=update.effective_chat.id, payload=payload, **common)


def workers(bot: Bot, database: Database, diary: Diary) -> Workers:
    return Workers(bot, database, diary.handle, diary.give_up, diary.clock, committed=lambda: None)


async def keep(database: Database, clock: Clock, *updates: dict[str, Any]) -> list[int]:
    async with database.begin() as session:
        for update in updates:
            await store(session, update, clock())
    return [update["update_id"] for update in updates]


async def row(database: Database, update_id: int) -> Inbox:
    async with database.begin() as session:
        return await session.get_one(Inbox, update_id)


async def handled(database: Database, update_id: int) -> None:
    """Wait until some process has handled it."""
    while (await row(database, update_id)).done_at is None:
        await asyncio.sleep(0.05)


async def test_a_failed_attempt_leaves_nothing_and_is_tried_four_times(
    bot: Bot, bot_api: BotApiServer, ends: Ends, clock: Clock, caplog: pytest.LogCaptureFixture
) -> None:
    diary, api = Diary(clock), bot_api.api
    (bad,) = await keep(ends.database, clock, api.write(FARAH, FARAH, "bad"))
    crew = workers(bot, ends.database, diary)
    for attempts, wait_s in ((1, 2), (2, 10), (3, 60)):
        assert await crew.work_off() == 1
        waiting = await row(ends.database, bad)
        assert (waiting.attempts, waiting.done_at) == (attempts, None)
        assert await ends.states() == []
        clock.pass_by(seconds=wait_s - 0.1)
        assert await crew.work_off() == 0
        clock.pass_by(seconds=0.1)
    assert await crew.work_off() == 1
    assert await crew.work_off() == 0
    settled = await row(ends.database, bad)
    assert (settled.attempts, settled.done_at, settled.error) == (4, clock(), "ZeroDivisionError")
    assert diary.given_up == [bad]
    assert "ZeroDivisionError" in caplog.text
    assert "secret words: bad" not in caplog.text
    assert await ends.states() == [(f"sorry {bad}", "pending")]


async def test_a_chat_waits_for_its_failed_update_and_the_others_go_on(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    diary, api = Diary(clock), bot_api.api
    await keep(
        database,
        clock,
        api.write(FARAH, FARAH, "bad"),
        api.write(FARAH, FARAH, "second"),
        api.write(CALLUM, CALLUM, "Callum's"),
    )
    crew = workers(bot, database, diary)
    await crew.work_off()
    assert sorted(diary.seen) == ["Callum's", "bad"]
    for seconds in (2, 10, 60):
        clock.pass_by(seconds=seconds)
        await crew.work_off()
    assert diary.seen[-2:] == ["bad", "second"]


async def test_many_updates_of_many_chats_are_handled_once_and_in_order(
    bot: Bot, bot_api: BotApiServer, ends: Ends, clock: Clock
) -> None:
    diary, api = Diary(clock), bot_api.api
    updates = [
        api.write(user, chat, f"{chat} {n:02}") for n in range(10) for user, chat in ((FARAH, FARAH), (CALLUM, GROUP))
    ]
    await keep(ends.database, clock, *updates)
    assert await workers(bot, ends.database, diary).work_off() == 20
    for chat in (FARAH, GROUP):
        texts = [text for text in diary.seen if text.startswith(f"{chat} ")]
        assert texts == [f"{chat} {n:02}" for n in range(10)]
    assert len(await ends.states()) == 20


async def test_two_processes_share_the_work_without_doubling_any(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    if database.is_sqlite:
        pytest.skip("one process runs on SQLite")
    mine, theirs, api = Diary(clock, pause_s=0.05), Diary(clock, pause_s=0.05), bot_api.api
    people = [api.add_user(900 + n, f"Neighbour {n}").id for n in range(12)]
    updates = [api.write(user, user, f"{user} {n:02}") for n in range(4) for user in people]
    ids = await keep(database, clock, *updates)
    other = Database(database.url.render_as_string(hide_password=False))
    stop, wake = asyncio.Event(), asyncio.Event()
    crews = [workers(bot, database, mine), workers(bot, other, theirs)]
    running = [asyncio.ensure_future(crew.run(wake, stop)) for crew in crews]
    async with asyncio.timeout(20):
        for each in ids:
            await handled(database, each)
    stop.set()
    await asyncio.gather(*running)
    await other.close()
    assert sorted(mine.seen + theirs.seen) == sorted(update["message"]["text"] for update in updates)
    assert mine.seen
    assert theirs.seen


async def test_a_press_is_answered_before_the_work_and_the_deed_is_done_either_way(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    diary, api = Diary(clock), bot_api.api
    keys = {"inline_keyboard": [[{"text": "Done", "callback_data": "done:1"}]]}
    await api.call("sendMessage", {"chat_id": GROUP, "text": "Cover the pots", "reply_markup": keys})
    fresh, late = (api.press(CALLUM, api.said(GROUP)[0], "Done") for _ in range(2))
    del api.queries[late["callback_query"]["id"]]  # the platform has forgotten it: "query is too old"
    await keep(database, clock, fresh, late)
    bot_api.calls.clear()
    await workers(bot, database, diary).work_off()
    assert [call["callback_query_id"] for call in bot_api.made(["answerCallbackQuery"])] == [
        fresh["callback_query"]["id"]
    ]
    assert diary.seen == ["Cover the pots"] * 2


async def test_a_press_takes_effect_though_the_platform_cannot_be_reached(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    diary, api = Diary(clock), bot_api.api
    keys = {"inline_keyboard": [[{"text": "Done", "callback_data": "done:1"}]]}
    await api.call("sendMessage", {"chat_id": GROUP, "text": "Cover the pots", "reply_markup": keys})
    await keep(database, clock, api.press(CALLUM, api.said(GROUP)[0], "Done"))
    bot_api.faults.next_up.append(Fault.CUT_BEFORE)
    await workers(bot, database, diary).work_off()
    assert diary.seen == ["Cover the pots"]
