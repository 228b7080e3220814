"""Every update is stored before the platform may forget it, and handled once, in order, chat by chat."""

from __future__ import annotations

import asyncio
import logging
import traceback
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import aliased
from telegram import Bot, Update
from telegram.error import BadRequest, NetworkError, RetryAfter, TelegramError, TimedOut

from bot.chat.calling import seconds_of
from bot.chat.pump import pump
from bot.storage.claims import try_own
from bot.storage.models import Inbox
from bot.storage.session import Database

__all__ = ["ALLOWED_UPDATES", "Handler", "Workers", "chat_of", "poll", "store"]

_LOG = logging.getLogger(__name__)

#: The platform remembers the last list it was given, so it is given with every call.
ALLOWED_UPDATES = ("message", "edited_message", "callback_query", "my_chat_member", "chat_member")

RETRY_AFTER = (timedelta(seconds=2), timedelta(seconds=10), timedelta(seconds=60))
LONGEST_PAUSE_S = 30.0
ELSEWHERE_S = 0.2  # how long a chat is left alone that another process works on

Handler = Callable[[Update, AsyncSession], Awaitable[None]]
Now = Callable[[], datetime]


def chat_of(update: dict[str, Any]) -> int:
    """The chat whose line an update stands in; the person's own where it belongs to no chat."""
    body = next((value for key, value in update.items() if key != "update_id" and isinstance(value, dict)), {})
    place = body.get("chat") or (body.get("message") or {}).get("chat") or body.get("from") or {}
    return int(place.get("id", 0))


async def store(session: AsyncSession, update_json: dict[str, Any], now: datetime) -> bool:
    """Put an update in line; False if it is there already, handled or not."""
    update_id = int(update_json["update_id"])
    if await session.get(Inbox, update_id) is not None:
        return False
    row = Inbox(update_id=update_id, chat_id=chat_of(update_json), payload=update_json, received_at=now)
    try:
        async with session.begin_nested():
            session.add(row)
    except IntegrityError:  # another process was quicker
        return False
    return True


async def poll(
    bot: Bot, database: Database, stop: asyncio.Event, now: Now, wake: asyncio.Event, *, timeout_s: int = 25
) -> None:
    """Fetch updates until stopped. What a call brought is stored before the next one confirms it.

    Raises Conflict when another process polls with the same token, and InvalidToken: both need a person.
    """
    offset, failures = None, 0
    while not stop.is_set():
        try:
            updates = await _unless(stop, bot.get_updates(offset, timeout=timeout_s, allowed_updates=ALLOWED_UPDATES))
        except BadRequest:
            raise
        except (NetworkError, RetryAfter) as error:
            failures += 1
            pause_s = (
                0.0 if isinstance(error, TimedOut) and failures == 1 else min(2.0 ** (failures - 2), LONGEST_PAUSE_S)
            )
            pause_s = max(pause_s, seconds_of(error) if isinstance(error, RetryAfter) else 0.0)
            _LOG.warning("getting updates failed (%s); again in %.1f s", type(error).__name__, pause_s)
            await _unless(stop, asyncio.sleep(pause_s))
            continue
        failures = 0
        if updates:
            async with database.begin() as session:
                for update in updates:
                    await store(session, update.to_dict(), now())
            offset = updates[-1].update_id + 1
            wake.set()


async def _unless(stop: asyncio.Event, work: Any) -> Any:
    """The result of `work`, or None as soon as we are to stop."""
    task, stopped = asyncio.ensure_future(work), asyncio.ensure_future(stop.wait())
    try:
        await asyncio.wait({task, stopped}, return_when=asyncio.FIRST_COMPLETED)
        return task.result() if task.done() else None
    finally:
        stopped.cancel()
        task.cancel()


