"""Rows of the outbox taken to be sent: the most urgent first, one call in a chat at a time, by one process."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from sqlalchemy import ColumnElement, Integer, Select, and_, bindparam, exists, func, or_, select, tuple_, update
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import aliased
from sqlalchemy.orm.attributes import set_committed_value

from bot.storage.claims import owns_all, try_own_of
from bot.storage.models import Outbox
from bot.storage.states import SendState
from bot.storage.types import UtcMoment

#: What a session notes of itself (`info`): the rows that it has queued, each as number, chat and key.
QUEUED = "queued"
Queued = tuple[int, int, str]
#: So many messages in so many seconds.
Window = tuple[int, float]
#: So long one ring is enough for all that was queued at its moment; common practice, no source.
_RUNG_FOR = timedelta(minutes=5)
_OUTBOX = Outbox.metadata.tables[Outbox.__tablename__]


@dataclass(frozen=True, slots=True)
class Claim:
    """A row that is ours to send. message_id: of the message that it changes or pins."""

    row: Outbox
    message_id: int | None


async def claim(
    session: AsyncSession,
    now: datetime,
    without: Collection[int] = (),
    most_n: int = 1,
    limits: Callable[[int], Sequence[Window]] = lambda _chat_id: (),
) -> Sequence[Claim]:
    """Take the next rows that are due, leaving the chats in `without` alone; they are `sending` when this is committed.
    limits: of a chat, by what all processes have sent there.

    The most urgent first, then the oldest. Within a chat one call at a time, and what was tried before goes before the
    rest of its urgency. A change waits for the message that it changes.
    """
    elsewhere, found = set(without), list[Claim]()
    while len(found) < most_n:
        given = {"now": now, "elsewhere": [*elsewhere], "most_n": most_n - len(found)}
        by_chat: dict[int, Outbox] = {}
        for row in (await session.scalars(_due(), given)).all():
            by_chat.setdefault(row.chat_id, row)
        claimed = await _claim(session, [*by_chat.values()], now, limits)
        elsewhere.update(chat_id for chat_id, row in by_chat.items() if row.state is not SendState.FAILED)
        found += claimed
        if len(claimed) == len(by_chat):
            break
    return found


async def claim_alone(session: AsyncSession, now: datetime) -> Claim | None:
    """The one row that this session has queued, when nothing else waits or is on its way: taken as it is stored.

    Only where no other process has a part in the database.
    """
    queued: list[Queued] = session.info.get(QUEUED, [])
    if len(queued) != 1 or not owns_all(session):
        return None
    await session.flush()
    # What the table holds: a part of the transaction may have been undone.
    if [(one.id, one.chat_id, one.key) for one in await session.execute(_unsent())] != queued:
        return None
    row = await session.get_one(Outbox, queued[0][0])
    is_due = row.state is SendState.PENDING and row.send_at <= now and (row.expires_at is None or row.expires_at > now)
    return next(iter(await _claim(session, [row], now, lambda _chat_id: ())), None) if is_due else None


@cache
def _unsent() -> Any:
    unsent = _OUTBOX.c.state.in_((SendState.PENDING, SendState.SENDING))
    return select(_OUTBOX.c.id, _OUTBOX.c.chat_id, _OUTBOX.c.key).where(unsent).limit(2)


async def _claim(
    session: AsyncSession, rows: Sequence[Outbox], now: datetime, limits: Callable[[int], Sequence[Window]]
) -> list[Claim]:
    """Those of some that are due, each of a chat of its own, unless another process has a part in its chat or there is
    nothing for it to change."""
    if not owns_all(session):
        rows = await _owned(session, rows, now, limits)
    found = [Claim(row, message_id) for row in rows for message_id in await _of_edited(session, row, now)]
    if found:
        values = [
            {"state": SendState.SENDING, "claimed_at": now, "attempts": one.row.attempts + 1, "number": one.row.id}
            for one in found
        ]
        await session.execute(changing("state", "claimed_at", "attempts"), values)
        for one, claimed in zip(found, values, strict=True):
            for name in ("state", "claimed_at", "attempts"):
                set_committed_value(one.row, name, claimed[name])
            if "disable_notification" in one.row.payload and not await _has_rung(session, one.row, now):
                audible = {name: value for name, value in one.row.payload.items() if name != "disable_notification"}
                set_committed_value(one.row, "payload", audible)
    return found


async def _has_rung(session: AsyncSession, row: Outbox, now: datetime) -> bool:
    """Whether the message that rings in its place has arrived just now: it may have come too late, or been refused."""
    if not row.method.startswith("send"):
        return True
    beside = (Outbox.chat_id == row.chat_id, Outbox.queued_at == row.queued_at, Outbox.state == SendState.SENT)
    query = select(exists().where(*beside, Outbox.settled_at > now - _RUNG_FOR))
    return bool(await session.scalar(query))


async def _owned(
    session: AsyncSession, rows: Sequence[Outbox], now: datetime, limits: Callable[[int], Sequence[Window]]
) -> Sequence[Outbox]:
    """Those of chats that no other process has a part in, until the transaction ends."""
    owned = await try_own_of(session, [f"outbox {row.chat_id}" for row in rows])
    ours = [
        row.id
        for row in rows
        if f"outbox {row.chat_id}" in owned and await _has_room(session, row.chat_id, now, limits(row.chat_id))
    ]
    if not ours:
        return ()
    # Looked at anew under the lock: another process may have claimed in these chats since.
    return (await session.scalars(_still_due(), {"now": now, "elsewhere": [], "most_n": len(ours), "ours": ours})).all()


async def _of_edited(session: AsyncSession, row: Outbox, now: datetime) -> Sequence[int | None]:
    """The message that it changes, (None,) where it changes none; empty where that is not there, and then it has failed."""
    if row.edits is None:
        return (None,)
    message_id = await session.scalar(select(Outbox.message_id).where(Outbox.id == row.edits))
    if message_id is None:
        row.state, row.settled_at, row.error = SendState.FAILED, now, "there is no message to change"
        await session.flush()
        return ()
    return (message_id,)


@cache
def changing(*names: str) -> Any:
    """These columns of the row `number`; a change that the session finds out by itself takes twice as long."""
    values: dict[str, Any] = {name: bindparam(name) for name in names}
    return update(_OUTBOX).where(_OUTBOX.c.id == bindparam("number")).values(values)


async def _has_room(session: AsyncSession, chat_id: int, now: datetime, limits: Sequence[Window]) -> bool:
    """Whether one more may go to this chat, by the rows that all processes have claimed there."""
    for most_n, within_s in limits:
        since_at = now - timedelta(seconds=within_s)
        query = select(func.count()).where(Outbox.chat_id == chat_id, Outbox.claimed_at > since_at)
        if (await session.scalar(query) or 0) >= most_n:
            return False
    return True


async def let_go(session: AsyncSession, row_id: int, attempts: int) -> None:
    """Give a claim back that nothing was done with: the row is as it was before."""
    ours = and_(Outbox.id == row_id, Outbox.state == SendState.SENDING, Outbox.attempts == attempts)
    values = {"state": SendState.PENDING, "claimed_at": None, "attempts": attempts - 1}
    await session.execute(update(Outbox).where(ours).values(**values))


@cache
def _due() -> Select[Outbox]:
    """The next rows, given `now`, `elsewhere` and `most_n`; built once, since that takes as long as asking.

    However many wait: the next ones are found in the order of an index, and so is what was tried before; both subqueries
    that stand by themselves find few rows, and the third is asked of changes alone.
    """
    now: Any = bindparam("now", type_=UtcMoment())
    is_elsewhere = Outbox.chat_id.in_(bindparam("elsewhere", expanding=True))
    is_due = and_(Outbox.state == SendState.PENDING, Outbox.send_at <= now, _is_of_use(now))
    tried = select(Outbox.chat_id, Outbox.urgency).where(
        Outbox.state == SendState.PENDING, Outbox.attempts > 0, _is_of_use(now)
    )
    is_in_turn = or_(Outbox.attempts > 0, tuple_(Outbox.chat_id, Outbox.urgency).not_in(tried))
    is_free = Outbox.chat_id.not_in(select(Outbox.chat_id).where(Outbox.state == SendState.SENDING))
    target = aliased(Outbox)
    unsent = exists().where(target.id == Outbox.edits, target.state.in_((SendState.PENDING, SendState.SENDING)))
    has_target = or_(Outbox.edits.is_(None), ~unsent)
    return (
        select(Outbox)
        .where(is_due, is_in_turn, is_free, has_target, ~is_elsewhere)
        .order_by(Outbox.urgency, Outbox.id)
        .limit(bindparam("most_n", type_=Integer))
    )


@cache
def _still_due() -> Any:
    """The same of some rows, locked; what others have locked is passed over."""
    ours = Outbox.id.in_(bindparam("ours", expanding=True))
    fresh = _due().where(ours).with_for_update(of=Outbox, skip_locked=True)
    return fresh.execution_options(populate_existing=True)


async def next_at(session: AsyncSession) -> datetime | None:
    """When the soonest of those that wait may be sent; it may be past, while its chat is left alone."""
    soonest: datetime | None = await session.scalar(_soonest())
    return soonest


@cache
def _soonest() -> Any:
    return select(func.min(_OUTBOX.c.send_at)).where(_OUTBOX.c.state == SendState.PENDING)


def _is_of_use(now: datetime) -> ColumnElement[bool]:
    return or_(Outbox.expires_at.is_(None), Outbox.expires_at > now)
