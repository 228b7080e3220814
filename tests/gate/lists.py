"""What the stories at the gate look at: the list, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from bot.chat.wire.world import Message
from bot.i18n import say
from bot.services.garden.records.importing import import_records
from bot.storage.garden import gardens
from bot.storage.models import Base, Inbox, Member, Outbox, Person
from bot.storage.session import Database
from tests.support.village import AMIRA, GROUP, Village

__all__ = ["STRANGER", "Gate", "everything"]

STRANGER = 66


@dataclass(slots=True)
class Gate:
    village: Village

    @property
    def database(self) -> Database:
        return self.village.stage.app.database

    async def listing(self, rows: str) -> None:
        """members.csv, loaded into the garden: the columns name, role, adult, key, lift_kg, plots."""
        body = f"name,role,adult,key,lift_kg,plots\n{rows}\n".encode()
        async with self.database.begin() as session:
            (garden, *_) = await gardens.all_gardens(session)
            voice, now = say("en", garden.zone), self.village.stage.clock.at
            report = await import_records(session, {"members.csv": body}, voice, now, garden)
            assert not report.problems, report.problems

    def comes(self, number: int, first_name: str, **more: Any) -> None:
        """Somebody with an account in the garden's group, whom the bot has never heard of."""
        self.village.stage.api.add_user(number, first_name, **more)
        self.village.stage.api.chats[GROUP].statuses[number] = "member"

    async def joins(self, number: int) -> list[Message]:
        greeting = next(one for one in self.village.stage.api.said(GROUP) if "tap Join" in one.text)
        return await self.village.press(number, greeting, "Join")

    def asked(self, organiser: int = AMIRA) -> list[Message]:
        """The questions about newcomers that an organiser has had."""
        return [one for one in self.village.stage.api.said(organiser) if _is_question(one)]

    async def member(self, number: int) -> Member | None:
        async with self.database.begin() as session:
            query = select(Member).join(Person).where(Person.user_id == number, Member.left_at.is_(None))
            return await session.scalar(query)

    async def names(self) -> list[tuple[str, int | None]]:
        """Everybody on the list, and their account."""
        async with self.database.begin() as session:
            query = select(Person.name, Person.user_id).join(Member).where(Member.left_at.is_(None)).order_by(Member.id)
            return [(name, number) for name, number in await session.execute(query)]


def _is_question(message: Message) -> bool:
    return any(str(key.get("callback_data", "")).startswith("knock:") for row in message.keyboard for key in row)


#: What changes whenever somebody is heard, and says nothing of their rights.
_HEARD = {"heard_at", "private_ok_at", "blocked_at", "revision"}


async def everything(database: Database, garden_id: int = 1) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, but for what was written and answered, and what is another garden's own."""
    found = {}
    async with database.begin() as session:
        for table in Base.metadata.sorted_tables:
            if table.name not in (Inbox.__tablename__, Outbox.__tablename__):
                rows = (await session.execute(select(table).order_by(*table.primary_key.columns))).mappings()
                here = (row for row in rows if row.get("garden_id") in (None, garden_id) or table.name == "people")
                found[table.name] = [{n: v for n, v in row.items() if n not in _HEARD} for row in here]
    return found
