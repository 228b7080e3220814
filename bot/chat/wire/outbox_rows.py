"""The rows of the outbox: queued once, claimed in order, settled by what became of the call.

States: pending -> sending -> sent, failed or uncertain; pending -> expired. A call that was put off is pending again.

Rows of the outbox taken to be sent: the most urgent first, one call in a chat at a time, by one process.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from sqlalchemy import ColumnElement, CursorResult, Integer, Select, and_, bindparam, func, or_, select, tuple_, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import make_transient_to_detached
from sqlalchemy.orm.attributes import set_committed_value
from sqlalchemy.orm.util import identity_key

from bot.chat.wire.api_call import METHODS, Fate, Outcome, is_repeat_harmless
from bot.chat.wire.pace import Window
from bot.storage.claims import move_chat, owns_all, try_own_of
from bot.storage.models import LINE, Outbox
from bot.storage.once import insert_numbers
from bot.storage.session import TO_SEND
from bot.storage.states import SendState
from bot.storage.types import UtcMoment

#: What a session notes of itself (`info`): the rows that it has queued, each as number, chat and key.
QUEUED = "queued"
Queued = tuple[int, int, str]
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
    return found


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

    The subqueries stand by themselves, so that the database answers each once, not once a row.
    """
    now: Any = bindparam("now", type_=UtcMoment())
    is_elsewhere = Outbox.chat_id.in_(bindparam("elsewhere", expanding=True))
    is_due = and_(Outbox.state == SendState.PENDING, Outbox.send_at <= now, _is_of_use(now))
    tried = select(Outbox.chat_id, Outbox.urgency).where(
        Outbox.state == SendState.PENDING, Outbox.attempts > 0, _is_of_use(now)
    )
    is_in_turn = or_(Outbox.attempts > 0, tuple_(Outbox.chat_id, Outbox.urgency).not_in(tried))
    is_free = Outbox.chat_id.not_in(select(Outbox.chat_id).where(Outbox.state == SendState.SENDING))
    unsent = select(Outbox.id).where(Outbox.state.in_((SendState.PENDING, SendState.SENDING)))
    has_target = or_(Outbox.edits.is_(None), Outbox.edits.not_in(unsent))
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


AGAIN = ":again"
#: A repeat may be uncertain too; so many follow one another, ever later, before it stays uncertain.
REPEATS = 5
LONGEST_WAIT_S = 300.0
_FULL_EDITS = ("editMessageText", "editMessageCaption")


#: Its chat takes nothing from us; whoever is meant must hear of it some other way.
_REFUSED = (Fate.FORBIDDEN, Fate.MUTED, Fate.GONE, Fate.TOPIC_CLOSED, Fate.TOPIC_GONE)
_OF_TOPIC = (Fate.TOPIC_CLOSED, Fate.TOPIC_GONE)


#: Of a row that is new.
_EMPTY: Mapping[str, Any] = {
    "state": SendState.PENDING,
    "claimed_at": None,
    "settled_at": None,
    "attempts": 0,
    "message_id": None,
    "error": None,
}


async def _nothing(_session: AsyncSession, _row: Outbox, _now: datetime) -> None:
    """A message that arrived changes nothing else."""


@dataclass(frozen=True, slots=True)
class Hooks:
    """What else changes when a row is settled: on_refused(session, row, why, now), before it is tried once more without
    its topic; on_sent(session, row, now); on_migrated(session, old, new)."""

    on_refused: Callable[[AsyncSession, Outbox, Fate, datetime], Awaitable[None]]
    on_sent: Callable[[AsyncSession, Outbox, datetime], Awaitable[None]] = _nothing
    on_migrated: Callable[[AsyncSession, int, int], Awaitable[None]] = move_chat


async def queue(
    session: AsyncSession,
    *,
    key: str,
    chat_id: int,
    thread_id: int | None,
    method: str,
    payload: dict[str, Any],
    urgency: int,
    now: datetime,
    send_at: datetime | None = None,
    expires_at: datetime | None = None,
    repeatable: bool = False,
    edits: int | None = None,
    garden_id: int | None = None,
) -> Outbox | None:
    """Queue a call once; None if `key` was queued before.

    payload: the method's parameters as JSON without chat and topic; `photo` and `document` as {"file": base64, "name"}.
    A repeatable one also holds `again_prefix`, the whole line that a repeat begins with. edits: id of the row whose
    message this one changes, pins or unpins. Raises ValueError for an unknown method, too long a key, a
    missing prefix, a chat that is no number.
    """
    _check(key, chat_id, method, payload, repeatable)
    target = await _newest(session, edits)
    fresh = {
        "key": key,
        "chat_id": chat_id,
        "thread_id": thread_id,
        "method": method,
        "payload": payload,
        "urgency": urgency,
        "queued_at": now,
        "send_at": send_at or now,
        "expires_at": expires_at,
        "repeatable": repeatable,
        "edits": target,
        "garden_id": garden_id,
    }
    row = await _stored(session, fresh)
    session.info[TO_SEND] = True
    if row is not None:
        session.info.setdefault(QUEUED, []).append((row.id, chat_id, key))
    if row is not None and target is not None:
        await _replace_older(session, row, now)
    return row


