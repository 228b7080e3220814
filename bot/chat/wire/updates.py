"""Updates as the platform sends them: fetched as its own JSON, named by their kind, read as far as they can be read.

Who else takes this bot's updates: a webhook that was set for its token before, or another process that polls.
"""

from __future__ import annotations

import asyncio
import logging
import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar
from urllib.parse import urlsplit

from telegram import Bot, CallbackQuery, Message, TelegramObject, Update
from telegram.error import Conflict, TelegramError

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


_LOG = logging.getLogger(__name__)

#: How long conflicts may go on, s. Whoever has just come gives way first, so that of two one is left.
NEWCOMER_S, RESIDENT_S = 30.0, 120.0
#: After so long without a conflict, s, the next one is a new story: the slowest poller comes back within a minute.
CALM_S = 150.0
#: A pause after a conflict, s: from, to; not always the same, so that two do not keep step.
PAUSE_S = (1.0, 3.0)
#: A webhook that comes back so often is set again by another program.
WEBHOOKS_N = 3


@dataclass(slots=True)
class Rivals:
    """Made when the polling begins."""

    bot: Bot
    _began_s: float = field(default_factory=lambda: asyncio.get_running_loop().time())
    _first_s: float = 0.0
    _last_s: float | None = None
    _webhooks_n: int = 0

    async def met(self, error: Conflict) -> float:
        """What a conflict means; gives how long to wait, s. Raises Conflict with what to do when waiting is no use."""
        now_s = asyncio.get_running_loop().time()
        if self._last_s is None or now_s - self._last_s > CALM_S:
            self._first_s, self._webhooks_n = now_s, 0
        self._last_s = now_s
        if "webhook" in error.message.lower():
            return await self._remove_webhook()
        is_new = self._first_s - self._began_s < NEWCOMER_S
        if now_s - self._first_s >= (NEWCOMER_S if is_new else RESIDENT_S):
            raise Conflict(
                f"another process has been polling with this token for {now_s - self._first_s:.0f} s; stop one of the "
                "two, or ask the chat platform's bot desk for a token for each (GATEPOST_TOKEN)"
            ) from error
        return random.uniform(*PAUSE_S)

    async def _remove_webhook(self) -> float:
        """While one is set the platform brings it all updates; we ask for them ourselves."""
        self._webhooks_n += 1
        try:
            host = urlsplit((await self.bot.get_webhook_info()).url).hostname  # its path may hold a secret
            if self._webhooks_n > WEBHOOKS_N:
                raise Conflict(
                    f"another program sets a webhook for this token again and again, at {host}; stop that program, or "
                    "ask the chat platform's bot desk for another token (GATEPOST_TOKEN)"
                )
            await self.bot.delete_webhook()
            _LOG.warning(
                "a webhook was set for this token, at %s; it is removed, since updates are asked for here", host
            )
        except Conflict:
            raise
        except TelegramError as error:
            _LOG.warning("a webhook is set for this token, and cannot be removed now (%s)", type(error).__name__)
        return PAUSE_S[0]
