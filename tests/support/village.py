"""A group chat whose bot has just been added, and the people in it; no garden is known yet. All invented."""

from __future__ import annotations

from dataclasses import dataclass

from bot.chat.wire.world import Message
from tests.support.talk import MONDAY_AT, Talk

GROUP = -1001
AMIRA, HANA, JOE = 11, 12, 13  # Amira and Hana are administrators of the group


@dataclass(slots=True)
class Village(Talk):
    """People are the numbers of their accounts: nobody is on a list yet."""

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

    async def pin(self, who: int, latitude: float, longitude: float) -> list[Message]:
        place = {"location": {"latitude": latitude, "longitude": longitude}}
        self.stage.api.write(who, who, "", also=place)
        return await self.settled()

    async def set_up(self, who: int = AMIRA, chat: int = GROUP, name: str = "Elm Lane") -> None:
        """From the tap in the group to a garden with everything answered."""
        await self.tap(who, "I am an organiser", chat=chat)
        await self.write(who, "/start setup")
        await self.write(who, name)
        await self.pin(who, 52.2053, 0.1218)
        await self.tap(who, "London: 10:00 now")
        await self.tap(who, "I don't know")

    async def joined(self, who: int, chat: int = GROUP) -> None:
        await self.tap(who, "Join", chat=chat)
        await self.write(who, "/start hello")
        await self.tap(who, "Yes")
