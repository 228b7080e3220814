"""Updates take effect once, in order, whatever fails. The steps of the back-off are common practice, no source."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm.exc import StaleDataError
from telegram import Bot, Update

from bot.chat.wire.inbox import ASIDE, Workers, store
from bot.chat.wire.outbox import queue
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
    return Workers(bot, database, diary.handle, diary.give_up, diary.clock, committed=lambda _left: None)


async def keep(database: Database, clock: Clock, *updates: dict[str, Any]) -> list[int]:
    async with database.begin() as session:
        for update in updates:
            await store(session, update, now=clock())
    return [update["update_id"] for update in updates]


async def row(database: Database, update_id: int) -> Inbox:
    async with database.begin() as session:
        return await session.get_one(Inbox, update_id)


async def handled(database: Database, update_id: int) -> None:
    """Wait until some process has handled it."""
    while (await row(database, update_id)).done_at is None:
        await asyncio.sleep(0.05)


async def test_what_fails_leaves_nothing_and_is_answered_for_at_once(
    bot: Bot, bot_api: BotApiServer, ends: Ends, clock: Clock, caplog: pytest.LogCaptureFixture
) -> None:
    """It would fail again: the person hears so now, and their next message is not held up."""
    diary, api = Diary(clock), bot_api.api
    bad, good = await keep(ends.database, clock, api.write(FARAH, FARAH, "bad"), api.write(FARAH, FARAH, "second"))
    assert await workers(bot, ends.database, diary).work_off() == 2
    settled = await row(ends.database, bad)
    assert (settled.attempts, settled.done_at, settled.error) == (1, clock(), "ZeroDivisionError")
    assert diary.given_up == [bad] and diary.seen == ["bad", "second"]
    assert "ZeroDivisionError" in caplog.text
    assert "secret words: bad" not in caplog.text
    assert await ends.states() == [(f"sorry {bad}", "pending"), (f"reply {good}", "pending")]


async def test_what_the_database_cut_off_is_tried_again_within_seconds(
    bot: Bot, bot_api: BotApiServer, ends: Ends, clock: Clock
) -> None:
    class Cut(Diary):
        async def handle(self, update: Update, session: AsyncSession) -> None:
            await super().handle(update, session)
            if self.seen[-1] == "never" or (self.seen[-1] == "first" and self.seen.count("first") <= 3):
                raise StaleDataError("another transaction was quicker")

    diary, api = Cut(clock), bot_api.api
    (cut,) = await keep(ends.database, clock, api.write(FARAH, FARAH, "first"))
    await keep(ends.database, clock, api.write(CALLUM, CALLUM, "Callum's"))
    crew = workers(bot, ends.database, diary)
    waited_s = 0.0
    while (await row(ends.database, cut)).done_at is None:
        await crew.work_off()
        clock.pass_by(seconds=0.5)
        waited_s += 0.5
    assert diary.seen.count("first") == 4 and diary.seen.count("Callum's") == 1 and diary.given_up == []
    assert waited_s <= 16
    assert (f"reply {cut}", "pending") in await ends.states()
    (lasting,) = await keep(ends.database, clock, api.write(FARAH, FARAH, "never"))
    for _ in range(40):
        await crew.work_off()
        clock.pass_by(seconds=0.5)
    assert diary.given_up == [lasting], "in the end it is said"


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


EMPTY_KEYS: dict[str, Any] = {"inline_keyboard": []}


async def test_what_a_person_wrote_is_read_though_a_part_of_it_cannot_be(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    diary, api = Diary(clock), bot_api.api
    wrote, pressed = api.write(FARAH, FARAH, "/week"), api.write(FARAH, FARAH, "x")
    wrote["message"]["reply_markup"] = EMPTY_KEYS
    keys = {"inline_keyboard": [[{"text": "Done", "callback_data": "done:1"}]]}
    await api.call("sendMessage", {"chat_id": GROUP, "text": "Cover the pots", "reply_markup": keys})
    pressed = api.press(CALLUM, api.said(GROUP)[0], "Done")
    pressed["callback_query"]["message"]["reply_markup"] = EMPTY_KEYS
    await keep(database, clock, wrote, pressed)
    await workers(bot, database, diary).work_off()
    assert sorted(diary.seen) == ["/week", "Cover the pots"] and diary.given_up == []


async def test_one_that_cannot_be_read_at_all_is_put_aside_by_its_kind_and_the_others_go_on(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock, caplog: pytest.LogCaptureFixture
) -> None:
    diary, api = Diary(clock), bot_api.api
    bad, good = api.write(FARAH, FARAH, "secret words"), api.write(FARAH, FARAH, "good")
    bad["message"]["date"] = "yesterday"
    await keep(database, clock, bad, good)
    await workers(bot, database, diary).work_off()
    aside = await row(database, bad["update_id"])
    assert aside.done_at == clock() and (aside.error or "").startswith(f"{ASIDE}message: ")
    assert diary.seen == ["good"]
    assert "secret words" not in caplog.text


async def test_a_row_whose_text_is_spoilt_stops_no_other(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    if not database.is_sqlite:
        pytest.skip("PostgreSQL keeps no text that is not JSON")
    diary, api = Diary(clock), bot_api.api
    (bad, _, _) = await keep(database, clock, *(api.write(user, user, "hello") for user in (FARAH, FARAH, CALLUM)))
    async with database.begin() as session:
        await session.execute(text(f"update inbox set payload = '{{cut' where update_id = {bad}"))
    await workers(bot, database, diary).work_off()
    assert diary.seen == ["hello", "hello"]


async def test_a_chat_whose_number_is_none_is_not_taken_over(
    bot: Bot, bot_api: BotApiServer, database: Database, clock: Clock
) -> None:
    diary, api = Diary(clock), bot_api.api
    moved, odd = api.write(FARAH, FARAH, "moved"), api.write(FARAH, FARAH, "odd")
    moved["message"]["migrate_to_chat_id"] = "9" * 40
    odd["message"]["from"]["id"] = "501"
    await keep(database, clock, moved, odd)
    await workers(bot, database, diary).work_off()
    assert diary.seen == ["moved"], "read without that field"
    assert ((await row(database, odd["update_id"])).error or "").startswith(ASIDE)
