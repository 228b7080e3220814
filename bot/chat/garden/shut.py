"""The group can't be written to: organisers hear at once, what it did not get goes on privately, and nothing is lost.

What it costs when nobody notices is a lost crop, so none of the platform's refusals ends in silence.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.garden import everyone
from bot.chat.garden import shut_words as wording
from bot.chat.warnings.announce import tell_again, tell_organisers
from bot.chat.wire.api_call import Fate
from bot.chat.wire.outbox import queue
from bot.services.look import look
from bot.services.people.membership import reachable
from bot.services.weather.garden_forecast import Source
from bot.storage.garden import gardens
from bot.storage.models import Errand, Garden, Inbox, Outbox
from bot.storage.people import members
from bot.storage.states import SendState, Shut, WarningState
from bot.storage.warnings import warnings as store
from bot.storage.wire import chats

__all__ = ["muted", "refused", "removed"]

_WHY = {
    Fate.FORBIDDEN: Shut.REMOVED,
    Fate.GONE: Shut.GONE,
    Fate.MUTED: Shut.MUTED,
    Fate.TOPIC_CLOSED: Shut.TOPIC_CLOSED,
    Fate.TOPIC_GONE: Shut.TOPIC_GONE,
}
_LOST = (Shut.REMOVED, Shut.GONE)
_UNSAID = (WarningState.DETECTED, WarningState.OVER)
#: Of use to nobody anywhere else.
_TRIALS = ("probe:", "greeting:", "back:")


async def refused(session: AsyncSession, row: Outbox, why: Fate, source: Source, now: datetime) -> None:
    """A group takes nothing from us, or a topic of it: who needs to know is told, and what was to be said goes on."""
    known, what = await gardens.of_chat(session, row.chat_id), _WHY[why]
    if not what.silent and row.thread_id is not None:  # it is sent once more without the topic
        for garden in known:
            if garden.thread_id == row.thread_id and not garden.shut:
                await _note(session, garden, what, now)
        return
    for garden in known:
        if what.silent or garden.thread_id is None or garden.shut:
            await _note(session, garden, what if what.silent else Shut.CLOSED, now)
    await _pass_on(session, row, known, source, now)
    if what in _LOST:
        await _let_go(session, row.chat_id, known, source, now)


async def removed(session: AsyncSession, chat_id: int, source: Source, now: datetime) -> None:
    """The bot was removed from a group. By whom is nobody's business."""
    known = await gardens.of_chat(session, chat_id)
    for garden in known:
        await _note(session, garden, Shut.REMOVED, now)
    await _let_go(session, chat_id, known, source, now)


async def muted(session: AsyncSession, chat_id: int, now: datetime) -> None:
    """The bot is in the group, and may not write there any more."""
    for garden in await gardens.of_chat(session, chat_id):
        await _note(session, garden, Shut.MUTED, now)


async def _let_go(session: AsyncSession, chat_id: int, known: Sequence[Garden], source: Source, now: datetime) -> None:
    """What still waits for a group that is lost goes privately."""
    waiting = select(Outbox).where(Outbox.chat_id == chat_id, Outbox.state == SendState.PENDING)
    for row in (await session.scalars(waiting.order_by(Outbox.id))).all():
        await _pass_on(session, row, known, source, now)
    await chats.forget_group(session, chat_id)


async def _note(session: AsyncSession, garden: Garden, what: Shut, now: datetime) -> None:
    if garden.shut == what:
        return
    garden.shut, garden.shut_at = what, now
    if what in _LOST:
        garden.former_chat_id, garden.former_thread_id = garden.chat_id, garden.thread_id
        garden.chat_id = garden.thread_id = None
    in_force = [one for one in await store.active(session, garden.id, now) if one.state not in _UNSAID]
    unreached = await everyone.unreached(session, garden)
    key = f"shut:{garden.id}:{what}:{now.isoformat()}"
    await tell_organisers(
        session, garden, key, lambda say: wording.note(say, garden.name, what, unreached, in_force), now
    )


async def _pass_on(session: AsyncSession, row: Outbox, known: Sequence[Garden], source: Source, now: datetime) -> None:
    """What the group was to be told: a warning anew to each, an answer to whoever asked, anything else to each as it is."""
    late = row.expires_at is not None and row.expires_at <= now
    if not row.method.startswith("send") or late or row.key.startswith(_TRIALS):
        return
    if row.key.startswith("reply:"):
        await _answer(session, row, now)
    elif row.key.startswith("errand:"):
        errand = await session.get(Errand, int(row.key.split(":")[1]))
        member = await members.by_id(session, errand.member_id) if errand is not None else None
        if member is not None and reachable(member):
            await _copy(session, row, member.person.user_id, now)
    elif row.key.startswith("warning:"):
        warning = await store.by_id(session, int(row.key.split(":")[1]))
        for garden in known if warning is not None else ():
            if warning is not None and garden.id == warning.garden_id:
                await tell_again(session, garden, await look(session, garden, source, now), row.key, now)
    else:
        for garden in known:
            if row.thread_id in (None, garden.thread_id, garden.former_thread_id):
                for member in await everyone.reached(session, garden):
                    await _copy(session, row, member.person.user_id, now)


async def _answer(session: AsyncSession, row: Outbox, now: datetime) -> None:
    """Privately, if they have opened their chat with the bot."""
    number = row.key.split(":")[1]
    asked = await session.get(Inbox, int(number)) if number.isdecimal() else None
    body = next((one for one in (asked.payload if asked else {}).values() if isinstance(one, dict)), {})
    user_id = (body.get("from") or {}).get("id")
    person = await members.person_by_user(session, user_id) if isinstance(user_id, int) else None
    theirs = await members.of_user(session, user_id) if person is not None and isinstance(user_id, int) else ()
    if any(reachable(one) for one in theirs):
        await _copy(session, row, user_id, now)


async def _copy(session: AsyncSession, row: Outbox, user_id: int | None, now: datetime) -> None:
    if user_id is None:
        return
    await queue(
        session,
        key=f"{row.key}:to:{user_id}"[-150:],
        chat_id=user_id,
        thread_id=None,
        method=row.method,
        payload={name: value for name, value in row.payload.items() if name != "reply_parameters"},
        urgency=row.urgency,
        now=now,
        send_at=max(now, row.send_at),
        expires_at=row.expires_at,
        repeatable=row.repeatable,
        garden_id=row.garden_id,
    )
