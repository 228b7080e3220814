"""A group that the bot is no longer in."""

from __future__ import annotations

from sqlalchemy import update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Garden, Outbox
from bot.storage.states import SendState

__all__ = ["forget_group"]


async def forget_group(session: AsyncSession, chat_id: int) -> None:
    """The bot was removed from a group: nothing more is sent there, and it may be bound again."""
    await session.execute(update(Garden).where(Garden.chat_id == chat_id).values(chat_id=None, thread_id=None))
    await session.execute(
        update(Outbox)
        .where(Outbox.chat_id == chat_id, Outbox.state == SendState.PENDING)
        .values(state=SendState.EXPIRED)
    )