async def queue_all(session: AsyncSession, calls: Sequence[dict[str, Any]], now: datetime) -> None:
    """Queue several calls once, in one statement; each with what `queue` is given, and none that changes another."""
    usual = {"thread_id": None, "send_at": now, "expires_at": None, "edits": None, "garden_id": None}
    for call in calls:
        _check(call["key"], call["chat_id"], call["method"], call["payload"], call["repeatable"])
    fresh = [usual | {"queued_at": now} | call for call in calls]
    found = await session.execute(_queueing(owns_all(session)), fresh) if fresh else ()
    session.info.setdefault(QUEUED, []).extend((row.id, row.chat_id, row.key) for row in found)
    session.info[TO_SEND] = True


@cache
def _queueing(is_sqlite: bool) -> Any:
    insert = sqlite.insert if is_sqlite else postgresql.insert
    table = Outbox.metadata.tables[Outbox.__tablename__]
    return insert(table).on_conflict_do_nothing().returning(table.c.id, table.c.chat_id, table.c.key)


async def _stored(session: AsyncSession, fresh: dict[str, Any]) -> Outbox | None:
    """The new row, as if the session had read it; None if its key was there."""
    number = next(iter(await insert_numbers(session, Outbox, [fresh])), None)
    if number is None:
        return None
    row = Outbox(id=number, **_EMPTY, **fresh)
    make_transient_to_detached(row)
    undone = session.sync_session.identity_map.get(identity_key(Outbox, number))
    if undone is not None:  # a part of the transaction was, and SQLite gives its numbers again
        session.expunge(undone)
    session.add(row)
    return row


def _check(key: str, chat_id: int, method: str, payload: dict[str, Any], repeatable: bool) -> None:
    # It may come from outside as it is, and the sender reckons with it for every other row.
    if not isinstance(chat_id, int) or not -(2**63) <= chat_id < 2**63:
        raise ValueError(f"{key}: the chat is a {type(chat_id).__name__}, expected a number of 64 bits")
    longest = LINE - REPEATS * len(AGAIN)
    if len(key) > longest:
        raise ValueError(f"key {key[:40]!r}... has {len(key)} characters, expected at most {longest}")
    if method not in METHODS:
        raise ValueError(f"method is {method!r}, expected one of {', '.join(METHODS)}")
    if repeatable and not is_repeat_harmless(method) and "again_prefix" not in payload:
        raise ValueError(f"{key}: repeatable, but its payload has no again_prefix to mark a repeat with")


async def _newest(session: AsyncSession, row_id: int | None) -> int | None:
    """The row that now stands for `row_id`: its last repeat, if it was repeated."""
    while row_id is not None:
        key = await session.scalar(select(Outbox.key).where(Outbox.id == row_id))
        repeat = await session.scalar(select(Outbox.id).where(Outbox.key == f"{key}{AGAIN}"))
        if repeat is None:
            return row_id
        row_id = repeat
    return None


async def _replace_older(session: AsyncSession, row: Outbox, now: datetime) -> None:
    """Unsent changes that this one makes needless. A change of buttons leaves an older change of text alone."""
    same = Outbox.method == row.method
    if row.method in _FULL_EDITS:
        same = or_(same, Outbox.method == "editMessageReplyMarkup")
    older = and_(Outbox.edits == row.edits, Outbox.id < row.id, Outbox.state == SendState.PENDING)
    values = {"state": SendState.EXPIRED, "settled_at": now, "error": "replaced by a newer change"}
    await session.execute(update(Outbox).where(older, same).values(values))


