"""The real bot on a platform in memory, with a clock that is set: for the demo, the terminal and rehearsals."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Select, func, select, update
from telegram import Bot

from bot.app import App, build
from bot.chat.wire import inbox
from bot.chat.wire.pace import Pace
from bot.chat.wire.platform import MemoryApi, MemoryRequest
from bot.chat.wire.world import Message, User
from bot.services.tasks import solving
from bot.services.warnings.watch import Solver
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Errand, Garden, Inbox, Member, NamedHelper, Outbox, Person
from bot.storage.session import Database
from bot.storage.states import ErrandState, SendState

#: Ids that no real account, group or update has: real accounts stay below 2**52.
PERSON_BASE = 9_000_000_000_000_000
GROUP_BASE = -9_000_000_000_000_000
UPDATE_BASE = 8_000_000_000_000_000

_STEP = timedelta(minutes=15)


class NotAlone(RuntimeError):
    """The database has messages or work for real people that the running bot has yet to see to."""


@dataclass(slots=True)
class Clock:
    """The moment it is on the stage."""

    at: datetime

    def __call__(self) -> datetime:
        return self.at


@dataclass(slots=True)
class Stage:
    """groups: chat id by garden id. members: garden ids by account."""

    app: App
    api: MemoryApi
    clock: Clock
    groups: dict[int, int]
    members: dict[int, list[int]]
    _seen: set[tuple[int, int, int]] = field(default_factory=set)

    def people(self) -> Iterator[User]:
        return (self.api.users[user_id] for user_id in self.members)

    def user(self, name: str) -> int | None:
        """The account of a member by their name as it is written, whatever its case."""
        return next((user.id for user in self.people() if user.first_name.casefold() == name.strip().casefold()), None)

    def group_of(self, user_id: int) -> int:
        """The group chat of the first garden that they belong to."""
        return self.groups[self.members[user_id][0]]

    def fresh(self) -> Iterator[Message]:
        """What the bot has said or changed since the last call, in the order of saying."""
        news = []
        for (chat_id, message_id), message in self.api.messages.items():
            version = (chat_id, message_id, len(message.edits))
            if message.sender is self.api.bot and version not in self._seen:
                self._seen.add(version)
                news.append(message)
        return iter(sorted(news, key=lambda message: message.edited_at or message.at))

    async def settle(self) -> None:
        """Handle every update that has come in, do the long work and send everything that is due, until all is done."""
        workers, busy = self.app.workers(), True
        while busy:
            pushed, self.api.pending = self.api.pending, []
            if pushed:
                async with self.app.database.begin() as session:
                    await inbox.store_all(session, pushed, self.clock.at)
            # Each of these goes on until it finds nothing; only what comes after may leave more for one before.
            await workers.work_off()
            await self.app.send_due()
            busy = bool(await self.app.do_errands() or self.api.pending)

    async def tick(self) -> None:
        """One look of the watch, and what it makes the bot say."""
        await self.app.watch()
        await self.settle()

    def steps(self, to: datetime) -> Iterator[datetime]:
        """The quarter hours up to a moment, the clock set to each."""
        while self.clock.at < to:
            self.clock.at = min(self.clock.at + _STEP, to)
            yield self.clock.at


@asynccontextmanager
async def on_stage(
    database: Database, source: Source, at: datetime, solve: Solver = solving.solve
) -> AsyncIterator[Stage]:
    """The bot with everyone of the database's gardens on a platform in memory, each in their group and in private.

    What happens is stored in the database; accounts and groups that were lent for it are taken back at the end.
    Raises NotAlone where messages to real people, or work for them, wait, which would be lost here.
    """
    clock = Clock(at)
    api = MemoryApi(clock)
    groups, members = await _cast(database, api, at)
    bot = Bot("1:stage", request=MemoryRequest(api), get_updates_request=MemoryRequest(api))
    app = build(database, bot, now=clock, source=source, pace=Pace.off(), solve=solve)
    try:
        async with app.application:
            yield Stage(app, api, clock, groups, members)
    finally:
        await _strike(database)


async def _cast(database: Database, api: MemoryApi, at: datetime) -> tuple[dict[int, int], dict[int, list[int]]]:
    """Lend accounts to those who have none, members with a named helper apart, and put everybody into their chats."""
    groups: dict[int, int] = {}
    members: dict[int, list[int]] = {}
    async with database.begin() as session:
        waiting = select(func.count()).where(
            Outbox.state == SendState.PENDING, Outbox.chat_id.between(GROUP_BASE + 1, PERSON_BASE - 1)
        )
        if count := await session.scalar(waiting):
            raise NotAlone(f"{count} messages to real people wait to be sent; let the bot send them first")
        if count := await session.scalar(_in_hand()):
            raise NotAlone(f"work for real people is in hand ({count}); let the bot finish it first")
        latest = await session.scalar(select(func.max(Inbox.update_id)).where(Inbox.update_id >= UPDATE_BASE))
        api.next_update_id = (latest or UPDATE_BASE) + 1
        for garden in await session.scalars(select(Garden).order_by(Garden.id)):
            garden.chat_id = garden.chat_id or GROUP_BASE - garden.id
            groups[garden.id] = garden.chat_id
            topics = {garden.thread_id} if garden.thread_id else None
            api.add_group(garden.chat_id, garden.name, topics=topics).statuses[api.bot.id] = "administrator"
        without_app = select(NamedHelper.member_id)
        everyone = (
            select(Member)
            .join(Person)
            .where(Member.left_at.is_(None), Person.user_id.is_not(None) | Member.id.not_in(without_app))
        )
        for member in await session.scalars(everyone.order_by(Member.id)):
            user = _account(api, member.person, at)
            members.setdefault(user, []).append(member.garden_id)
            api.chats[groups[member.garden_id]].statuses[user] = "member"
    return groups, members


def _in_hand() -> Select[Any]:
    """How many sheets, files and rehearsals real people have asked for, whose answers would be lost here."""
    busy = Errand.state.in_((ErrandState.WAITING, ErrandState.WORKING))
    real = Member.person.has(Person.user_id < PERSON_BASE)
    return select(func.count()).select_from(Errand).join(Member, Member.id == Errand.member_id).where(busy, real)


def _account(api: MemoryApi, person: Person, at: datetime) -> int:
    """A person's account on the stage; whoever has none of their own is lent one, and can be reached."""
    if person.user_id is None:
        person.user_id, person.private_ok_at = PERSON_BASE + person.id, at
    if person.user_id not in api.users:
        api.add_user(person.user_id, person.name, username=person.username, language=person.language)
        api.chats[person.user_id].statuses[person.user_id] = "member"
    return person.user_id


async def _strike(database: Database) -> None:
    """Take back what was lent."""
    async with database.begin() as session:
        lent = update(Person).where(Person.user_id >= PERSON_BASE)
        await session.execute(lent.values(user_id=None, private_ok_at=None, blocked_at=None))
        await session.execute(update(Garden).where(Garden.chat_id <= GROUP_BASE).values(chat_id=None))
        former = update(Garden).where(Garden.former_chat_id <= GROUP_BASE)
        await session.execute(former.values(former_chat_id=None, shut="", shut_at=None))


@asynccontextmanager
async def copied(database: Database, to: Database) -> AsyncIterator[Database]:
    """`to`, an empty database with its tables, filled with another's records, without its messages and work in hand."""
    left_out = {table.__tablename__ for table in (Errand, Inbox, Outbox)}
    async with database.begin() as source, to.begin() as target:
        for table in Garden.metadata.sorted_tables:
            if table.name in left_out:
                continue
            astray = {key.parent.name: None for key in table.foreign_keys if key.column.table.name in left_out}
            rows = [{**row, **astray} for row in (await source.execute(select(table))).mappings()]
            if rows:
                await target.execute(table.insert(), rows)
    yield to
