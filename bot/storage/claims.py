"""Whose turn it is: locks that two processes on one PostgreSQL share, and what moves with a chat."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache
from typing import Any

from sqlalchemy import ARRAY, String, and_, bindparam, func, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Errand, Garden, Inbox, Outbox, Setup
from bot.storage.states import SendState

__all__ = ["move_chat", "owns_all", "try_own", "try_own_of"]


def owns_all(session: AsyncSession) -> bool:
    """True on SQLite, where a writing transaction shuts out every other."""
    return session.get_bind().dialect.name == "sqlite"


async def try_own(session: AsyncSession, name: str) -> bool:
    """Own `name` until the transaction ends; False if another transaction does."""
    if owns_all(session):
        return True
    return bool(await session.scalar(select(func.pg_try_advisory_xact_lock(func.hashtextextended(name, 0)))))


async def try_own_of(session: AsyncSession, names: Collection[str]) -> frozenset[str]:
    """The same of several names at once: those that are ours."""
    if owns_all(session):
        return frozenset(names)
    found = await session.execute(_locked(), {"names": [*names]})
    return frozenset(name for name, is_ours in found if is_ours)


@cache
def _locked() -> Any:
    name = func.unnest(bindparam("names", type_=ARRAY(String))).column_valued("name")
    return select(name, func.pg_try_advisory_xact_lock(func.hashtextextended(name, 0)))


async def move_chat(session: AsyncSession, old: int, new: int) -> None:
    """A group became a supergroup: every stored id of it changes at once. Doing it again changes nothing.

    Messages that were sent keep the old id, since their numbers may belong to others in the new chat; what would change
    one of them is let go.
    """
    for table in (Errand, Garden, Inbox, Setup):
        await session.execute(update(table).where(table.chat_id == old).values(chat_id=new))
    await session.execute(update(Garden).where(Garden.former_chat_id == old).values(former_chat_id=new))
    waiting = and_(Outbox.chat_id == old, Outbox.state == SendState.PENDING)
    sent = select(Outbox.id).where(Outbox.chat_id == old, Outbox.message_id.is_not(None))
    values = {"state": SendState.EXPIRED, "error": "its message is in the group as it was"}
    await session.execute(update(Outbox).where(waiting, Outbox.edits.in_(sent)).values(values))
    await session.execute(update(Outbox).where(waiting).values(chat_id=new))
