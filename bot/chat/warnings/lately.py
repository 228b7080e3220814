"""What a chat has been told lately, and need not be told again."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.tasks import duty_words
from bot.chat.warnings.told import Told
from bot.storage.wire import said

__all__ = ["reader"]

_WEEK = timedelta(days=7)


async def reader(session: AsyncSession, told: Told, chat_id: int, but: int | None = None) -> Told:
    """The same, knowing whether the chat has had the sentence on lifting this week. but: a row that is to be changed."""
    words = [duty_words.lifting(told.say, short=short) for short in (False, True)]
    return replace(told, warned=await said.has_said(session, chat_id, words, told.now - _WEEK, but))
