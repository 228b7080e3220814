"""One call to the chat platform, and what became of it."""

from __future__ import annotations

from base64 import b64decode
from collections.abc import Awaitable, Callable, Mapping
from datetime import timedelta
from typing import Any

import httpx
from telegram import (
    Bot,
    ForceReply,
    InlineKeyboardMarkup,
    InputFile,
    LinkPreviewOptions,
    ReplyKeyboardMarkup,
    ReplyKeyboardRemove,
    ReplyParameters,
    TelegramObject,
)
from telegram.error import (
    BadRequest,
    ChatMigrated,
    Forbidden,
    InvalidToken,
    NetworkError,
    RetryAfter,
    TelegramError,
)

from bot.chat.wire.markup import strip_tags
from bot.storage.wire.outbox_rows import METHODS, Fate, Outcome, is_repeat_harmless

_CALLS: dict[str, Callable[[Bot], Callable[..., Awaitable[Any]]]] = {
    "sendMessage": lambda bot: bot.send_message,
    "sendPhoto": lambda bot: bot.send_photo,
    "sendDocument": lambda bot: bot.send_document,
    "editMessageText": lambda bot: bot.edit_message_text,
    "editMessageCaption": lambda bot: bot.edit_message_caption,
    "editMessageReplyMarkup": lambda bot: bot.edit_message_reply_markup,
    "pinChatMessage": lambda bot: bot.pin_chat_message,
    "unpinChatMessage": lambda bot: bot.unpin_chat_message,
}
assert _CALLS.keys() == {*METHODS}
_KEYBOARDS: dict[str, type[TelegramObject]] = {
    "inline_keyboard": InlineKeyboardMarkup,
    "keyboard": ReplyKeyboardMarkup,
    "remove_keyboard": ReplyKeyboardRemove,
    "force_reply": ForceReply,
}
_OURS = ("again_prefix", "about")  # what a payload holds for the outbox itself
#: The platform's words, which come with 400 or 403 (tdlib/telegram-bot-api issues 596 and 693; some from memory).
_REFUSALS = {
    Fate.MUTED: (
        "not enough rights to send text", "have no rights to send", "chat_write_forbidden", "chat_restricted",
        "chat_send_plain_forbidden", "need administrator rights",
    ),
    Fate.GONE: ("chat not found", "chat was deleted", "chat was deactivated", "peer_id_invalid"),
    Fate.TOPIC_CLOSED: ("topic_closed",),
    Fate.TOPIC_GONE: ("message thread not found", "topic_deleted", "topic_id_invalid"),
}  # fmt: skip
_UNWRITTEN = (httpx.ConnectError, httpx.ConnectTimeout, httpx.PoolTimeout)


async def deliver(bot: Bot, method: str, chat_id: int, payload: Mapping[str, Any], **where: int | None) -> Outcome:
    """Call once; where HTML was refused, once more as plain text. Raises InvalidToken, which needs a person.

    where: `message_thread_id` for a topic, `message_id` of what is changed; None where there is none.
    """
    arguments = {"chat_id": chat_id} | {name: value for name, value in where.items() if value is not None}
    try:
        try:
            result = await _CALLS[method](bot)(**arguments, **_objects(bot, payload))
        except BadRequest as error:
            if "parse entities" not in error.message.lower() or "parse_mode" not in payload:
                raise
            result = await _CALLS[method](bot)(**arguments, **_objects(bot, _plain(payload)))
    except InvalidToken:
        raise
    except TelegramError as error:
        return _fate(error, method, where.get("message_id"))
    return Outcome(Fate.SENT, message_id=getattr(result, "message_id", where.get("message_id")))


def _fate(error: TelegramError, method: str, message_id: int | None) -> Outcome:
    """What an error means. BadRequest and TimedOut are NetworkErrors too, so the narrow ones come first."""
    name = _name(error)
    if isinstance(error, BadRequest):
        if "message is not modified" in error.message.lower():
            return Outcome(Fate.SENT, message_id=message_id)
        return Outcome(_refused(error) or Fate.FAILED, error=name)
    if isinstance(error, RetryAfter):
        return Outcome(Fate.TOO_MANY, wait_s=seconds_of(error), error=name)
    if isinstance(error, ChatMigrated):
        return Outcome(Fate.MIGRATED, chat_id=error.new_chat_id, error=name)
    if isinstance(error, Forbidden):
        return Outcome(_refused(error) or Fate.FORBIDDEN, error=name)
    if _was_not_taken(error) or is_repeat_harmless(method):
        return Outcome(Fate.LATER, error=name)
    return Outcome(Fate.UNCERTAIN, error=name)


def _refused(error: TelegramError) -> Fate | None:
    """Why a chat takes nothing from us, where the platform's words say so."""
    words = error.message.lower()
    return next((fate for fate, phrases in _REFUSALS.items() if any(one in words for one in phrases)), None)


def _was_not_taken(error: TelegramError) -> bool:
    """True where the platform cannot have stored the message: no connection was made, or the Bot API itself said no.

    A 5xx with the Bot API's own JSON is its refusal. A 5xx without (a gateway's page, which the chat library chains
    to a parse error), a time-out and a cut connection may all come after the message was stored.
    """
    cause = error.__cause__
    return isinstance(cause, _UNWRITTEN) or (isinstance(error, NetworkError) and cause is None)


def seconds_of(error: RetryAfter) -> float:
    """How long the platform asks us to wait, s."""
    wait = error.retry_after
    return wait.total_seconds() if isinstance(wait, timedelta) else float(wait)


def _name(error: TelegramError) -> str:
    """The error in a few words, cut before anything quoted, which may be what a person wrote."""
    words = error.message.split('"')[0].split(":")[0]
    return f"{type(error).__name__}: {words}"[:120]


def _plain(payload: Mapping[str, Any]) -> dict[str, Any]:
    texts = {name: strip_tags(payload[name]) for name in ("text", "caption") if name in payload}
    return {name: value for name, value in payload.items() if name != "parse_mode"} | texts


def _objects(bot: Bot, payload: Mapping[str, Any]) -> dict[str, Any]:
    """The payload as the chat library's methods take it."""
    return {name: _object(bot, name, value) for name, value in payload.items() if name not in _OURS}


def _object(bot: Bot, name: str, value: Any) -> Any:
    if name in ("photo", "document") and isinstance(value, dict):
        return InputFile(b64decode(value["file"]), filename=value.get("name", name))
    if name == "reply_markup" and value is not None:
        kind = next(kind for key, kind in _KEYBOARDS.items() if key in value)
        return kind.de_json(value, bot)
    if name == "reply_parameters":
        return ReplyParameters.de_json(value, bot)
    if name == "link_preview_options":
        return LinkPreviewOptions.de_json(value, bot)
    return value
