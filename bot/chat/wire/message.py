"""How a message is put into the outbox: urgency, keyboard, expiry; one place for every parameter of the platform."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum
from typing import Any

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.wire.outbox import queue, queue_all
from bot.i18n import Say
from bot.storage.models import Outbox

#: The platform takes 1024 characters under a picture, and a repeat begins with a line of its own.
_CAPTION_N = 950

#: (label, callback data of at most 64 bytes, or an address that begins with https:)
Button = tuple[str, str]


class Urgency(IntEnum):
    """Lower goes first when the platform's limits make messages wait."""

    WARNING = 0
    REPLY = 1
    NOTICE = 2


def already(say: Say) -> str:
    """The line that an answer begins with when it is sent a second time, since nobody knows whether the first arrived."""
    return say.gettext("(I may have answered this already.)")


async def hand_over(
    session: AsyncSession,
    say: Say,
    *,
    key: str,
    chat_id: int,
    thread_id: int | None,
    picture: bool,
    file: str,
    name: str,
    caption: str,
    now: datetime,
    garden_id: int | None = None,
) -> Outbox | None:
    """Queue an answer with a file to keep, or a picture to look at. file: base64."""
    field = "photo" if picture else "document"
    return await queue(
        session,
        key=key,
        chat_id=chat_id,
        thread_id=thread_id,
        method="sendPhoto" if picture else "sendDocument",
        payload={field: {"file": file, "name": name}, "caption": caption[:_CAPTION_N], "again_prefix": already(say)},
        urgency=Urgency.REPLY,
        now=now,
        repeatable=True,
        garden_id=garden_id,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """An HTML message that is queued together with others; its fields are as `post` has them."""

    key: str
    chat_id: int
    text: str
    buttons: Sequence[Sequence[Button]]
    urgency: Urgency
    expires_at: datetime
    again: str
    about: Sequence[int]


async def post_all(session: AsyncSession, letters: Sequence[Letter], now: datetime) -> None:
    """Queue each of some messages once, all of them in one go."""
    calls = [
        {
            "key": one.key,
            "chat_id": one.chat_id,
            "method": "sendMessage",
            "payload": _payload(one.text, one.buttons, one.about) | {"again_prefix": one.again},
            "urgency": one.urgency,
            "expires_at": one.expires_at,
            "repeatable": True,
        }
        for one in letters
    ]
    await queue_all(session, calls, now)


async def post(
    session: AsyncSession,
    *,
    key: str,
    chat_id: int,
    text: str,
    now: datetime,
    thread_id: int | None = None,
    buttons: Sequence[Sequence[Button]] = (),
    urgency: Urgency = Urgency.NOTICE,
    expires_at: datetime | None = None,
    again: str | None = None,
    send_at: datetime | None = None,
    reply_to: int | None = None,
    garden_id: int | None = None,
    about: Sequence[int] = (),
    rings: bool = True,
) -> Outbox | None:
    """Queue an HTML message once. again: the line that a repeat begins with, for what must not be lost to a cut.
    rings: not where another message of the same moment does.

    about: the duties that it names, so that an old button does what its message showed.
    """
    payload = _payload(text, buttons, about)
    if reply_to is not None:
        payload["reply_parameters"] = {"message_id": reply_to, "allow_sending_without_reply": True}
    if again is not None:
        payload["again_prefix"] = again
    if not rings:
        payload["disable_notification"] = True
    return await queue(
        session,
        key=key,
        chat_id=chat_id,
        thread_id=thread_id,
        method="sendMessage",
        payload=payload,
        urgency=urgency,
        now=now,
        send_at=send_at,
        expires_at=expires_at,
        repeatable=again is not None,
        garden_id=garden_id,
    )


async def edit(
    session: AsyncSession,
    *,
    key: str,
    row: Outbox,
    text: str,
    now: datetime,
    buttons: Sequence[Sequence[Button]] = (),
    urgency: Urgency = Urgency.NOTICE,
) -> Outbox | None:
    """Queue a change of a message that was queued or sent before."""
    return await queue(
        session,
        key=key,
        chat_id=row.chat_id,
        thread_id=row.thread_id,
        method="editMessageText",
        payload=_payload(text, buttons),
        urgency=urgency,
        now=now,
        edits=row.id,
    )


def _payload(text: str, buttons: Sequence[Sequence[Button]], about: Sequence[int] = ()) -> dict[str, Any]:
    payload: dict[str, Any] = {
        "text": text,
        "parse_mode": "HTML",
        "link_preview_options": {"is_disabled": True},
    }
    if buttons:
        payload["reply_markup"] = {"inline_keyboard": [[_key(*button) for button in row] for row in buttons]}
    if about:
        payload["about"] = list(about)
    return payload


def _key(label: str, data: str) -> dict[str, str]:
    return {"text": label, "url" if data.startswith("https:") else "callback_data": data}
