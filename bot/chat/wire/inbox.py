"""Every update is stored before the platform may forget it, and handled once, in order, chat by chat."""

from __future__ import annotations

import asyncio
import json
import logging
import math
import time
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, TypeVar

from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Bot, Update
from telegram.error import Conflict, RetryAfter, TelegramError, TimedOut

from bot.chat.wire import updates
from bot.chat.wire.api_call import seconds_of
from bot.chat.wire.pump import ALONE_TICK_S, TICK_S, log_of, needs_a_person, pump
from bot.chat.wire.updates import Json, Rivals
from bot.storage.models import Inbox
from bot.storage.once import insert_numbers
from bot.storage.session import TO_DO, TO_SEND, Database
from bot.storage.trouble import Trouble, trouble
from bot.storage.wire import inbox_rows
from bot.storage.wire.inbox_rows import Waiting, alone_in_line, done, first_of_lines, own
from bot.storage.wire.inbox_rows import note as note_of

_LOG = logging.getLogger(__name__)
_Result = TypeVar("_Result")

#: How long an attempt waits that the database cut off; any other failure comes again, so it is answered at once.
RETRY_AFTER = tuple(timedelta(seconds=seconds) for seconds in (0.5, 1, 2, 4, 8))
LONGEST_PAUSE_S = 30.0
ELSEWHERE_S = 0.2  # how long a chat is left alone that another process works on
#: How the error of an update begins that was put aside, unhandled: its kind follows.
ASIDE = "put aside: "

Handler = Callable[[Update, AsyncSession], Awaitable[None]]
Now = Callable[[], datetime]


def chat_of(update: Json) -> int:
    """The chat whose line an update stands in; the person's own where it belongs to no chat."""
    body = next((value for key, value in update.items() if key != "update_id" and isinstance(value, dict)), {})
    place = body.get("chat") or (body.get("message") or {}).get("chat") or body.get("from") or {}
    return int(place.get("id", 0))


async def store(session: AsyncSession, *update_jsons: Json, now: datetime) -> int:
    """Put updates in line, as they were sent; gives how many were not there already, handled or not."""
    rows = [
        {"update_id": int(each["update_id"]), "chat_id": chat_of(each), "payload": each, "received_at": now}
        for each in update_jsons
    ]
    return len(await insert_numbers(session, Inbox, rows)) if rows else 0


async def store_all(session: AsyncSession, found: Sequence[Any], now: datetime) -> int | None:
    """Keep each, and put aside what cannot be kept; gives the last number, None where none has one.

    Nothing else is done in the same transaction, which is begun anew where one of them cannot be kept.
    """
    try:
        await store(session, *found, now=now)
    except Exception as error:
        if trouble(error) is not None:
            raise
        await session.rollback()
        for update in found:
            await _store_or_put_aside(session, update, now)
    numbers = (update.get("update_id") for update in found if isinstance(update, dict))
    return next((number for number in reversed([*numbers]) if isinstance(number, int)), None)


async def _store_or_put_aside(session: AsyncSession, update: Any, now: datetime) -> None:
    try:
        async with session.begin_nested():
            await store(session, update, now=now)
    except Exception as error:
        if trouble(error) is not None:
            raise
        await _put_aside(session, update, error, now)


async def put_aside(session: AsyncSession) -> Sequence[str]:
    """Kind and error of each update that was put aside and is still known."""
    return await inbox_rows.errors(session, ASIDE)


async def _put_aside(session: AsyncSession, update: Any, error: Exception, now: datetime) -> None:
    """What cannot be kept leaves its number and its kind, so that somebody can look into it."""
    kind = updates.kind_of(update)
    _LOG.error("an update cannot be stored and is put aside (%s): %s", kind, type(error).__name__)
    number = update.get("update_id") if isinstance(update, dict) else None
    row = Inbox(update_id=number, chat_id=0, payload={}, received_at=now, done_at=now, error=_aside(kind, error))
    if isinstance(number, int):
        try:
            await inbox_rows.add(session, row)
        except Exception as second:
            if trouble(second) is not None:
                raise
            _LOG.error("nor can its number be kept: %s", type(second).__name__)


def _aside(kind: str, error: Exception) -> str:
    return f"{ASIDE}{kind}; {type(error).__name__}"


