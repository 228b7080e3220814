"""Writing to the bot and pressing its buttons, as members do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from bot.chat.wire.world import Message
from bot.stage import Stage

#: Monday 4 May 2026, 10:00 on the garden's clocks (summer time).
MONDAY_AT = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


@dataclass(slots=True)
class Talk:
    """Each deed gives what the bot said or changed because of it."""

    stage: Stage

    async def write(self, name: str, text: str, *, group: bool = False) -> list[Message]:
        user = self._user(name)
        self.stage.api.write(user, self.stage.group_of(user) if group else user, text)
        return await self._settled()

    async def send_file(self, name: str, file: str, data: bytes) -> list[Message]:
        """A document in the private chat."""
        user = self._user(name)
        self.stage.api.send_file(user, user, file, data)
        return await self._settled()

    async def press(self, name: str, message: Message, button: str) -> list[Message]:
        self.stage.api.press(self._user(name), message, button)
        return await self._settled()

    async def said(self, name: str, text: str) -> Message:
        """The one answer to a private message."""
        (message,) = await self.write(name, text)
        return message

    def group(self) -> list[Message]:
        """What the bot has said in the group, oldest first."""
        return self.stage.api.said(next(iter(self.stage.groups.values())))

    def _user(self, name: str) -> int:
        user = self.stage.user(name)
        assert user is not None, name
        return user

    async def _settled(self) -> list[Message]:
        list(self.stage.fresh())
        await self.stage.settle()
        return list(self.stage.fresh())
