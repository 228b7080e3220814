"""A group that the bot is no longer in."""

from __future__ import annotations

from sqlalchemy import update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Outbox
from bot.storage.states import SendState

__all__ = ["forget_group"]


async def forget_group(session: AsyncSession, chat_id: int) -> None:
    """Nothing more is sent to a group that is lost."""
    waiting = (Outbox.chat_id == chat_id, Outbox.state == SendState.PENDING)
    values = {"state": SendState.EXPIRED, "error": "the bot is not in this group"}
    await session.execute(update(Outbox).where(*waiting).values(values))
