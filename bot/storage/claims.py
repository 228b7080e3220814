"""Whose turn it is: locks that two processes on one PostgreSQL share, and what moves with a chat."""

from __future__ import annotations

from sqlalchemy import func, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Errand, Garden, Inbox, Outbox, Setup

__all__ = ["move_chat", "owns_all", "try_own"]


def owns_all(session: AsyncSession) -> bool:
    """True on SQLite, where a writing transaction shuts out every other."""
    return session.get_bind().dialect.name == "sqlite"


async def try_own(session: AsyncSession, name: str) -> bool:
    """Own `name` until the transaction ends; False if another transaction does."""
    if owns_all(session):
        return True
    return bool(await session.scalar(select(func.pg_try_advisory_xact_lock(func.hashtextextended(name, 0)))))


async def move_chat(session: AsyncSession, old: int, new: int) -> None:
    """A group became a supergroup: every stored id of it changes at once. Doing it again changes nothing."""
    for table in (Errand, Garden, Inbox, Outbox, Setup):
        await session.execute(update(table).where(table.chat_id == old).values(chat_id=new))
