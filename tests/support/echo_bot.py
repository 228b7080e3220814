"""The smallest bot with both durable ends: it replies to each message and counts each press. Made to be killed."""

from __future__ import annotations

import asyncio
import math
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Any
from unittest.mock import patch

from sqlalchemy import Column, Integer, MetaData, Table, insert
from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Bot, Update
from telegram.error import NetworkError, RetryAfter
from telegram.request import HTTPXRequest

from bot import jobs
from bot.app import App
from bot.chat.wire import outbox
from bot.chat.wire.inbox import Workers, poll
from bot.chat.wire.outbox import Ahead, Hooks, queue, run
from bot.chat.wire.pace import Pace
from bot.cli import run as run_command
from bot.config import Settings
from bot.storage.models import Outbox
from bot.storage.schema import upgrade
from bot.storage.session import Database
from bot.storage.wire.outbox_rows import Fate, recover
from tests.support.bot_api import TOKEN

AGAIN = "This may have reached you already:"
KEYS = {"inline_keyboard": [[{"text": "Count", "callback_data": "count"}]]}
#: One row for each time that an update took effect; nothing keeps a second one out.
EFFECTS = Table("effects", MetaData(), Column("id", Integer, primary_key=True), Column("update_id", Integer))


def _now() -> datetime:
    return datetime.now(UTC)


async def handle(update: Update, session: AsyncSession) -> None:
    await session.execute(insert(EFFECTS).values(update_id=update.update_id))
    if update.message and update.effective_chat:
        await queue(
            session,
            key=f"reply {update.update_id}",
            chat_id=update.effective_chat.id,
            thread_id=None,
            method="sendMessage",
            payload={"text": f"reply {update.update_id}", "again_prefix": AGAIN, "reply_markup": KEYS},
            urgency=5,
            now=_now(),
            repeatable=True,
        )


async def serve_by_webhook(database_url: str, base_url: str, port: str) -> None:
    """Everything that `gatepost run` does, with the echo in place of the garden, until killed: updates come by a webhook.

    Several of these share one PostgreSQL. What goes by real seconds is shortened; the platform here takes any pace.
    """
    settings = Settings(
        TOKEN, database_url, base_url, "file:none.json", "", "ERROR", web=("127.0.0.1", int(port)),
        webhook="https://proxy.example/updates",
    )  # fmt: skip
    with (
        patch.object(jobs, "JOBS", ()),
        patch.object(App, "handle", lambda _app, update, session: handle(update, session)),
        patch.object(App, "give_up", lambda _app, update, session: handle(update, session)),
        patch.object(run_command, "Pace", Pace.off),
        patch.object(run_command, "introduce", _nothing),
        patch.object(run_command, "HTTPXRequest", partial(HTTPXRequest, read_timeout=0.5)),
        patch.object(outbox, "STALE", timedelta(seconds=3)),
        patch.object(outbox, "LOOK_S", 1.0),
    ):
        database = Database(database_url, patience_s=math.inf)
        await upgrade(database)
        await run_command.serve(settings, database, _now)


async def serve(database_url: str, base_url: str) -> None:
    """Poll, work and send until killed."""
    database = Database(database_url)
    async with database.begin() as session:  # the only process there is, so what is being sent is a dead one's
        await recover(session, _now(), _now())
    requests = [HTTPXRequest(read_timeout=0.5) for _ in range(2)]
    bot = Bot(TOKEN, base_url=base_url, request=requests[0], get_updates_request=requests[1])
    stop, came, queued = asyncio.Event(), asyncio.Event(), asyncio.Event()
    ahead = Ahead()

    async def answer(update: Update, session: AsyncSession) -> None:
        await handle(update, session)
        session.info["claimed"] = await ahead.claim(session, _now())

    def committed(left: Mapping[str, Any]) -> None:
        ahead.hand_over(left.get("claimed"))
        queued.set()

    workers = Workers(bot, database, answer, handle, _now, committed=committed)
    while not await _knows_itself(bot):
        await asyncio.sleep(0.05)
    async with asyncio.TaskGroup() as tasks:
        tasks.create_task(poll(bot, database, stop, _now, came, timeout_s=5, workers=workers))
        tasks.create_task(workers.run(came, stop))
        sending = run(
            bot, database, _now, pace=Pace.off(), hooks=Hooks(_forbidden), wake=queued, stop=stop, ahead=ahead
        )
        tasks.create_task(sending)


async def _knows_itself(bot: Bot) -> bool:
    try:
        await bot.initialize()
    except (NetworkError, RetryAfter):
        return False
    return True


async def _forbidden(_session: AsyncSession, row: Outbox, _why: Fate, _now: datetime) -> None:
    raise AssertionError(f"nobody in {row.chat_id} blocked the bot")


async def _nothing(_bot: Bot) -> None:
    """The platform here shows nobody a profile."""
