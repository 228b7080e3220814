"""The parameters of the Bot API methods that the bot calls, and a strict reading of what arrives over HTTP.

Facts of Bot API 10.0 (core.telegram.org/bots/api, read via its machine-readable form 2026-11-25).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

__all__ = ["FORMS", "FormError", "decoded"]

_CHAT = {"chat_id": "Integer|String!"}
_TOPIC = _CHAT | {"business_connection_id": "String", "message_thread_id": "Integer"}
_QUIET = {"disable_notification": "Boolean"}
_KEYS = "InlineKeyboardMarkup|ReplyKeyboardMarkup|ReplyKeyboardRemove|ForceReply"
_SEND = (
    _TOPIC
    | _QUIET
    | {
        "direct_messages_topic_id": "Integer",
        "parse_mode": "String",
        "protect_content": "Boolean",
        "allow_paid_broadcast": "Boolean",
        "message_effect_id": "String",
        "suggested_post_parameters": "SuggestedPostParameters",
        "reply_parameters": "ReplyParameters",
        "reply_markup": _KEYS,
    }
)
_CAPTION = {"caption": "String", "parse_mode": "String", "caption_entities": "Array of MessageEntity"}
_EDIT = {
    "business_connection_id": "String",
    "chat_id": "Integer|String",
    "message_id": "Integer",
    "inline_message_id": "String",
    "reply_markup": "InlineKeyboardMarkup",
}
_TEXT = {
    "text": "String!",
    "parse_mode": "String",
    "entities": "Array of MessageEntity",
    "link_preview_options": "LinkPreviewOptions",
}

#: method -> parameter -> types joined by |, with ! where it is required.
FORMS: dict[str, dict[str, str]] = {
    "getMe": {},
    "getUpdates": {
        "offset": "Integer",
        "limit": "Integer",
        "timeout": "Integer",
        "allowed_updates": "Array of String",
    },
    "setWebhook": {
        "url": "String!",
        "certificate": "InputFile",
        "ip_address": "String",
        "max_connections": "Integer",
        "allowed_updates": "Array of String",
        "drop_pending_updates": "Boolean",
        "secret_token": "String",
    },
    "getWebhookInfo": {},
    "deleteWebhook": {"drop_pending_updates": "Boolean"},
    "sendMessage": _SEND | _TEXT,
    "sendPhoto": _SEND
    | _CAPTION
    | {"photo": "InputFile|String!", "show_caption_above_media": "Boolean", "has_spoiler": "Boolean"},
    "sendDocument": _SEND
    | _CAPTION
    | {
        "document": "InputFile|String!",
        "thumbnail": "InputFile|String",
        "disable_content_type_detection": "Boolean",
    },
    "editMessageText": _EDIT | _TEXT,
    "editMessageReplyMarkup": _EDIT,
    "editMessageCaption": _EDIT | _CAPTION | {"show_caption_above_media": "Boolean"},
    "answerCallbackQuery": {
        "callback_query_id": "String!",
        "text": "String",
        "show_alert": "Boolean",
        "url": "String",
        "cache_time": "Integer",
    },
    "pinChatMessage": _CHAT | _QUIET | {"business_connection_id": "String", "message_id": "Integer!"},
    "unpinChatMessage": _CHAT | {"business_connection_id": "String", "message_id": "Integer"},
    "getFile": {"file_id": "String!"},
    "getChat": _CHAT,
    "getChatMember": _CHAT | {"user_id": "Integer!"},
    "getChatAdministrators": _CHAT | {"return_bots": "Boolean"},
    "setMyCommands": {"commands": "Array of BotCommand!", "scope": "BotCommandScope", "language_code": "String"},
    "setMyDescription": {"description": "String", "language_code": "String"},
    "sendChatAction": _TOPIC | {"action": "String!"},
}


class FormError(ValueError):
    """A call whose form is not that of the Bot API; it names the method, the parameter and what was wrong."""


def decoded(method: str, raw: Mapping[str, str], files: Mapping[str, Any]) -> dict[str, Any]:
    """The parameters of a form as values. Raises FormError at an unknown, missing or wrongly typed one."""
    form = FORMS.get(method)
    if form is None:
        raise FormError(f"{method}: not one of the methods that the bot calls")
    for name in (*raw, *files):
        if name not in form:
            raise FormError(f"{method}: unknown parameter {name}")
    for name, kinds in form.items():
        if kinds.endswith("!") and name not in raw and name not in files:
            raise FormError(f"{method}: required parameter {name} is missing")
    return {name: _value(method, name, form[name].rstrip("!").split("|"), text) for name, text in raw.items()}


def _value(method: str, name: str, kinds: list[str], text: str) -> Any:
    for kind in kinds:
        if kind == "String":
            return text
        try:
            value = json.loads(text)
        except ValueError:
            continue
        if _fits(kind, value):
            return value
    raise FormError(f"{method}: {name} is {text[:40]!r}, expected {' or '.join(kinds)}")


def _fits(kind: str, value: Any) -> bool:
    if kind == "Integer":
        return isinstance(value, int) and not isinstance(value, bool)
    if kind == "Boolean":
        return isinstance(value, bool)
    if kind.startswith("Array of "):
        items = str if kind == "Array of String" else dict
        return isinstance(value, list) and all(isinstance(item, items) for item in value)
    if kind == "InlineKeyboardMarkup":
        return isinstance(value, dict) and "inline_keyboard" in value
    return isinstance(value, dict)
