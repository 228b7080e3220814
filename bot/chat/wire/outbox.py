"""The sender: claim rows in one transaction, call the platform outside of any, settle in the next one."""

from __future__ import annotations

import asyncio
import logging
import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial

from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Bot
from telegram.error import InvalidToken

from bot.chat.wire.api_call import deliver
from bot.chat.wire.pace import Pace
from bot.chat.wire.pump import ALONE_TICK_S, TICK_S, pump
from bot.storage.session import Database
from bot.storage.trouble import trouble
from bot.storage.wire.outbox_claims import QUEUED, Claim, claim, claim_alone, let_go, next_at
from bot.storage.wire.outbox_rows import (
    Fate,
    Hooks,
    Outcome,
    counts,
    expire,
    is_repeat_harmless,
    queue,
    queue_all,
    recover,
    settle_all,
)

__all__ = ["Ahead", "Hooks", "counts", "queue", "queue_all", "run", "send_due"]

_LOG = logging.getLogger(__name__)

#: How many calls at once: at 29 a second, enough for an answer that takes half a second.
LIMIT = 16
#: So many are claimed at once: what is more urgent and comes meanwhile waits for these.
AT_ONCE = 4
#: How often rows are looked for that are too late, or that a dead process claimed, s.
LOOK_S = 10.0
SHORTEST_S = 0.05
#: A claim older than this is a dead process's: longer than all time-outs of one call together.
STALE = timedelta(seconds=60)

#: Rows are claimed this long before their slot, s, so that a slow claim leaves no slot unused.
AHEAD_S = 0.1

Now = Callable[[], datetime]
Taken = tuple[Claim, float]  # and the seconds until it may leave


@dataclass(slots=True)
class Ahead:
    """Messages that are claimed by the transaction that queues them, so that the sender need not look for them.

    Only on SQLite, where nothing is waited for between a claim and the end of its commit: so whoever has claimed while the
    sender was there hands over before it can end.
    """

    _pace: Pace | None = None
    _handed: list[Claim] = field(default_factory=list)

    async def claim(self, session: AsyncSession, now: datetime) -> Claim | None:
        """At the end of a transaction: what may leave at once. To be handed over after the commit, and only then."""
        pace = self._pace
        if pace is None or self._handed or pace.paused_s() or pace.wait_s() > AHEAD_S:
            return None
        cooling = pace.cooling()
        if any(chat_id in cooling for _, chat_id, _ in session.info.get(QUEUED, ())):
            return None
        return await claim_alone(session, now)

    def hand_over(self, claimed: Claim | None) -> None:
        if claimed is not None:
            self._handed.append(claimed)

    def take(self, most_n: int) -> list[Claim]:
        """By the sender: so many of what was handed over."""
        taken = self._handed[:most_n]
        del self._handed[:most_n]
        return taken

    def open(self, pace: Pace) -> None:
        self._pace = pace

    def close(self) -> None:
        self._pace = None


async def run(
    bot: Bot,
    database: Database,
    now: Now,
    *,
    pace: Pace,
    hooks: Hooks,
    wake: asyncio.Event,
    stop: asyncio.Event,
    ahead: Ahead | None = None,
) -> None:
    """Send what falls due until stopped, from when on no send is begun; set `wake` after a commit that queued something.

    ahead: by which others in this process hand over what they have claimed. Raises InvalidToken.
    """
    # On SQLite there is one process, so whatever is being sent at its start was its forerunner's.
    age = timedelta() if database.is_sqlite else STALE
    if lost := await database.insist(lambda session: recover(session, now(), now() - age)):
        _LOG.warning("%d messages were being sent when the last process ended", lost)
    ahead = ahead or Ahead()
    sender = _Sender(bot, database, now, pace, hooks, stop, ahead)
    ahead.open(pace)
    try:
        await pump(sender.take, sender.work, limit=LIMIT, batch=AT_ONCE, wake=wake, stop=stop, tick_s=sender.tick_s)
    finally:
        ahead.close()
        await sender.settle()


async def send_due(bot: Bot, database: Database, now: Now, *, pace: Pace, hooks: Hooks) -> int:
    """Send all that is due and that the pace lets go now; gives how many calls were made."""
    sender = _Sender(bot, database, now, pace, hooks, asyncio.Event())
    try:
        return await pump(sender.take, sender.work, limit=LIMIT, batch=AT_ONCE)
    finally:
        await sender.settle()


