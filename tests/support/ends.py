"""Short ways to run the two ends of the chat in a test."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Bot

from bot.chat.wire.outbox import Hooks, queue, send_due
from bot.chat.wire.pace import Pace
from bot.storage.models import Outbox
from bot.storage.session import Database
from bot.storage.wire.outbox_rows import Fate

__all__ = ["Clock", "Ends"]


class Clock:
    """A moment that only the test moves."""

    def __init__(self) -> None:
        self.now = datetime(2026, 4, 20, 18, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def pass_by(self, **time: float) -> None:
        self.now += timedelta(**time)


@dataclass(slots=True)
class Ends:
    """A database, a bot and a clock, with what the hooks were told."""

    bot: Bot
    database: Database
    clock: Clock
    forbidden: list[int]

    async def _forbidden(self, _session: AsyncSession, row: Outbox, _why: Fate, _now: datetime) -> None:
        self.forbidden.append(row.chat_id)

    async def say(self, chat_id: int, text: str, **more: Any) -> int:
        """Queue a text, or a payload without one if `bare`; gives the row's id, 0 if the key was queued before."""
        payload = more.pop("payload", {})
        payload = payload if more.pop("bare", False) else {"text": text} | payload
        values = {"key": f"{chat_id} {text}", "thread_id": None, "method": "sendMessage", "urgency": 5}
        async with self.database.begin() as session:
            row = await queue(session, chat_id=chat_id, payload=payload, now=self.clock(), **(values | more))
        return row.id if row else 0

    async def send(self, pace: Pace | None = None) -> int:
        return await send_due(
            self.bot, self.database, self.clock, pace=pace or Pace.off(), hooks=Hooks(self._forbidden)
        )

    async def row(self, row_id: int) -> Outbox:
        async with self.database.begin() as session:
            return await session.get_one(Outbox, row_id)

    async def states(self) -> list[tuple[str, str]]:
        """Key and state of every row, in the order of queueing."""
        async with self.database.begin() as session:
            rows = (await session.scalars(select(Outbox).order_by(Outbox.id))).all()
        return [(row.key, str(row.state)) for row in rows]
