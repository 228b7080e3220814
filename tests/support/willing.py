"""Invented members who say yes to whatever they are asked, do it in time, and tell so."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlalchemy import func, select

from bot.chat.wire.world import Message
from bot.stage import Stage
from bot.storage.models import Task, Warning
from bot.storage.states import TaskState, WarningState

__all__ = ["Willing"]

_READS = timedelta(minutes=25)
#: Before the latest safe time, and after a morning's ask, at which the work is done.
_AHEAD, _MORNING = timedelta(hours=4), timedelta(hours=3)


@dataclass(slots=True)
class Willing:
    """users: accounts of those who answer. Each reads a message once, and again when its words have changed."""

    stage: Stage
    users: Collection[int]
    _meant: list[tuple[datetime, int, tuple[int, int], str]] = field(default_factory=list)
    _read: set[tuple[int, int, int]] = field(default_factory=set)

    async def live(self) -> None:
        for message in [*self.stage.api.messages.values()]:
            version = message.chat_id, message.id, len(message.edits)
            if message.chat_id in self.users and message.sender is self.stage.api.bot and version not in self._read:
                self._read.add(version)
                await self._decide(message)
        now = self.stage.clock.at
        due = [one for one in self._meant if one[0] <= now]
        self._meant = [one for one in self._meant if one[0] > now]
        for _, user, where, data in due:
            message = self.stage.api.messages[where]
            if any(data == key.get("callback_data") for row in message.keyboard for key in row):
                self.stage.api.press(user, message, data)

    async def _decide(self, message: Message) -> None:
        found = [key.get("callback_data", "") for row in message.keyboard for key in row]
        data = next((one for one in found if _is_yes(one)), None)
        at = self.stage.clock.at + _READS
        done = next((one for one in found if one.startswith("done:") and one.count(":") == 1), None)
        if data is None and done is not None:  # more colons: a list to tick, or Undo
            data, at = done, await self._when([int(one) for one in done.split(":")[1].split("-")])
        if data is not None:
            self._meant.append((at, message.chat_id, (message.chat_id, message.id), data))

    async def _when(self, warning_ids: Collection[int]) -> datetime:
        """When the work is done: in the morning soon after it was asked for, else in the evening, before it is late."""
        now = self.stage.clock.at
        async with self.stage.app.database.begin() as session:
            query = select(func.min(Task.due_at)).where(
                Task.warning_id.in_(warning_ids), Task.state.in_((TaskState.OPEN, TaskState.ACCEPTED))
            )
            due_at = await session.scalar(query)
            states = set(await session.scalars(select(Warning.state).where(Warning.id.in_(warning_ids))))
        if due_at is None or states == {WarningState.OVER}:
            return now + _MORNING
        return max(due_at - _AHEAD, now + _READS)


def _is_yes(data: str) -> bool:
    return data.startswith(("yes:", "home:", "walk:yes:")) or data.endswith(":mine-whole")
