"""The rows of the inbox, as the workers find, hold and settle them; each statement is put together once, since that takes
as long as asking.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from functools import cache
from typing import Any, NamedTuple

from sqlalchemy import CursorResult, Integer, Text, bindparam, cast, select
from sqlalchemy import update as change
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import aliased

from bot.storage.claims import try_own
from bot.storage.models import Inbox
from bot.storage.types import UtcMoment

_INBOX = Inbox.metadata.tables[Inbox.__tablename__]


class Waiting(NamedTuple):
    """A row whose turn it is. payload: JSON, as text where it was read from there. is_followed: more of its chat wait
    behind it."""

    number: int
    chat_id: int
    payload: str | dict[str, Any]
    attempts: int
    is_followed: bool


async def first_of_lines(session: AsyncSession, now: datetime, busy: Collection[int], most_n: int) -> list[Waiting]:
    """The oldest rows that are first of their chats' lines and not waiting for their next attempt. busy: chats to leave alone.

    What each holds is read as it stands, so that one that can't be made out stops no other.
    """
    given = {"now": now, "busy": [*busy], "most_n": most_n}
    return [Waiting(*row) for row in await session.execute(_first_of_lines(), given)]


async def alone_in_line(session: AsyncSession, found: Sequence[Any]) -> Waiting | None:
    """What has just been stored, when it is one update, with nothing before or behind it in its chat's line."""
    if len(found) != 1 or not isinstance(found[0], dict) or not isinstance(number := found[0].get("update_id"), int):
        return None
    if abs(number) >= 2**63:
        return None  # it was put aside
    chat_id = (await session.execute(_alone(), {"number": number})).scalar()
    return Waiting(number, chat_id, found[0], 0, False) if chat_id is not None else None


async def own(session: AsyncSession, number: int, chat_id: int) -> int | None:
    """How often it was tried, the row held by this transaction together with its chat's line.

    None if another process is at it or was. Columns only: it may be the payload that cannot be read.
    """
    if not await try_own(session, f"inbox {chat_id}"):
        return None
    attempts: int | None = await session.scalar(_undone(), {"number": number})
    return attempts


async def done(session: AsyncSession, number: int, now: datetime) -> None:
    """Handled, and by nobody else: otherwise nothing of it is stored."""
    result = await session.execute(_settling(), {"number": number, "now": now})
    assert isinstance(result, CursorResult)
    if result.rowcount != 1:
        raise RuntimeError("an update that somebody else has handled")


async def errors(session: AsyncSession, start: str) -> Sequence[str]:
    """What is noted of updates, where it begins so."""
    found = await session.scalars(select(Inbox.error).where(Inbox.error.startswith(start, autoescape=True)))
    return [error for error in found if error is not None]


async def add(session: AsyncSession, row: Inbox) -> None:
    """In a part of the transaction, so that nothing else is undone where it can't be kept."""
    async with session.begin_nested():
        session.add(row)


async def note(session: AsyncSession, number: int, values: dict[str, Any]) -> None:
    await session.execute(change(Inbox).where(Inbox.update_id == number).values(**values))


@cache
def _first_of_lines() -> Any:
    """Given `now`, `busy` and `most_n`."""
    earlier, later = aliased(Inbox), aliased(Inbox)
    is_behind = select(earlier.update_id).where(
        earlier.chat_id == Inbox.chat_id, earlier.done_at.is_(None), earlier.update_id < Inbox.update_id
    )
    follows = select(later.update_id).where(
        later.chat_id == Inbox.chat_id, later.done_at.is_(None), later.update_id > Inbox.update_id
    )
    ready = Inbox.retry_at.is_(None) | (Inbox.retry_at <= bindparam("now", type_=UtcMoment()))
    is_busy = Inbox.chat_id.in_(bindparam("busy", expanding=True))
    shown = (Inbox.update_id, Inbox.chat_id, cast(Inbox.payload, Text), Inbox.attempts, follows.exists())
    waiting = select(*shown).where(Inbox.done_at.is_(None), ready, ~is_behind.exists(), ~is_busy)
    return waiting.order_by(Inbox.update_id).limit(bindparam("most_n", type_=Integer))


@cache
def _alone() -> Any:
    """Given `number`: its chat, when it has not been tried and nothing else waits there."""
    other = _INBOX.alias()
    others = select(other.c.update_id).where(
        other.c.chat_id == _INBOX.c.chat_id, other.c.done_at.is_(None), other.c.update_id != _INBOX.c.update_id
    )
    is_fresh = (_INBOX.c.done_at.is_(None), _INBOX.c.attempts == 0)
    return select(_INBOX.c.chat_id).where(_INBOX.c.update_id == bindparam("number"), *is_fresh, ~others.exists())


@cache
def _undone() -> Any:
    query = select(_INBOX.c.attempts).where(_INBOX.c.update_id == bindparam("number"), _INBOX.c.done_at.is_(None))
    return query.with_for_update()


@cache
def _settling() -> Any:
    undone = (_INBOX.c.update_id == bindparam("number"), _INBOX.c.done_at.is_(None))
    return change(_INBOX).where(*undone).values(done_at=bindparam("now"))