async def poll(
    bot: Bot,
    database: Database,
    stop: asyncio.Event,
    now: Now,
    wake: asyncio.Event,
    *,
    timeout_s: int = 25,
    alive: Callable[[float], None] = lambda _s: None,
    workers: Workers | None = None,
) -> None:
    """Fetch updates until stopped. What a call brought is stored before the next one confirms it.

    alive: called with the seconds within which we are here again. workers: of this process, who are handed what they may
    begin with at once.

    Raises what needs a person: InvalidToken, Conflict when another process goes on polling with the same token, an error
    of the database that no waiting mends. Any other error is waited out.
    """
    offset, failures, rivals = None, 0, Rivals(bot)
    while not stop.is_set():
        alive(timeout_s)
        try:
            found = await _unless(stop, updates.fetch(bot, offset, timeout_s))
            if found:
                offset = 1 + await _kept(database, found, now, workers)
                wake.set()
            failures = 0
        except Exception as error:
            if needs_a_person(error):
                raise
            failures += 1
            pause_s = await rivals.met(error) if isinstance(error, Conflict) else _pause_s(error, failures)
            _LOG.warning("getting updates failed (%s); again in %.1f s", type(error).__name__, pause_s)
            alive(pause_s)
            await _unless(stop, asyncio.sleep(pause_s))


async def _kept(database: Database, found: Sequence[Any], now: Now, workers: Workers | None) -> int:
    """The number of the last one, when all are kept."""

    async def keep(session: AsyncSession) -> tuple[int | None, Waiting | None]:
        last = await store_all(session, found, now())
        return last, await alone_in_line(session, found) if workers is not None else None

    last, alone = await database.insist(keep)
    if last is None:
        raise ValueError("updates without numbers")  # nothing can confirm them, so they come again
    if workers is not None:
        workers.hand_over(alone)
    return last


def _pause_s(error: Exception, failures: int) -> float:
    """Ever longer; none after a first answer that was late; as long as the platform asks for."""
    if isinstance(error, TimedOut) and failures == 1:
        return 0.0
    asked_s = seconds_of(error) if isinstance(error, RetryAfter) else 0.0
    return max(min(2.0 ** min(failures - 2, 10), LONGEST_PAUSE_S), asked_s)