@dataclass(slots=True)
class _Sender:
    """What became of calls is settled, and the next ones are claimed, in one transaction.

    _made: calls that were made and are not settled yet. _unbegun: claims that nothing was done with, because we are to
    stop or to pause. _doubtful: attempts by row, where the commit of a claim was cut off: it may be stored or not.
    _looked_s: when rows that are too late, or that a dead process claimed, were last looked for.
    """

    bot: Bot
    database: Database
    now: Now
    pace: Pace
    hooks: Hooks
    stop: asyncio.Event
    ahead: Ahead = field(default_factory=Ahead)
    _unbegun: list[Claim] = field(default_factory=list)
    _made: list[tuple[Claim, Outcome]] = field(default_factory=list)
    _doubtful: dict[int, int] = field(default_factory=dict)
    _looked_s: float = -math.inf
    _next_at: datetime | None = None

    async def take(self, most_n: int) -> Sequence[Taken]:
        paused = bool(self.pace.paused_s())
        if not paused:
            await asyncio.sleep(max(0.0, self.pace.wait_s() - AHEAD_S))
        handed = self.ahead.take(most_n)
        if paused:  # how long is not known, and what waits too long as sent counts as lost
            self._unbegun += handed
            handed = []
        if not handed or self._made or self._doubtful or self._unbegun:
            if paused and not self._made and not self._unbegun:
                return ()
            try:
                handed += await self._claimed(most_n - len(handed), paused=paused)
            except BaseException:
                self._unbegun += handed
                raise
        return [(each, self.pace.reserve(each.row.chat_id)) for each in handed]

    async def _claimed(self, most_n: int, *, paused: bool) -> Sequence[Claim]:
        """Settle what was made, and claim what is next."""
        made, unbegun = (*self._made,), (*self._unbegun,)
        found: Sequence[Claim] = ()
        claiming = dict[int, int]()
        try:
            async with self.database.begin() as session:
                await self._settled(session, made)
                for row_id, attempts in (*self._doubtful.items(), *((one.row.id, one.row.attempts) for one in unbegun)):
                    await let_go(session, row_id, attempts)
                self._next_at = await next_at(session)
                if not paused and self._next_at is not None and self._next_at <= self.now():
                    found = await claim(session, self.now(), self.pace.cooling(), most_n, self.pace.shared_limits)
                    claiming = {each.row.id: each.row.attempts for each in found}
                if not found and time.monotonic() - self._looked_s >= LOOK_S:
                    await expire(session, self.now())
                    await recover(session, self.now(), self.now() - STALE)
                    self._looked_s = time.monotonic()
        except Exception as error:
            self._doubtful.update(claiming)
            if made and trouble(error) is None:
                await self.settle()  # each by itself, so that one that can't be settled keeps no other
            raise
        self._doubtful.clear()
        del self._made[: len(made)], self._unbegun[: len(unbegun)]  # what has come meanwhile stands behind them
        return found

    async def work(self, taken: Taken) -> bool:
        claimed, wait_s = taken
        await asyncio.sleep(wait_s)
        while held_up_s := self.pace.start():  # noqa: ASYNC110 (it is a time that we wait for)
            await asyncio.sleep(held_up_s)
        if self.stop.is_set():
            self._unbegun.append(claimed)
            return False
        try:
            outcome = await _outcome(self.bot, claimed)
        except InvalidToken:
            self._made.append((claimed, Outcome(Fate.LATER, error="InvalidToken")))
            raise
        if outcome.fate is Fate.TOO_MANY:
            self.pace.pause(claimed.row.chat_id, outcome.wait_s)
        if outcome.fate is not Fate.SENT:
            _LOG.warning("outbox row %d: %s (%s)", claimed.row.id, outcome.fate, outcome.error)
        self._made.append((claimed, outcome))
        return True

    async def settle(self) -> None:
        """Whatever became of the database meanwhile: what went out unnoted would be sent again, or be thought lost."""
        self._unbegun += self.ahead.take(LIMIT)
        while self._unbegun:
            row = self._unbegun.pop(0).row
            await self.database.insist(partial(let_go, row_id=row.id, attempts=row.attempts))
        while self._made:
            await self.database.insist(partial(self._settled, made=(self._made.pop(0),)))

    async def _settled(self, session: AsyncSession, made: Sequence[tuple[Claim, Outcome]]) -> None:
        if made:
            await settle_all(session, [(claimed.row, outcome) for claimed, outcome in made], self.now(), self.hooks)

    def tick_s(self) -> float:
        """Until something that was put off, or a chat that is left alone, may be due."""
        waits_s = [ALONE_TICK_S if self.database.is_sqlite else TICK_S, *self.pace.cooling().values()]
        if self._next_at is not None and (due_s := (self._next_at - self.now()).total_seconds()) > 0:
            waits_s.append(due_s)  # one that is due already waits for its chat, or for another row
        return max(SHORTEST_S, min(waits_s))


async def _outcome(bot: Bot, claimed: Claim) -> Outcome:
    """Raises InvalidToken, which no other call would survive either."""
    row = claimed.row
    topic = None if is_repeat_harmless(row.method) else row.thread_id
    try:
        return await deliver(
            bot, row.method, row.chat_id, row.payload, message_thread_id=topic, message_id=claimed.message_id
        )
    except InvalidToken:
        raise
    except Exception as error:  # a payload that the library cannot take: no other row should wait for it
        return Outcome(Fate.FAILED, error=type(error).__name__)
