"""Updates as the platform sends them: fetched as its own JSON, named by their kind, read as far as they can be read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from telegram import Bot, CallbackQuery, Message, TelegramObject, Update

__all__ = ["ALLOWED_UPDATES", "Json", "fetch", "kind_of", "read"]

Json = dict[str, Any]

#: The platform remembers the last list it was given, so it is given with every call.
ALLOWED_UPDATES = ("message", "edited_message", "callback_query", "my_chat_member", "chat_member")

#: What every body may have; the rest tells its kind.
_COMMON = frozenset({"message_id", "date", "chat", "from", "sender_chat", "message_thread_id", "edit_date", "id"})
_KIND_N = 100
#: What can be read in part: without the fields that cannot be read.
_PARTLY: Mapping[str, type[TelegramObject]] = {
    "message": Message,
    "edited_message": Message,
    "callback_query": CallbackQuery,
}
_NEEDED: Mapping[type[TelegramObject], tuple[str, ...]] = {
    Message: ("message_id", "date", "chat", "from"),
    CallbackQuery: ("id", "from", "chat_instance", "data"),
}
#: Numbers of chats, people and messages, by their names and by whose "id" they are.
_NUMBERS = frozenset({"update_id", "message_id", "message_thread_id", "migrate_to_chat_id", "migrate_from_chat_id"})
_WITH_NUMBERS = frozenset(
    {
        "chat",
        "sender_chat",
        "from",
        "user",
        "new_chat_members",
        "left_chat_member",
        "old_chat_member",
        "new_chat_member",
    }
)
_Object = TypeVar("_Object", bound=TelegramObject)


async def fetch(bot: Bot, offset: int | None, timeout_s: int) -> list[Any]:
    """What getUpdates brings, unread.

    `Bot.get_updates` reads all of it at once, so that one update that it cannot read would keep all others away; and
    what it has read cannot always be written as JSON again.
    """
    wanted = {"offset": offset, "timeout": timeout_s, "allowed_updates": list(ALLOWED_UPDATES)}
    # The library has no public way to a raw answer with errors told apart (do_api_request takes a 404 for a bad name).
    read_s = (bot._request[0].read_timeout or 0) + timeout_s
    found = await bot._post("getUpdates", wanted, read_timeout=read_s)
    return found if isinstance(found, list) else []


def kind_of(update: object) -> str:
    """The names of its fields only, such as "message: pinned_message": never what a person wrote."""
    if not isinstance(update, dict):
        return type(update).__name__
    name = next((key for key in update if key != "update_id"), "nothing")
    body = update.get(name)
    fields = sorted(str(key) for key in body.keys() - _COMMON) if isinstance(body, dict) else []
    return f"{name}: {', '.join(fields)}"[:_KIND_N]


def read(update: Json, bot: Bot) -> Update:
    """The update as the library has it, without the fields that cannot be read, if any. Raises what reading raised."""
    try:
        return _whole(Update, update, bot)
    except Exception:
        found = {key: _mended(_PARTLY[key], body, bot) if key in _PARTLY else body for key, body in update.items()}
        return _whole(Update, found, bot)


def _whole(kind: type[_Object], body: Json, bot: Bot) -> _Object:
    _check_numbers(body)
    return kind.de_json(body, bot)


def _check_numbers(value: Any, key: str = "") -> None:
    """The library takes any value for a number; ours go into columns that others are told apart by."""
    if isinstance(value, list):
        for each in value:
            _check_numbers(each, key)
    if not isinstance(value, dict):
        return
    for name, inner in value.items():
        if name in _NUMBERS or (name == "id" and key in _WITH_NUMBERS):
            number = isinstance(inner, int) and not isinstance(inner, bool) and abs(inner) < 2**63
            if not number:
                raise ValueError(f"{key}.{name} is no number of 64 bits")
        _check_numbers(inner, name)


def _mended(kind: type[TelegramObject], body: Any, bot: Bot) -> Any:
    """A body without the fields that, one by one, cannot be read. Someone who wrote "/week" is to get their answer."""
    if not isinstance(body, dict):
        return body
    needed = {key: body[key] for key in _NEEDED[kind] if key in body}
    kept = dict(needed)
    for key, value in body.items():
        if key in needed:
            continue
        part = _mended(Message, value, bot) if key == "message" else value
        if _is_readable(kind, needed | {key: part}, bot):
            kept[key] = part
    return kept


def _is_readable(kind: type[TelegramObject], body: Json, bot: Bot) -> bool:
    try:
        _whole(kind, body, bot)
    except Exception:  # whatever the library makes of it
        return False
    return True