async def _unless(stop: asyncio.Event, work: Awaitable[_Result]) -> _Result | None:
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

    handle: called within the transaction; it must not call the network. on_give_up: the same, for an update that could
    not be handled. committed: called after each commit with what the session noted (`info`), so that whoever has something
    to send or to do wakes. before: called before each
    transaction, for what has to be asked of the platform first.
    _handed: what may be begun with unseen. _is_asked: somebody wants the table looked at all the same.
    """

    bot: Bot
    database: Database
    handle: Handler
    on_give_up: Handler
    now: Now
    committed: Callable[[Mapping[str, Any]], None]
    before: Callable[[Update], Awaitable[None]] | None = None
    limit: int = 4
    _busy: set[int] = field(default_factory=set)
    _wake: asyncio.Event | None = None
    _looks_n: int = 0
    _handed: list[Waiting] = field(default_factory=list)
    _is_asked: bool = True
    _looked_s: float = -math.inf

    def hand_over(self, waiting: Waiting | None) -> None:
        """Begin with this one, which was stored just now, as soon as somebody is free; with None, look what there is."""
        if waiting is None or waiting.chat_id in self._busy:
            self._is_asked = True
        else:
            self._busy.add(waiting.chat_id)
            self._handed.append(waiting)

    async def run(self, wake: asyncio.Event, stop: asyncio.Event) -> None:
        """Until stopped. wake: set by whoever stores an update."""
        self._wake = wake
        tick_s = ALONE_TICK_S if self.database.is_sqlite else TICK_S
        await pump(self._take, self._work, limit=self.limit, wake=wake, stop=stop, tick_s=lambda: tick_s)

    async def work_off(self) -> int:
        """All that can be worked on now; gives how many."""
        return await pump(self._take, self._work, limit=self.limit)

    async def _take(self, most_n: int) -> Sequence[Waiting]:
        """What may be worked on now. While there is something that was handed over, the table is looked at only when
        somebody asks, or nobody has for as long as a tick.
        """
        handed = self._handed[:most_n]
        if handed and not self._is_asked and time.monotonic() - self._looked_s < TICK_S:
            found: list[Waiting] = []
        elif len(handed) < most_n:
            found = await self._looked(most_n - len(handed))
        else:
            found = []
            self._is_asked = True
        del self._handed[: len(handed)]
        return [*handed, *found]

    async def _looked(self, most_n: int) -> list[Waiting]:
        async with self.database.read() as session:
            found = await first_of_lines(session, self.now(), self._busy, most_n)
        self._busy |= {each.chat_id for each in found}
        self._looks_n += 1
        self._is_asked, self._looked_s = len(found) == most_n, time.monotonic()
        return found

    async def _work(self, waiting: Waiting) -> bool:
        number, chat_id, looks_n = waiting.number, waiting.chat_id, self._looks_n
        leave_s = 0.0
        update = None
        left: Mapping[str, Any] = {TO_SEND: True, TO_DO: True}
        try:
            update = self._read(waiting)
            if update.callback_query and not waiting.attempts:
                await _answer(update)
            if self.before is not None:
                await self.before(update)
            async with self.database.begin() as session:
                if await own(session, number, chat_id) is None:
                    leave_s = ELSEWHERE_S
                else:
                    await self.handle(update, session)
                    await done(session, number, self.now())
            left = session.info
        except Exception as error:
            if needs_a_person(error):
                raise
            if trouble(error) is Trouble.PASSING:  # such as two transactions that waited for each other
                _LOG.warning("update %d did not go through: %s", number, type(error).__name__)
            else:
                what = error if isinstance(error, _UnreadableError) else log_of(error)
                _LOG.error("update %d failed: %s", number, what)
            await self._failed(waiting, update, error)
        finally:
            if leave_s:
                asyncio.get_running_loop().call_later(leave_s, self._free, chat_id)
            else:
                self._busy.discard(chat_id)
        self.committed(left)
        # Whoever looked meanwhile has left this chat alone.
        self._is_asked |= waiting.is_followed or self._looks_n != looks_n
        return self._is_asked

    def _free(self, chat_id: int) -> None:
        """The chat may be looked at again."""
        self._busy.discard(chat_id)
        self._look()

    def _look(self) -> None:
        self._is_asked = True
        if self._wake is not None:
            self._wake.set()

    def _read(self, waiting: Waiting) -> Update:
        kind = "what is stored"
        try:
            payload = json.loads(waiting.payload) if isinstance(waiting.payload, str) else waiting.payload
            kind = updates.kind_of(payload)
            return updates.read(payload, self.bot)
        except Exception as error:
            raise _UnreadableError(_aside(kind, error)) from error

    async def _failed(self, waiting: Waiting, update: Update | None, error: Exception) -> None:
        """Nothing of the attempt is left: wait, put it aside, or give up and say so."""

        async def note(session: AsyncSession, give_up: Handler | None) -> None:
            number, chat_id = waiting.number, waiting.chat_id
            attempts = await own(session, number, chat_id)
            if attempts is None:
                return
            # The name of the error only: its text may hold what a person wrote.
            values: dict[str, Any] = {"attempts": attempts + 1, "error": type(error).__name__}
            if trouble(error) is Trouble.PASSING and attempts < len(RETRY_AFTER):
                await note_of(session, number, values | {"retry_at": self.now() + RETRY_AFTER[attempts]})
                asyncio.get_running_loop().call_later(RETRY_AFTER[attempts].total_seconds(), self._look)
                return
            if isinstance(error, _UnreadableError):
                values["error"] = str(error)
            await note_of(session, number, values | {"done_at": self.now()})
            if give_up is not None and update is not None:
                await give_up(update, session)

        try:
            await self.database.insist(lambda session: note(session, self.on_give_up))
        except Exception as second:
            if needs_a_person(second):
                raise
            _LOG.error("update %d cannot be answered for: %s", waiting.number, log_of(second))
            await self.database.insist(lambda session: note(session, None))


class _UnreadableError(Exception):
    """An update that cannot be read back; its text is what is kept of it."""


async def _answer(update: Update) -> None:
    """Tell the platform that a press arrived, before the work, since it waits but briefly; the deed is done anyway."""
    assert update.callback_query is not None
    try:
        await update.callback_query.answer()
    except TelegramError as error:
        _LOG.info("a press could not be answered (%s)", type(error).__name__)
