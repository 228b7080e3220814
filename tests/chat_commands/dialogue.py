"""Dialogues: what a person writes or taps, and what the bot then says, on a platform in memory."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.wire.world import Message
from bot.core.garden.snapshot import Role
from bot.stage import Stage
from bot.storage.models import Garden, Member, Person

__all__ = ["Talk", "labels", "sorrel_yard"]


@dataclass(slots=True)
class Talk:
    """Everyone of every garden, each in their group and in private."""

    stage: Stage

    async def write(self, who: str, text: str, where: str = "private") -> list[Message]:
        """Write a message; what the bot then says or changes, in order."""
        self.stage.api.write(self.id(who), self._chat(who, where), text)
        return await self._heard()

    async def press(self, who: str, label: str, where: str = "private") -> list[Message]:
        """Tap the newest button of that label in the chat."""
        return await self.press_under(who, self.under(who, label, where), label)

    async def press_under(self, who: str, message: Message, label: str) -> list[Message]:
        """Tap a button of one message, as it was shown."""
        self.stage.api.press(self.id(who), message, label)
        return await self._heard()

    async def forge(self, who: str, data: str) -> list[Message]:
        """A press with data of the presser's own making, under the last message of their private chat."""
        message = self.stage.api.said(self.id(who))[-1]
        return await self.press_under(who, replace(message, keyboard=[[{"text": "x", "callback_data": data}]]), "x")

    def under(self, who: str, label: str, where: str = "private") -> Message:
        """The newest message with that button, kept as it is now."""
        for message in reversed(self.stage.api.said(self._chat(who, where))):
            if label in labels(message):
                return replace(message)
        raise LookupError(f"no button {label!r} for {who}")

    async def tick(self) -> list[Message]:
        await self.stage.app.watch()
        return await self._heard()

    def id(self, who: str) -> int:
        found = self.stage.user(who)
        assert found is not None, who
        return found

    def said_to(self, who: str) -> list[str]:
        return [message.text for message in self.stage.api.said(self.id(who))]

    def said_in_group(self, who: str) -> list[str]:
        return [message.text for message in self.stage.api.said(self.stage.group_of(self.id(who)))]

    @contextmanager
    def silent(self, *who: str) -> Iterator[None]:
        """Nothing new is said to these people meanwhile."""
        before = {name: self.said_to(name) for name in who}
        yield
        assert before == {name: self.said_to(name) for name in who}

    async def member(self, session: AsyncSession, who: str) -> Member:
        """Their row in the first garden they belong to, whether they have left or not."""
        query = select(Member).join(Person).where(Person.name == who).order_by(Member.id)
        return (await session.scalars(query)).one()

    def _chat(self, who: str, where: str) -> int:
        return self.id(who) if where == "private" else self.stage.group_of(self.id(who))

    async def _heard(self) -> list[Message]:
        list(self.stage.fresh())
        await self.stage.settle()
        return list(self.stage.fresh())


def labels(message: Message) -> list[str]:
    return [key["text"] for row in message.keyboard for key in row]


async def sorrel_yard(session: AsyncSession, like: Garden, joined_at: datetime) -> None:
    """A second invented garden, of whose matters nobody at the first may hear."""
    garden = Garden(
        name="Sorrel Yard", latitude=like.latitude, longitude=like.longitude, altitude_m=like.altitude_m, zone=like.zone
    )
    session.add(garden)
    await session.flush()
    for name, role in (("Petra", Role.ORGANISER), ("Ivo", Role.MEMBER)):
        person = Person(name=name)
        session.add(person)
        await session.flush()
        session.add(Member(garden_id=garden.id, person_id=person.id, role=role, joined_at=joined_at))
    await session.flush()
