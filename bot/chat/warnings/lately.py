"""What a chat has been told lately, and need not be told again."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.tasks import duty_words
from bot.chat.warnings.told import Told
from bot.storage.wire import said

_WEEK = timedelta(days=7)


#: What each chat was told this week, for those whose chats have been looked at together.
Heard = dict[int, list[str]]


async def heard(session: AsyncSession, chat_ids: Collection[int], now: datetime) -> Heard:
    """Of these chats together; whoever writes to one takes it out, so that it is looked at anew."""
    found = await said.texts(session, chat_ids, now - _WEEK)
    return {chat_id: [text for _, text in found.get(chat_id, ())] for chat_id in chat_ids}


async def reader(
    session: AsyncSession, told: Told, chat_id: int, but: int | None = None, known: Heard | None = None
) -> Told:
    """The same, knowing whether the chat has had the sentence on lifting this week. but: a row that is to be changed."""
    words = [duty_words.lifting(told.say, short=short) for short in (False, True)]
    texts = known.pop(chat_id, None) if known is not None else None
    if texts is not None:
        return replace(told, warned=any(one in text for text in texts for one in words))
    return replace(told, warned=await said.has_said(session, chat_id, words, told.now - _WEEK, but))
