"""The chat platform in memory: the Bot API's methods over a World, and a request class that needs no network.

Only the methods that the bot calls. Errors carry the platform's code and words, which the bot's own code looks for.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from telegram.request import BaseRequest, RequestData

from bot.chat.wire.markup import Entity, MarkupError, parse_html, utf16_n
from bot.chat.wire.world import ApiError, Chat, Json, Message, World

__all__ = ["ApiError", "MemoryApi", "MemoryRequest", "NoNetwork", "Upload", "error_body"]

TEXT_N, CAPTION_N, DATA_BYTES, TOAST_N = 4096, 1024, 64, 200
FILE_BYTES = 20_000_000  # a bot may fetch files of up to 20 MB (Bot API 10.0, getFile)
# The platform gives no figure for how long a press may wait for its answer; from memory.
QUERY_LIFE = timedelta(minutes=1)
_NOT_MODIFIED = (
    "message is not modified: specified new message content and reply markup are exactly the same as a current content "
    "and reply markup of the message"
)

Upload = tuple[str, bytes]  # file name and content


def _bad(description: str) -> ApiError:
    return ApiError(400, f"Bad Request: {description}")


class MemoryApi(World):
    """Answers calls of the Bot API. `call` is the one entry; the driver's deeds are those of World."""

    _poll = 0
    webhook = webhook_secret = ""
    commands: Sequence[Json] = ()
    descriptions: Mapping[str, str] = {}

    async def call(self, method: str, parameters: Mapping[str, Any], files: Mapping[str, Upload] | None = None) -> Any:
        """The `result` of one call; parameters as decoded JSON. Raises ApiError."""
        if method == "getUpdates":
            return await self._get_updates(parameters)
        calls: dict[str, Callable[[Mapping[str, Any]], Any]] = {
            "getMe": lambda _: self.bot.json(),
            "setWebhook": self._set_webhook,
            "deleteWebhook": lambda _: self._set_webhook({"url": ""}),
            "getWebhookInfo": lambda _: {
                "url": self.webhook,
                "has_custom_certificate": False,
                "pending_update_count": len(self.pending),
                "allowed_updates": self.allowed,
            },
            "sendMessage": lambda p: self._send(p, "text"),
            "sendPhoto": lambda p: self._send(p, "photo", files),
            "sendDocument": lambda p: self._send(p, "document", files),
            "editMessageText": lambda p: self._edit(p, "text"),
            "editMessageCaption": lambda p: self._edit(p, "caption"),
            "editMessageReplyMarkup": lambda p: self._edit(p, None),
            "answerCallbackQuery": self._answer_query,
            "pinChatMessage": lambda p: self._pin(p, pinned=True),
            "unpinChatMessage": lambda p: self._pin(p, pinned=False),
            "getFile": self._get_file,
            "getChat": self._get_chat,
            "getChatMember": self._get_member,
            "getChatAdministrators": self._get_administrators,
            "setMyCommands": self._set_commands,
            "setMyDescription": self._set_description,
            "sendChatAction": lambda p: bool(self._writable(p)),
        }
        if method not in calls:
            raise ApiError(404, "Not Found: method not found")
        return calls[method](parameters)

    async def _get_updates(self, parameters: Mapping[str, Any]) -> list[Json]:
        """A second poller ends the first one's wait with a Conflict, as on the platform."""
        if self.webhook:
            raise ApiError(
                409,
                "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete it first",
            )
        self._allow(parameters)
        offset, limit = parameters.get("offset") or 0, parameters.get("limit") or 100
        self.pending = [update for update in self.pending if update["update_id"] >= offset]
        self._poll += 1
        mine, until = self._poll, asyncio.get_running_loop().time() + (parameters.get("timeout") or 0)
        self.arrived.set()  # wakes whoever waits, to find out that it is no longer the poller
        while True:
            if mine != self._poll:
                raise ApiError(
                    409,
                    "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running",
                )
            left = until - asyncio.get_running_loop().time()
            if self.pending or left <= 0:
                return self.pending[:limit]
            await self._wait(left)

    async def _wait(self, seconds: float) -> None:
        self.arrived.clear()
        try:
            async with asyncio.timeout(seconds):
                await self.arrived.wait()
        except TimeoutError:
            return

    def _set_webhook(self, parameters: Mapping[str, Any]) -> bool:
        self.webhook, self.webhook_secret = str(parameters.get("url") or ""), str(parameters.get("secret_token") or "")
        return self._allow(parameters)

    def _allow(self, parameters: Mapping[str, Any]) -> bool:
        """The list of wanted updates stays as it was when a call leaves it out."""
        if parameters.get("allowed_updates") is not None:
            self.allowed = list(parameters["allowed_updates"])
        return True

    def _send(self, p: Mapping[str, Any], kind: str, files: Mapping[str, Upload] | None = None) -> Json:
        chat, field = self._writable(p), "text" if kind == "text" else "caption"
        if chat.statuses.get(self.bot.id) != "administrator":
            if chat.muted:
                raise _bad("not enough rights to send text messages to the chat")
            if (p.get("message_thread_id") or 0) in chat.closed:
                raise _bad("TOPIC_CLOSED")
        text, entities = _formatted(p, field)
        keyboard = _keyboard(p)
        more: dict[str, Any] = {"kind": kind, "keyboard": keyboard, "thread_id": p.get("message_thread_id")}
        more["reply_to"] = (p.get("reply_parameters") or {}).get("message_id")
        if kind != "text":
            more |= self._file(p.get(kind), (files or {}).get(kind))
        return self.message_json(self._store(chat, self.bot, text, entities, **more))

    def _file(self, known: Any, upload: Upload | None) -> dict[str, str]:
        if upload is None:
            if known not in self.files:
                raise _bad("wrong file identifier/HTTP URL specified")
            return {"file_id": known, "file_name": known}
        file_id = f"file-{len(self.files) + 1}"
        self.files[file_id] = upload[1]
        return {"file_id": file_id, "file_name": upload[0]}

    def _edit(self, p: Mapping[str, Any], field: str | None) -> Json:
        self._writable(p)
        message = self._message(p, "message to edit not found")
        if message.sender is not self.bot:
            raise _bad("message can't be edited")
        if field and (field == "text") != (message.kind == "text"):
            raise _bad(f"there is no {field} in the message to edit")
        text, entities = _formatted(p, field) if field else (message.text, message.entities)
        keyboard = _keyboard(p)
        if (text, entities, keyboard) == (message.text, message.entities, message.keyboard):
            raise _bad(_NOT_MODIFIED)
        self.change(message, text, entities)
        message.keyboard = keyboard
        return self.message_json(message)

    def _answer_query(self, p: Mapping[str, Any]) -> bool:
        asked_at: datetime | None = self.queries.get(str(p["callback_query_id"]))
        if asked_at is None or self.clock() - asked_at > QUERY_LIFE:
            raise _bad("query is too old and response timeout expired or query ID is invalid")
        if utf16_n(p.get("text") or "") > TOAST_N:
            raise _bad("MESSAGE_TOO_LONG")
        return True

    def _pin(self, p: Mapping[str, Any], *, pinned: bool) -> bool:
        chat = self._writable(p)
        if chat.type != "private" and chat.statuses.get(self.bot.id) != "administrator":
            raise _bad("not enough rights to manage pinned messages in the chat")
        message = self._message(p, f"message to {'pin' if pinned else 'unpin'} not found")
        chat.pinned = [each for each in chat.pinned if each != message.id] + ([message.id] if pinned else [])
        return True

    def _get_file(self, p: Mapping[str, Any]) -> Json:
        file_id = str(p["file_id"])
        if file_id not in self.files:
            raise _bad("wrong file_id or the file is temporarily unavailable")
        size = len(self.files[file_id])
        if size > FILE_BYTES:
            raise _bad("file is too big")
        return {"file_id": file_id, "file_unique_id": file_id, "file_size": size, "file_path": f"documents/{file_id}"}

    def download(self, path: str) -> bytes:
        """What a GET of a file's path gives. Raises ApiError where there is none."""
        data = self.files.get(path.rsplit("/", 1)[-1])
        if data is None:
            raise ApiError(404, "Not Found")
        return data

    def _get_chat(self, p: Mapping[str, Any]) -> Json:
        chat = self._chat(p)
        more: Json = {"accent_color_id": 0, "max_reaction_count": 11}
        gifts = ("unlimited_gifts", "limited_gifts", "unique_gifts", "premium_subscription", "gifts_from_channels")
        more["accepted_gift_types"] = dict.fromkeys(gifts, False)
        if chat.pinned:
            more["pinned_message"] = self.message_json(self.messages[chat.id, chat.pinned[-1]])
        return chat.json() | more

    def _get_member(self, p: Mapping[str, Any]) -> Json:
        chat, user = self._chat(p), p["user_id"]
        if user != self.bot.id and chat.statuses.get(self.bot.id) != "administrator":
            raise _bad("CHAT_ADMIN_REQUIRED")
        if user not in self.users:
            raise _bad("PARTICIPANT_ID_INVALID")
        return self.member_json(user, chat.statuses.get(user, "left"))

    def _get_administrators(self, p: Mapping[str, Any]) -> list[Json]:
        chat = self._chat(p)
        if chat.type == "private":
            raise _bad("there are no administrators in the private chat")
        admins = ("creator", "administrator")
        return [self.member_json(u, s) for u, s in chat.statuses.items() if s in admins and u != self.bot.id]

    def _set_commands(self, p: Mapping[str, Any]) -> bool:
        self.commands = p["commands"]
        return True

    def _set_description(self, p: Mapping[str, Any]) -> bool:
        self.descriptions = {**self.descriptions, p.get("language_code") or "": p.get("description") or ""}
        return True

    def _chat(self, p: Mapping[str, Any]) -> Chat:
        chat = self.chats.get(int(p["chat_id"]))
        if chat is None:
            raise _bad("chat not found")
        if chat.migrated_to:
            raise ApiError(
                400, "Bad Request: group chat was upgraded to a supergroup chat", migrate_to_chat_id=chat.migrated_to
            )
        return chat

    def _writable(self, p: Mapping[str, Any]) -> Chat:
        """The chat of a call that shows the bot there; Forbidden where the bot may not be."""
        chat = self._chat(p)
        if chat.type == "private" and chat.statuses.get(chat.id) == "kicked":
            raise ApiError(403, "Forbidden: bot was blocked by the user")
        if chat.type == "private" and not chat.holds(chat.id):
            raise ApiError(403, "Forbidden: bot can't initiate conversation with a user")
        if chat.type != "private" and not chat.holds(self.bot.id):
            raise ApiError(403, f"Forbidden: bot was kicked from the {chat.type} chat")
        thread = p.get("message_thread_id")
        if thread is not None and thread not in (chat.topics or ()):
            raise _bad("message thread not found")
        return chat

    def _message(self, p: Mapping[str, Any], otherwise: str) -> Message:
        message = self.messages.get((int(p["chat_id"]), p.get("message_id") or 0))
        if message is None:
            raise _bad(otherwise)
        return message


