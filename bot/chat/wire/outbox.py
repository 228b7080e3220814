"""The sender: claim a row in one transaction, call the platform outside of any, settle in another."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta

from telegram import Bot
from telegram.error import InvalidToken

from bot.chat.wire.api_call import Fate, Outcome, deliver, is_repeat_harmless
from bot.chat.wire.outbox_rows import Claim, Hooks, claim, counts, expire, let_go, queue, recover, settle
from bot.chat.wire.pace import Pace
from bot.chat.wire.pump import TICK_S, pump
from bot.storage.session import Database

__all__ = ["Hooks", "counts", "queue", "run", "send_due"]

_LOG = logging.getLogger(__name__)

#: How many calls at once: at 29 a second, enough for an answer that takes half a second.
LIMIT = 16
#: A claim older than this is a dead process's: longer than all time-outs of one call together.
STALE = timedelta(seconds=60)

#: Rows are claimed this long before their slot, s, so that a slow claim leaves no slot unused.
AHEAD_S = 0.1

Now = Callable[[], datetime]
Taken = tuple[Claim, float]  # and the seconds until it may leave


async def run(
    bot: Bot, database: Database, now: Now, *, pace: Pace, hooks: Hooks, wake: asyncio.Event, stop: asyncio.Event
) -> None:
    """Send what falls due until stopped; set `wake` after a commit that queued something. Raises InvalidToken."""
    # On SQLite there is one process, so whatever is being sent at its start was its forerunner's.
    age = timedelta() if database.is_sqlite else STALE
    if lost := await database.insist(lambda session: recover(session, now(), now() - age)):
        _LOG.warning("%d messages were being sent when the last process ended", lost)
    take, work = _parts(bot, database, now, pace, hooks)
    await pump(take, work, limit=LIMIT, wake=wake, stop=stop, tick_s=lambda: min([TICK_S, *pace.cooling().values()]))


async def send_due(bot: Bot, database: Database, now: Now, *, pace: Pace, hooks: Hooks) -> int:
    """Send all that is due and that the pace lets go now; gives how many calls were made."""
    take, work = _parts(bot, database, now, pace, hooks)
    return await pump(take, work, limit=LIMIT)


def _parts(
    bot: Bot, database: Database, now: Now, pace: Pace, hooks: Hooks
) -> tuple[Callable[[], Awaitable[Taken | None]], Callable[[Taken], Awaitable[None]]]:
    doubtful: dict[int, int] = {}  # attempts by row, where the commit of a claim was cut off: it may be stored or not

    async def take() -> Taken | None:
        if pace.paused_s():
            return None
        await asyncio.sleep(max(0.0, pace.wait_s() - AHEAD_S))
        claimed = claiming = None
        try:
            async with database.begin() as session:
                for row_id, attempts in doubtful.items():
                    await let_go(session, row_id, attempts)
                claimed = await claim(session, now(), pace.cooling())
                if claimed is None:
                    await expire(session, now())
                    await recover(session, now(), now() - STALE)
                else:
                    claiming = {claimed.row.id: claimed.row.attempts}
        except Exception:
            doubtful.update(claiming or {})
            raise
        doubtful.clear()
        return None if claimed is None else (claimed, pace.reserve(claimed.row.chat_id))

    async def work(taken: Taken) -> None:
        claimed, wait_s = taken
        await asyncio.sleep(wait_s)
        while held_up_s := pace.start():  # noqa: ASYNC110 (it is a time that we wait for)
            await asyncio.sleep(held_up_s)
        outcome = await _outcome(bot, claimed, lambda it: _settle(database, claimed, it, now, hooks))
        if outcome.fate is Fate.TOO_MANY:
            pace.pause(claimed.row.chat_id, outcome.wait_s)
        if outcome.fate is not Fate.SENT:
            _LOG.warning("outbox row %d: %s (%s)", claimed.row.id, outcome.fate, outcome.error)
        await _settle(database, claimed, outcome, now, hooks)

    return take, work


async def _outcome(bot: Bot, claimed: Claim, before_leaving: Callable[[Outcome], Awaitable[None]]) -> Outcome:
    row = claimed.row
    topic = None if is_repeat_harmless(row.method) else row.thread_id
    try:
        return await deliver(
            bot, row.method, row.chat_id, row.payload, message_thread_id=topic, message_id=claimed.message_id
        )
    except InvalidToken:
        await before_leaving(Outcome(Fate.LATER, error="InvalidToken"))
        raise
    except Exception as error:  # a payload that the library cannot take: no other row should wait for it
        return Outcome(Fate.FAILED, error=type(error).__name__)


async def _settle(database: Database, claimed: Claim, outcome: Outcome, now: Now, hooks: Hooks) -> None:
    """Whatever became of the database meanwhile: a message that went out unnoted would be sent again, or be thought lost."""
    await database.insist(lambda session: settle(session, claimed.row.id, outcome, now(), hooks))