@dataclass(slots=True)
class Workers:
    """Take rows in order within a chat, several chats at once, each in one transaction with all of its effects.

    handle: called within the transaction; it must not call the network. on_give_up: the same, for an update that was
    tried four times. committed: called after each commit, so that the sender wakes. before: called before each
    transaction, for what has to be asked of the platform first.
    """

    bot: Bot
    database: Database
    handle: Handler
    on_give_up: Handler
    now: Now
    committed: Callable[[], None]
    before: Callable[[Update], Awaitable[None]] | None = None
    limit: int = 4
    _busy: set[int] = field(default_factory=set)

    async def run(self, wake: asyncio.Event, stop: asyncio.Event) -> None:
        """Until stopped. wake: set by whoever stores an update."""
        await pump(self._take, self._work, limit=self.limit, wake=wake, stop=stop)

    async def work_off(self) -> int:
        """All that can be worked on now; gives how many."""
        return await pump(self._take, self._work, limit=self.limit)

    async def _take(self) -> Inbox | None:
        """The oldest row that is the first of its chat's line and not waiting for its next attempt."""
        earlier = aliased(Inbox)
        is_behind = select(earlier.update_id).where(
            earlier.chat_id == Inbox.chat_id, earlier.done_at.is_(None), earlier.update_id < Inbox.update_id
        )
        ready = Inbox.retry_at.is_(None) | (Inbox.retry_at <= self.now())
        waiting = select(Inbox).where(Inbox.done_at.is_(None), ready, ~is_behind.exists())
        async with self.database.begin() as session:
            query = waiting.where(Inbox.chat_id.not_in(self._busy)).order_by(Inbox.update_id).limit(1)
            row = await session.scalar(query)
        if row is not None:
            self._busy.add(row.chat_id)
        return row

    async def _work(self, waiting: Inbox) -> None:
        update = Update.de_json(waiting.payload, self.bot)
        leave_s = 0.0
        try:
            if update.callback_query and not waiting.attempts:
                await _answer(update)
            if self.before is not None:
                await self.before(update)
            async with self.database.begin() as session:
                row = await _own(session, waiting)
                if row is None:
                    leave_s = ELSEWHERE_S
                else:
                    await self.handle(update, session)
                    row.done_at = self.now()
        except Exception as error:
            _log(waiting, error)
            await self._failed(waiting, update, error)
        finally:
            if leave_s:
                asyncio.get_running_loop().call_later(leave_s, self._busy.discard, waiting.chat_id)
            else:
                self._busy.discard(waiting.chat_id)
        self.committed()

    async def _failed(self, waiting: Inbox, update: Update, error: Exception) -> None:
        """Nothing of the attempt is left; note it, and either wait or give up."""
        last = waiting.attempts >= len(RETRY_AFTER)
        try:
            await self._note(waiting, error, self.on_give_up if last else None, update)
        except Exception as second:
            _log(waiting, second)
            await self._note(waiting, error, None, update)

    async def _note(self, waiting: Inbox, error: Exception, give_up: Handler | None, update: Update) -> None:
        async with self.database.begin() as session:
            row = await _own(session, waiting)
            if row is None:
                return
            # The name of the error only: its text may hold what a person wrote.
            row.attempts, row.error = row.attempts + 1, type(error).__name__
            if row.attempts > len(RETRY_AFTER):
                row.done_at = self.now()
            else:
                row.retry_at = self.now() + RETRY_AFTER[row.attempts - 1]
            if give_up:
                await give_up(update, session)


async def _own(session: AsyncSession, waiting: Inbox) -> Inbox | None:
    """The row, held by this transaction together with its chat's line; None if another process is at it or was."""
    if not await try_own(session, f"inbox {waiting.chat_id}"):
        return None
    query = select(Inbox).where(Inbox.update_id == waiting.update_id, Inbox.done_at.is_(None))
    # Read anew, since the chat may have moved on between the look and the lock.
    return await session.scalar(query.with_for_update().execution_options(populate_existing=True))


def _log(waiting: Inbox, error: Exception) -> None:
    """Where it failed and how, without the error's text, which may hold what a person wrote."""
    where = "".join(traceback.format_tb(error.__traceback__))
    _LOG.error("update %d failed: %s\n%s", waiting.update_id, type(error).__name__, where)


async def _answer(update: Update) -> None:
    """Tell the platform that a press arrived, before the work, since it waits but briefly; the deed is done anyway."""
    assert update.callback_query is not None
    try:
        await update.callback_query.answer()
    except TelegramError as error:
        _LOG.info("a press could not be answered (%s)", type(error).__name__)
