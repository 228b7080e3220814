"""The rows of the outbox: queued once, claimed in order, settled by what became of the call.

States: pending -> sending -> sent, failed or uncertain; pending -> expired. A call that was put off is pending again.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from sqlalchemy import CursorResult, and_, func, or_, select, update
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import make_transient_to_detached
from sqlalchemy.orm.util import identity_key

from bot.storage.claims import move_chat
from bot.storage.models import LINE, Outbox
from bot.storage.once import insert_columns, insert_numbers
from bot.storage.session import TO_SEND
from bot.storage.states import SendState
from bot.storage.wire.outbox_claims import QUEUED, changing

AGAIN = ":again"
#: A repeat may be uncertain too; so many follow one another, ever later, before it stays uncertain.
REPEATS = 5
LONGEST_WAIT_S = 300.0
#: What may be called: a method of the platform's that tells somebody something.
METHODS = (
    "sendMessage", "sendPhoto", "sendDocument", "editMessageText", "editMessageCaption", "editMessageReplyMarkup",
    "pinChatMessage", "unpinChatMessage",
)  # fmt: skip
_FULL_EDITS = ("editMessageText", "editMessageCaption")


class Fate(StrEnum):
    SENT = "sent"
    LATER = "not taken by the platform, worth another try"
    TOO_MANY = "refused until a stated time has passed"
    UNCERTAIN = "may or may not have been taken"
    FORBIDDEN = "the bot may not write there"
    MUTED = "the bot is there, and may not write"
    GONE = "there is no such chat"
    TOPIC_CLOSED = "the topic is closed"
    TOPIC_GONE = "there is no such topic"
    MIGRATED = "the chat has another id now"
    FAILED = "refused for good"


@dataclass(frozen=True, slots=True)
class Outcome:
    """message_id: of the message that was sent or changed. wait_s: for TOO_MANY. chat_id: the new one for MIGRATED."""

    fate: Fate
    message_id: int | None = None
    wait_s: float = 0.0
    chat_id: int | None = None
    error: str | None = None


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
    found = await insert_columns(session, Outbox, fresh, "chat_id", "key") if fresh else ()
    session.info.setdefault(QUEUED, []).extend((row.id, row.chat_id, row.key) for row in found)
    session.info[TO_SEND] = True


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


def is_repeat_harmless(method: str) -> bool:
    """Whether calling twice shows nobody anything twice: true of all but the methods that send."""
    return not method.startswith("send")


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
    """With the line that it is a repeat; it rings, whatever rang beside it."""
    name = "text" if "text" in payload else "caption"
    text = "\n".join(part for part in (payload["again_prefix"], payload.get(name)) if part)
    return {key: value for key, value in payload.items() if key != "disable_notification"} | {name: text}


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
