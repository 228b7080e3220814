"""What the bot has said in a chat, found again by where it stands there.

A group that the bot is no longer in.

What came in, found again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import and_, bindparam, or_, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Inbox, Outbox
from bot.storage.read_once import read_once
from bot.storage.states import SendState

#: A button that was shown: its label, and the data that comes back.
Key = tuple[str, str]
_TOGETHER_N = 5
_LAST_N = 8
_UNHEARD = (SendState.FAILED, SendState.EXPIRED)


async def at(session: AsyncSession, chat_id: int, message_id: int) -> Outbox | None:
    """The row that sent this message, None when it is not kept any more."""
    query = select(Outbox).where(Outbox.chat_id == chat_id, Outbox.message_id == message_id, Outbox.edits.is_(None))
    return (await session.scalars(query.order_by(Outbox.id.desc()))).first()


async def by_id(session: AsyncSession, row_id: int | None) -> Outbox | None:
    return await session.get(Outbox, row_id) if row_id is not None else None


async def waiting(session: AsyncSession, chat_id: int) -> Sequence[Outbox]:
    """What is not sent yet, the oldest first."""
    query = select(Outbox).where(Outbox.chat_id == chat_id, Outbox.state == SendState.PENDING)
    return (await session.scalars(query.order_by(Outbox.id))).all()


async def latest(session: AsyncSession, chat_id: int) -> Outbox | None:
    """The last thing said in a chat, changes of older messages aside."""
    return next(iter(await _last(session, chat_id)), None)


async def latest_together(session: AsyncSession, chat_id: int) -> Sequence[Outbox]:
    """What was said last in a chat, with the other parts of the same answer, the newest first."""
    rows = [row for row in await _last(session, chat_id) if row.state not in _UNHEARD][:_TOGETHER_N]
    return [row for row in rows if row is rows[0] or row.key.rpartition(":")[0] == rows[0].key.rpartition(":")[0]]


@read_once(Outbox)
async def _last(session: AsyncSession, chat_id: int) -> Sequence[Outbox]:
    return (await session.scalars(_of_chat(), {"chat_id": chat_id})).all()


@cache
def _of_chat() -> Any:
    query = select(Outbox).where(Outbox.chat_id == bindparam("chat_id"), Outbox.edits.is_(None))
    return query.order_by(Outbox.id.desc()).limit(_LAST_N)


@read_once(Outbox)
async def keys(session: AsyncSession, row: Outbox) -> list[Key]:
    """The buttons under a message as it stands now, in reading order."""
    shown = await session.scalar(_last_change(), {"row_id": row.id}) or row
    lines = (shown.payload.get("reply_markup") or {}).get("inline_keyboard") or []
    return [(key["text"], key["callback_data"]) for line in lines for key in line if "callback_data" in key]


@cache
def _last_change() -> Any:
    return select(Outbox).where(Outbox.edits == bindparam("row_id")).order_by(Outbox.id.desc()).limit(1)


async def has_said(
    session: AsyncSession, chat_id: int, words: Collection[str], since_at: datetime, but: int | None = None
) -> bool:
    """Whether a message in this chat since then bore one of these words, its changes aside. but: a row that is passed over."""
    found = (await texts(session, (chat_id,), since_at)).get(chat_id, ())
    return any(id_ != but and any(one in text for one in words) for id_, text in found)


async def texts(
    session: AsyncSession, chat_ids: Collection[int], since_at: datetime
) -> dict[int, list[tuple[int, str]]]:
    """By chat, number and text of each message since then, changes aside."""
    found: dict[int, list[tuple[int, str]]] = defaultdict(list)
    for id_, chat_id, payload in await session.execute(_texts(), {"chat_ids": [*chat_ids], "since_at": since_at}):
        found[chat_id].append((id_, payload.get("text", "")))
    return dict(found)


@cache
def _texts() -> Any:
    return select(Outbox.id, Outbox.chat_id, Outbox.payload).where(
        Outbox.chat_id.in_(bindparam("chat_ids", expanding=True)),
        Outbox.method == "sendMessage",  # files are large, and bear no text
        Outbox.queued_at >= bindparam("since_at"),
        Outbox.edits.is_(None),
        Outbox.state.not_in(_UNHEARD),
    )


async def by_key(session: AsyncSession, key: str) -> Outbox | None:
    """What was queued under this key, None when nothing was, or it is not kept any more."""
    return await session.scalar(select(Outbox).where(Outbox.key == key))


async def since(session: AsyncSession, prefix: str, at: datetime) -> bool:
    """Whether something whose key begins so was queued after a moment."""
    query = select(Outbox.id).where(Outbox.key.startswith(prefix, autoescape=True), Outbox.queued_at > at)
    return await session.scalar(query.limit(1)) is not None


@read_once(Outbox)
async def queued(session: AsyncSession, prefixes: tuple[str, ...], since_at: datetime) -> Mapping[str, int]:
    """The rows queued since then whose keys begin so, by key. prefixes: plain letters and digits that end with a colon."""
    return dict(iter(await session.execute(_queued(prefixes), {"since_at": since_at})))


@cache
def _queued(prefixes: tuple[str, ...]) -> Any:
    # ";" is the sign after ":": ranges, so that the keys' own index serves.
    begins = (and_(Outbox.key >= prefix, Outbox.key < f"{prefix[:-1]};") for prefix in prefixes)
    return select(Outbox.key, Outbox.id).where(or_(*begins), Outbox.queued_at >= bindparam("since_at"))


async def forget_group(session: AsyncSession, chat_id: int) -> None:
    """Nothing more is sent to a group that is lost."""
    waiting = (Outbox.chat_id == chat_id, Outbox.state == SendState.PENDING)
    values = {"state": SendState.EXPIRED, "error": "the bot is not in this group"}
    await session.execute(update(Outbox).where(*waiting).values(values))


async def take(session: AsyncSession, update_id: int, user_id: int) -> dict[str, Any] | None:
    """A message that this account wrote and that was handled, out of the inbox: given once, and then no more."""
    query = select(Inbox).where(Inbox.update_id == update_id, Inbox.done_at.is_not(None))
    row = await session.scalar(query.with_for_update())
    message = row.payload.get("message") if row is not None else None
    if row is None or not isinstance(message, dict) or message.get("from", {}).get("id") != user_id:
        return None
    payload, row.payload = row.payload, {}
    return payload


async def heard(session: AsyncSession, update_id: int) -> dict[str, Any]:
    """What came in under this number, as far as it is still kept."""
    row = await session.get(Inbox, update_id)
    return row.payload if row is not None else {}


async def note_unheard(session: AsyncSession, update_id: int, garden_id: int) -> None:
    """That a message which may have spoken of a garden was not understood."""
    await session.execute(update(Inbox).where(Inbox.update_id == update_id).values(unheard_garden_id=garden_id))


async def unheard(session: AsyncSession, garden_id: int, since_at: datetime) -> Sequence[dict[str, Any]]:
    """What was not understood since then, the newest first."""
    theirs = (Inbox.unheard_garden_id == garden_id, Inbox.received_at > since_at)
    return (await session.scalars(select(Inbox.payload).where(*theirs).order_by(Inbox.update_id.desc()))).all()
