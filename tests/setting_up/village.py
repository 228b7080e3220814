"""A group chat whose bot has just been added, and the people in it; no garden is known yet. All invented."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from bot.chat.wire.world import Message
from bot.stage import Stage

__all__ = ["AMIRA", "GROUP", "HANA", "JOE", "MONDAY_AT", "Village"]

MONDAY_AT = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
GROUP = -1001
AMIRA, HANA, JOE = 11, 12, 13  # Amira and Hana are administrators of the group


@dataclass(slots=True)
class Village:
    """Each deed gives what the bot said or changed because of it."""

    stage: Stage

    async def added(self, by: int = AMIRA, chat: int = GROUP, status: str = "member") -> list[Message]:
        """The bot is put into a group, or made an administrator there."""
        api = self.stage.api
        group = api.chats[chat]
        old, group.statuses[api.bot.id] = group.statuses.get(api.bot.id, "left"), status
        body = {"chat": group.json(), "from": api.users[by].json(), "date": int(MONDAY_AT.timestamp())}
        body |= {"old_chat_member": api.member_json(api.bot.id, old)}
        body |= {"new_chat_member": api.member_json(api.bot.id, status)}
        api._push("my_chat_member", body)
        return await self.settled()

    async def write(self, who: int, text: str, chat: int | None = None, thread: int | None = None) -> list[Message]:
        self.stage.api.write(who, chat or who, text, thread_id=thread)
        return await self.settled()

    async def pin(self, who: int, latitude: float, longitude: float) -> list[Message]:
        place = {"location": {"latitude": latitude, "longitude": longitude}}
        self.stage.api.write(who, who, "", also=place)
        return await self.settled()

    async def press(self, who: int, label: str, chat: int | None = None) -> list[Message]:
        """Tap the newest button of that label in the chat."""
        for message in reversed(self.stage.api.said(chat or who)):
            if label in keys(message):
                self.stage.api.press(who, message, label)
                return await self.settled()
        raise LookupError(label)

    async def press_under(self, who: int, message: Message, label: str) -> list[Message]:
        self.stage.api.press(who, message, label)
        return await self.settled()

    async def settled(self) -> list[Message]:
        list(self.stage.fresh())
        await self.stage.settle()
        return list(self.stage.fresh())

    async def set_up(self, who: int = AMIRA, chat: int = GROUP, name: str = "Elm Lane") -> None:
        """From the tap in the group to a garden with everything answered."""
        await self.press(who, "I am an organiser", chat)
        await self.write(who, "/start setup")
        await self.write(who, name)
        await self.pin(who, 52.2053, 0.1218)
        await self.press(who, "London: 10:00 now")
        await self.press(who, "I don't know")

    async def joined(self, who: int, chat: int = GROUP) -> None:
        await self.press(who, "Join", chat)
        await self.write(who, "/start hello")
        await self.press(who, "Yes")


def keys(message: Message) -> list[str]:
    return [key["text"] for row in message.keyboard for key in row]
