"""What the kept messages hold of one person: given out with the rest, and taken out when they are to be forgotten."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import escape
from typing import Any

from sqlalchemy import delete, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.people.names import untappable
from bot.storage.models import Inbox, Outbox, Person
from bot.storage.states import SendState

__all__ = ["forget", "wrote"]

_SETTLED = (SendState.SENT, SendState.FAILED, SendState.UNCERTAIN, SendState.EXPIRED)
#: Names are cut to this length where a message shows them (chat/html.py: safe).
_SHOWN_N = 39


def wrote(payload: dict[str, Any], user_id: int | None) -> bool:
    """Whether an update is theirs: something they wrote, tapped or did, in whichever chat."""
    parts = [part for part in payload.values() if isinstance(part, dict)]
    return user_id is not None and any(
        isinstance(part.get("from"), dict) and part["from"].get("id") == user_id for part in parts
    )


async def forget(session: AsyncSession, person: Person, nobody: str) -> None:
    """Their private chat goes, whole; elsewhere, what was sent and names them is emptied, what waits says `nobody`.

    Of what came in, everything that speaks of their account is emptied: their own messages and presses, answers to
    them, and their joining. An update that is being handled now goes by the clock.
    """
    if person.user_id is not None:
        await _forget_chat(session, person.user_id)
        for row in await session.scalars(select(Inbox).where(Inbox.done_at.is_not(None))):
            if any(part.get("id") == person.user_id for part in _parts(row.payload)):
                row.payload = {}
    named = _named(person)
    rows = await session.scalars(select(Outbox).where(Outbox.state != SendState.SENDING))
    for sent in rows:
        text = json.dumps(sent.payload, ensure_ascii=False)
        if not named.search(text):
            continue
        sent.payload = {} if sent.state in _SETTLED else json.loads(named.sub(nobody, text))


async def _forget_chat(session: AsyncSession, user_id: int) -> None:
    private = Outbox.chat_id == user_id
    await session.execute(delete(Outbox).where(private, Outbox.edits.is_not(None)))
    waiting = update(Outbox).where(private, Outbox.state == SendState.PENDING)
    await session.execute(waiting.values(state=SendState.EXPIRED))
    await session.execute(delete(Outbox).where(private, Outbox.state.in_(_SETTLED)))


def _parts(value: Any) -> Iterator[dict[str, Any]]:
    """Every object within an update."""
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from _parts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _parts(inner)


def _named(person: Person) -> re.Pattern[str]:
    """Their name as messages show it, as a word of its own, their user name, or their account's number."""
    name = person.name[:_SHOWN_N]
    shown = {json.dumps(escape(form, quote=False), ensure_ascii=False)[1:-1] for form in (name, untappable(name))}
    account = (person.username, person.user_id)
    words = [*sorted(shown), *(str(word) for word in account if word)]
    return re.compile(rf"(?<!\w)(?:{'|'.join(re.escape(word) for word in words)})(?!\w)")
