"""The calendar in the group: the pinned message kept up to date, and reminders before each entry."""

from __future__ import annotations

from datetime import datetime
from functools import partial

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.calendar import calendar_words as wording
from bot.chat.garden.everyone import tell_everyone, voice
from bot.chat.wire.message import edit, post
from bot.chat.wire.outbox import queue
from bot.services.calendar import reading
from bot.storage.models import Garden
from bot.storage.wire import said


async def pin(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """Post the calendar of the coming two months and pin it; where it is pinned already, edit it.

    Where the group can't be written to it waits until it can: /calendar shows it meanwhile.
    """
    if garden.group_id is None or garden.chat_id is None:
        return
    say = voice(garden)
    found = await reading.two_months(session, garden, now)
    text = wording.pinned(say, garden.name, found, say.local(now).date())
    calendar = await reading.calendar_of(session, garden.id)
    row = await said.by_id(session, calendar.pinned_id)
    if row is not None and row.chat_id == garden.chat_id:
        await edit(session, key=f"calendar:{garden.id}:{now.isoformat()}", row=row, text=text, now=now)
        return
    row = await post(
        session,
        key=f"calendar:{garden.id}:{garden.chat_id}:{now.isoformat()}",
        chat_id=garden.chat_id,
        thread_id=garden.thread_id,
        text=text,
        now=now,
    )
    if row is None:
        return
    await session.flush()
    calendar.pinned_id = row.id
    await queue(
        session,
        key=f"pin:{row.id}",
        chat_id=garden.chat_id,
        thread_id=None,
        method="pinChatMessage",
        payload={"disable_notification": True},
        urgency=row.urgency,
        now=now,
        edits=row.id,
    )


async def remind(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """Say what begins tomorrow; the key keeps it from being said twice."""
    today = voice(garden).local(now).date()
    for reminder in await reading.reminders_due(session, garden, now):
        await tell_everyone(
            session,
            garden,
            reminder.key,
            partial(wording.reminder, one=reminder.occurrence, today=today),
            now,
            expires_at=reminder.expires_at,
        )