async def expire(session: AsyncSession, now: datetime) -> int:
    """Let go of what is too late to be of use; gives how many."""
    late = and_(Outbox.state == SendState.PENDING, Outbox.expires_at <= now)
    values = {"state": SendState.EXPIRED, "settled_at": now, "error": "too late"}
    result = await session.execute(update(Outbox).where(late).values(values))
    assert isinstance(result, CursorResult)
    return result.rowcount


async def settle_all(
    session: AsyncSession, made: Sequence[tuple[Outbox, Outcome]], now: datetime, hooks: Hooks
) -> None:
    """Note what became of some calls, with all that follows from it."""
    sent = [
        {"state": SendState.SENT, "message_id": outcome.message_id, "settled_at": now, "error": outcome.error}
        | {"number": claimed.id}
        for claimed, outcome in made
        if outcome.fate is Fate.SENT
    ]
    if sent:
        await session.execute(changing("state", "message_id", "settled_at", "error"), sent)
    for claimed, outcome in made:
        if outcome.fate is Fate.SENT:
            await hooks.on_sent(session, claimed, now)
        else:
            await _settle(session, claimed, outcome, now, hooks)


async def _settle(session: AsyncSession, claimed: Outbox, outcome: Outcome, now: datetime, hooks: Hooks) -> None:
    row = await session.get_one(Outbox, claimed.id, with_for_update=True)
    if row.state is not SendState.SENDING:
        return  # it was taken for lost meanwhile, and that stands
    moved_before = (row.error or "").startswith("ChatMigrated")
    row.settled_at, row.error = now, outcome.error
    match outcome.fate:
        case Fate.LATER:
            _put_off(row, now, min(2.0**row.attempts, LONGEST_WAIT_S))
        case Fate.TOO_MANY:
            _put_off(row, now, outcome.wait_s)
        case Fate.UNCERTAIN:
            await _uncertain(session, row, now)
        case fate if fate in _REFUSED:
            row.state = SendState.FAILED
            await hooks.on_refused(session, row, fate, now)
            if fate in _OF_TOPIC and row.thread_id is not None:
                row.thread_id = None
                _put_off(row, now, 0.0)
        case Fate.MIGRATED if outcome.chat_id is not None and not moved_before:
            _put_off(row, now, 0.0)
            await session.flush()
            await hooks.on_migrated(session, row.chat_id, outcome.chat_id)
        case _:
            row.state = SendState.FAILED


def _put_off(row: Outbox, now: datetime, seconds: float) -> None:
    row.state, row.claimed_at, row.settled_at = SendState.PENDING, None, None
    row.send_at = now + timedelta(seconds=seconds)


async def _uncertain(session: AsyncSession, row: Outbox, now: datetime) -> None:
    """It may or may not have arrived. Silence about a warning is worse than a repeat that says that it is one."""
    row.state, row.settled_at = SendState.UNCERTAIN, now
    repeats = row.key.count(AGAIN)
    if not row.repeatable or repeats >= REPEATS:
        return
    repeat = await queue(
        session,
        key=f"{row.key}{AGAIN}",
        chat_id=row.chat_id,
        thread_id=row.thread_id,
        method=row.method,
        payload=row.payload if repeats else _marked(row.payload),
        urgency=row.urgency,
        now=now,
        send_at=now + timedelta(seconds=2.0**repeats),
        expires_at=row.expires_at,
        repeatable=True,
    )
    if repeat is not None:
        pending = and_(Outbox.edits == row.id, Outbox.state == SendState.PENDING)
        await session.execute(update(Outbox).where(pending).values(edits=repeat.id))


def _marked(payload: dict[str, Any]) -> dict[str, Any]:
    name = "text" if "text" in payload else "caption"
    return payload | {name: "\n".join(part for part in (payload["again_prefix"], payload.get(name)) if part)}


async def recover(session: AsyncSession, now: datetime, claimed_before: datetime) -> int:
    """Rows that a process claimed and never settled, because it was killed; gives how many."""
    lost = select(Outbox).where(Outbox.state == SendState.SENDING, Outbox.claimed_at <= claimed_before)
    rows = (await session.scalars(lost.order_by(Outbox.id).with_for_update(skip_locked=True))).all()
    for row in rows:
        row.error = "the process ended while sending"
        if is_repeat_harmless(row.method):
            _put_off(row, now, 0.0)
        else:
            await _uncertain(session, row, now)
    return len(rows)


async def counts(session: AsyncSession) -> dict[SendState, int]:
    """How many rows are in each state."""
    rows = await session.execute(select(Outbox.state, func.count()).group_by(Outbox.state))
    return dict.fromkeys(SendState, 0) | dict(rows.all())