def _formatted(p: Mapping[str, Any], field: str) -> tuple[str, list[Entity]]:
    """The text and its entities after parsing, within the platform's limits."""
    raw = p.get(field) or ""
    if p.get("parse_mode") not in (None, "", "HTML"):
        raise _bad("unsupported parse_mode")
    try:
        text, entities = parse_html(raw) if p.get("parse_mode") else (raw, list(p.get("entities") or ()))
    except MarkupError as error:
        raise _bad(f"can't parse entities: {error}") from None
    if field == "text" and not text.strip():
        raise _bad("message text is empty")
    if utf16_n(text) > (TEXT_N if field == "text" else CAPTION_N):
        raise _bad("message is too long" if field == "text" else "message caption is too long")
    return text, entities


def _keyboard(p: Mapping[str, Any]) -> list[list[Json]]:
    rows: list[list[Json]] = (p.get("reply_markup") or {}).get("inline_keyboard") or []
    for button in (button for row in rows for button in row):
        if not button.get("text"):
            raise _bad("inline keyboard button text must be non-empty")
        if not 1 <= len(str(button.get("callback_data", "-")).encode()) <= DATA_BYTES:
            raise _bad("BUTTON_DATA_INVALID")
    return rows


class NoNetwork(BaseRequest):
    """What carries the chat library's calls without a network."""

    @property
    def read_timeout(self) -> float | None:
        return None

    async def initialize(self) -> None:
        """Nothing to open."""

    async def shutdown(self) -> None:
        """Nothing to close."""


class MemoryRequest(NoNetwork):
    """Carries the calls to a MemoryApi."""

    def __init__(self, api: MemoryApi) -> None:
        self._api = api

    async def do_request(
        self, url: str, method: str, request_data: RequestData | None = None, *_timeouts: Any, **_more: Any
    ) -> tuple[int, bytes]:
        if "/file/bot" in url:
            try:
                return 200, self._api.download(url)
            except ApiError as error:
                return error.code, error_body(error)
        parameters = request_data.parameters if request_data else {}
        uploads = request_data.multipart_data if request_data else {}
        files = {name: (str(part[0]), bytes(part[1])) for name, part in (uploads or {}).items()}  # type: ignore[arg-type]
        try:
            result = await self._api.call(url.rsplit("/", 1)[1], parameters, files)
        except ApiError as error:
            return error.code, error_body(error)
        return 200, json.dumps({"ok": True, "result": result}).encode()


def error_body(error: ApiError) -> bytes:
    """What the platform answers beside the status code."""
    body: Json = {"ok": False, "error_code": error.code, "description": error.description}
    return json.dumps(body | ({"parameters": error.parameters} if error.parameters else {})).encode()
