"""What the bot has said in a chat, found again by where it stands there."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Outbox

__all__ = ["at", "by_key", "latest", "newest"]


async def at(session: AsyncSession, chat_id: int, message_id: int) -> Outbox | None:
    """The row that sent this message, None when it is not kept any more."""
    query = select(Outbox).where(Outbox.chat_id == chat_id, Outbox.message_id == message_id, Outbox.edits.is_(None))
    return (await session.scalars(query.order_by(Outbox.id.desc()))).first()


async def latest(session: AsyncSession, chat_id: int) -> Outbox | None:
    """The last thing said in a chat, changes of older messages aside."""
    query = select(Outbox).where(Outbox.chat_id == chat_id, Outbox.edits.is_(None))
    return (await session.scalars(query.order_by(Outbox.id.desc()).limit(1))).first()


async def by_key(session: AsyncSession, key: str) -> Outbox | None:
    """What was queued under this key, None when nothing was, or it is not kept any more."""
    return await session.scalar(select(Outbox).where(Outbox.key == key))


async def newest(session: AsyncSession, prefix: str, since_at: datetime) -> Outbox | None:
    """The last thing queued since then whose key begins so. prefix: plain letters and digits that end with a colon."""
    # ";" is the sign after ":": a range, so that the keys' own index serves.
    query = select(Outbox).where(Outbox.key >= prefix, Outbox.key < f"{prefix[:-1]};", Outbox.queued_at >= since_at)
    return (await session.scalars(query.order_by(Outbox.id.desc()).limit(1))).first()
