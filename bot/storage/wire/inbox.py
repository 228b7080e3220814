"""What came in, found again."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Inbox

__all__ = ["take"]


async def take(session: AsyncSession, update_id: int, user_id: int) -> dict[str, Any] | None:
    """A message that this account wrote and that was handled, out of the inbox: given once, and then no more."""
    query = select(Inbox).where(Inbox.update_id == update_id, Inbox.done_at.is_not(None))
    row = await session.scalar(query.with_for_update())
    message = row.payload.get("message") if row is not None else None
    if row is None or not isinstance(message, dict) or message.get("from", {}).get("id") != user_id:
        return None
    payload, row.payload = row.payload, {}
    return payload
