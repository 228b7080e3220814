"""What is handed on in memory, so that nobody need look for it: it is what the tables hold, and nothing else."""

from __future__ import annotations

import asyncio
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import inspect
from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Bot, Update

from bot.chat.wire.inbox import Workers, store
from bot.chat.wire.outbox import Ahead, queue
from bot.chat.wire.pace import Pace
from bot.storage.models import Outbox
from bot.storage.session import Database
from bot.storage.states import SendState
from bot.storage.wire.inbox_rows import alone_in_line
from tests.support.ends import Clock

#: Where several processes may have a part in the database, nothing is claimed but by the sender.
on_sqlite = pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)


def written(number: int, chat_id: int = 7) -> dict[str, Any]:
    person = {"id": chat_id, "is_bot": False, "first_name": "Miriam"}
    chat = {"id": chat_id, "type": "private", "first_name": "Miriam"}
    body = {"message_id": number, "date": 1_777_000_000, "chat": chat, "from": person, "text": f"word {number}"}
    return {"update_id": number, "message": body}


async def queued(session: AsyncSession, clock: Clock, key: str, chat_id: int = 7, **more: Any) -> Outbox | None:
    given = {"thread_id": None, "method": "sendMessage", "payload": {"text": key}, "urgency": 1}
    return await queue(session, key=key, chat_id=chat_id, now=clock(), **(given | more))


def opened() -> Ahead:
    ahead = Ahead()
    ahead.open(Pace.off())
    return ahead


async def test_a_queued_row_is_as_the_database_has_it(database: Database) -> None:
    clock = Clock()
    async with database.begin() as session:
        row = await queued(session, clock, "one")
        assert row is not None
        assert not inspect(row).unloaded
        as_queued = {column.key: getattr(row, column.key) for column in inspect(Outbox).columns}
    async with database.begin() as session:
        read = await session.get_one(Outbox, row.id)
        assert {column.key: getattr(read, column.key) for column in inspect(Outbox).columns} == as_queued


@on_sqlite
async def test_what_stands_alone_is_claimed_as_it_is_queued_and_is_being_sent_after_the_commit(
    database: Database,
) -> None:
    clock, ahead = Clock(), opened()
    async with database.begin() as session:
        await queued(session, clock, "one")
        claimed = await ahead.claim(session, clock())
    assert claimed is not None
    async with database.begin() as session:
        row = await session.get_one(Outbox, claimed.row.id)
        assert (row.state, row.attempts, row.claimed_at) == (SendState.SENDING, 1, clock())


@on_sqlite
async def test_a_message_that_was_undone_is_never_claimed(database: Database) -> None:
    """Nor the other one that waits by then, which is not ours to take out of turn."""
    clock, ahead = Clock(), opened()
    async with database.begin() as session:
        await queued(session, clock, "elsewhere", 8)
    async with database.begin() as session:
        async with session.begin_nested() as step:
            await queued(session, clock, "undone")
            await step.rollback()
        assert await ahead.claim(session, clock()) is None


@on_sqlite
async def test_after_one_that_was_undone_the_next_takes_its_number(database: Database) -> None:
    clock = Clock()
    async with database.begin() as session:
        async with session.begin_nested() as step:
            undone = await queued(session, clock, "undone")
            await step.rollback()
        row = await queued(session, clock, "said")
        assert row is not None and undone is not None
    async with database.begin() as session:
        assert (await session.get_one(Outbox, row.id)).key == "said"


@on_sqlite
async def test_nothing_is_claimed_ahead_of_others_too_early_or_without_a_sender(database: Database) -> None:
    clock, ahead = Clock(), opened()
    async with database.begin() as session:
        await queued(session, clock, "one")
        await queued(session, clock, "two", 8)
        assert await ahead.claim(session, clock()) is None
        await session.rollback()
    async with database.begin() as session:
        await queued(session, clock, "later", send_at=clock() + timedelta(seconds=5))
        assert await ahead.claim(session, clock()) is None
        await session.rollback()
    ahead.close()
    async with database.begin() as session:
        await queued(session, clock, "nobody sends")
        assert await ahead.claim(session, clock()) is None


async def test_an_update_is_handed_over_only_where_its_chat_has_no_other(database: Database) -> None:
    clock = Clock()
    async with database.begin() as session:
        await store(session, written(1), now=clock())
        assert await alone_in_line(session, [written(1)]) is not None
        await store(session, written(2), now=clock())
        assert await alone_in_line(session, [written(2)]) is None
        await store(session, written(3, 8), now=clock())
        assert await alone_in_line(session, [written(3, 8)]) is not None
        assert await alone_in_line(session, [{"update_id": 2**70}]) is None
        assert await alone_in_line(session, ["no update"]) is None


async def test_handed_over_or_found_each_is_handled_once_and_in_order(bot: Bot, database: Database) -> None:
    """The second comes while the first is being handled; the third, of another chat, is handed over meanwhile."""
    clock, handled, gate = Clock(), list[int](), asyncio.Event()

    async def handle(update: Update, _session: AsyncSession) -> None:
        if update.update_id == 1:
            await gate.wait()
        handled.append(update.update_id)

    workers = Workers(bot, database, handle, handle, clock, committed=lambda _left: None)
    wake, stop = asyncio.Event(), asyncio.Event()
    running = asyncio.create_task(workers.run(wake, stop))

    async def come(update: dict[str, Any]) -> None:
        async with database.begin() as session:
            await store(session, update, now=clock())
            alone = await alone_in_line(session, [update])
        workers.hand_over(alone)
        wake.set()

    if database.is_sqlite:  # where a handler that waits would keep everybody else from storing
        gate.set()
    await come(written(1))
    await asyncio.sleep(0.05)
    await come(written(2))
    await come(written(3, 8))
    await asyncio.sleep(0.2)
    gate.set()
    async with asyncio.timeout(20):
        while len(handled) < 3:
            await asyncio.sleep(0.02)
    stop.set()
    await running
    assert sorted(handled) == [1, 2, 3]
    assert handled.index(1) < handled.index(2)
