"""The world behind the in-memory chat platform: people, chats and messages, and what they do there.

People are moved by a driver (a demo, a terminal, a test): each deed gives the update that it causes, and puts it in
line for the bot if the platform would let the bot see it. Facts: Bot API 10.0.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from bot.chat.wire.markup import Entity, mark_plain

Json = dict[str, Any]

ANONYMOUS_ADMIN = 1087968824  # whom the platform names as the writer when an admin writes as the group
_UNLESS_ASKED = frozenset({"chat_member", "message_reaction", "message_reaction_count"})
_PRESENT = frozenset({"creator", "administrator", "member"})


class ApiError(Exception):
    """An answer of the platform that is not ok. parameters: `retry_after` or `migrate_to_chat_id`."""

    def __init__(self, code: int, description: str, **parameters: int) -> None:
        super().__init__(description)
        self.code, self.description, self.parameters = code, description, parameters


@dataclass(slots=True)
class User:
    id: int
    first_name: str
    username: str | None = None
    language_code: str = "en"
    is_bot: bool = False
    last_name: str | None = None

    def json(self) -> Json:
        known = {"id": self.id, "is_bot": self.is_bot, "first_name": self.first_name}
        known |= {"last_name": self.last_name} if self.last_name else {}
        return known | ({"username": self.username} if self.username else {}) | {"language_code": self.language_code}


@dataclass(slots=True)
class Chat:
    """type: private, group or supergroup. statuses: of each who is or was here; in a private chat the person's is
    `member` once they pressed Start and `kicked` while they block the bot. topics: a forum's thread ids but General.
    muted: only administrators may write. closed: topics in which only they may, General as 0.
    """

    id: int
    type: str
    title: str
    statuses: dict[int, str] = field(default_factory=dict)
    topics: set[int] | None = None
    muted: bool = False
    closed: set[int] = field(default_factory=set)
    migrated_to: int | None = None
    pinned: list[int] = field(default_factory=list)
    last_id: int = 0

    def json(self) -> Json:
        if self.type == "private":
            return {"id": self.id, "type": self.type, "first_name": self.title}
        return {"id": self.id, "type": self.type, "title": self.title} | ({"is_forum": True} if self.topics else {})

    def holds(self, user_id: int) -> bool:
        return self.statuses.get(user_id) in _PRESENT


@dataclass(slots=True)
class Message:
    """kind: text, photo or document; for the last two `text` is the caption. edits: the earlier texts, oldest first."""

    id: int
    chat_id: int
    sender: User
    at: datetime
    text: str
    entities: list[Entity]
    keyboard: list[list[Json]] = field(default_factory=list)
    kind: str = "text"
    file_id: str | None = None
    file_name: str | None = None
    thread_id: int | None = None
    reply_to: int | None = None
    edits: list[str] = field(default_factory=list)
    edited_at: datetime | None = None
    also: Mapping[str, Any] = field(default_factory=dict)


class World:
    """State of the platform and the deeds of people. `messages` is keyed by (chat id, message id)."""

    def __init__(
        self, clock: Callable[[], datetime], *, bot_id: int = 7000000001, username: str = "gatepost_bot"
    ) -> None:
        self.clock = clock
        self.bot = User(bot_id, "Gatepost", username, is_bot=True)
        self.users: dict[int, User] = {bot_id: self.bot}
        self.chats: dict[int, Chat] = {}
        self.messages: dict[tuple[int, int], Message] = {}
        self.files: dict[str, bytes] = {}
        self.queries: dict[str, datetime] = {}
        self.pending: list[Json] = []
        self.allowed: list[str] = []
        self.arrived = asyncio.Event()
        self.next_update_id = 1001  # settable, for a world that goes on where another ended
        self.add_user(ANONYMOUS_ADMIN, "Group", username="GroupAnonymousBot")

    def add_user(
        self,
        user_id: int,
        first_name: str,
        *,
        username: str | None = None,
        language: str = "en",
        last_name: str | None = None,
    ) -> User:
        """Someone with the app, and their private chat, in which they have not pressed Start."""
        self.users[user_id] = User(user_id, first_name, username, language, last_name=last_name)
        self.chats[user_id] = Chat(user_id, "private", first_name)
        return self.users[user_id]

    def add_group(self, chat_id: int, title: str, *, kind: str = "supergroup", topics: set[int] | None = None) -> Chat:
        """A group with nobody in it yet; let people `join` it."""
        self.chats[chat_id] = Chat(chat_id, kind, title, topics=topics)
        return self.chats[chat_id]

    def write(
        self,
        user: int,
        chat: int,
        text: str,
        *,
        reply_to: int | None = None,
        thread_id: int | None = None,
        also: Mapping[str, Any] | None = None,
    ) -> Json:
        """The update of a message. also: further fields of it, such as `location` or `sender_chat`."""
        place = self.chats[chat]
        if place.type == "private" and not place.holds(user):
            self._status(place, user, "member")
        elif not place.holds(user) and user != ANONYMOUS_ADMIN:
            raise LookupError(f"user {user} is not in chat {chat}; let them join first")
        message = self._store(place, self.users[user], text, mark_plain(text), also=also or {})
        message.reply_to, message.thread_id = reply_to, thread_id
        return self._push("message", self.message_json(message), seen=self._seen(place, message))

    def send_file(self, user: int, chat: int, name: str, data: bytes, caption: str = "") -> Json:
        """The update of a document. The platform keeps its content and gives its name, size and id."""
        file_id = f"file-{len(self.files) + 1}"
        self.files[file_id] = data
        place = self.chats[chat]
        if place.type == "private" and not place.holds(user):
            self._status(place, user, "member")
        kept = {"kind": "document", "file_id": file_id, "file_name": name}
        message = self._store(place, self.users[user], caption, mark_plain(caption), **kept)
        return self._push("message", self.message_json(message), seen=self._seen(place, message))

    def press(self, user: int, message: Message, button: str) -> Json:
        """The update of pressing a button, named by its label or its data. Raises LookupError if it is not there."""
        data = [key.get("callback_data") for row in message.keyboard for key in row if button in key.values()]
        if not data or data[0] is None:
            raise LookupError(f"message {message.id} in chat {message.chat_id} has no button {button!r}")
        query_id = str(len(self.queries) + 1)
        self.queries[query_id] = self.clock()
        body = {"id": query_id, "from": self.users[user].json(), "chat_instance": str(message.chat_id), "data": data[0]}
        return self._push("callback_query", body | {"message": self.message_json(message)})

    def edit(self, message: Message, text: str) -> Json:
        """The update of a person changing what they wrote."""
        self.change(message, text, mark_plain(text))
        seen = self._seen(self.chats[message.chat_id], message)
        return self._push("edited_message", self.message_json(message), seen=seen)

    def join(self, user: int, chat: int) -> Json:
        self._status(self.chats[chat], user, "member")
        return self._service(chat, user, {"new_chat_members": [self.users[user].json()]})

    def leave(self, user: int, chat: int) -> Json:
        """Someone leaves; the bot is removed, and sees no message about it."""
        status = "kicked" if user == self.bot.id else "left"
        update = self._status(self.chats[chat], user, status)
        return (
            update if user == self.bot.id else self._service(chat, user, {"left_chat_member": self.users[user].json()})
        )

    def promote(self, user: int, chat: int) -> Json:
        return self._status(self.chats[chat], user, "administrator")

    def block(self, user: int) -> Json:
        return self._status(self.chats[user], user, "kicked")

    def unblock(self, user: int) -> Json:
        return self._status(self.chats[user], user, "member")

    def migrate(self, chat: int) -> int:
        """A group becomes a supergroup with an id of its own; two service messages say so. Gives the new id."""
        old = self.chats[chat]
        new = self.add_group(chat - 1_000_000_000_000, old.title)
        new.statuses, old.migrated_to = dict(old.statuses), new.id
        self._service(old.id, ANONYMOUS_ADMIN, {"migrate_to_chat_id": new.id})
        self._service(new.id, ANONYMOUS_ADMIN, {"migrate_from_chat_id": old.id})
        return new.id

    def said(self, chat: int) -> list[Message]:
        """What the bot has written in a chat, oldest first; service messages are not its words."""
        written = (each for each in self.messages.values() if each.sender is self.bot and not each.also)
        return [each for each in written if each.chat_id == chat]

    def change(self, message: Message, text: str, entities: list[Entity]) -> None:
        message.edits.append(message.text)
        message.text, message.entities, message.edited_at = text, entities, self.clock()

    def message_json(self, message: Message, *, nested: bool = False) -> Json:
        """The message as the Bot API shows it."""
        chat = self.chats[message.chat_id]
        body: Json = {"message_id": message.id, "date": int(message.at.timestamp()), "chat": chat.json()}
        body |= {"from": message.sender.json()} | dict(message.also) | self._content(message)
        if message.keyboard:
            body["reply_markup"] = {"inline_keyboard": message.keyboard}
        if message.edited_at:
            body["edit_date"] = int(message.edited_at.timestamp())
        if message.thread_id is not None:
            body |= {"message_thread_id": message.thread_id, "is_topic_message": True}
        answered = self.messages.get((chat.id, message.reply_to or 0))
        if answered and not nested:
            body["reply_to_message"] = self.message_json(answered, nested=True)
            if chat.type == "supergroup" and message.thread_id is None:
                body["message_thread_id"] = answered.id  # a thread of replies, which is no topic
        return body

    def _content(self, message: Message) -> Json:
        if message.kind == "text":
            return {"text": message.text, "entities": message.entities} if message.text else {}
        body: Json = {"caption": message.text, "caption_entities": message.entities} if message.text else {}
        file = {"file_id": message.file_id, "file_unique_id": message.file_id}
        if message.kind == "photo":
            return body | {"photo": [file | {"width": 1, "height": 1}]}
        size = {"file_size": len(self.files[message.file_id])} if message.file_id in self.files else {}
        return body | {"document": file | {"file_name": message.file_name or "file"} | size}

    def _store(self, chat: Chat, sender: User, text: str, entities: list[Entity], **more: Any) -> Message:
        chat.last_id += 1
        message = Message(chat.last_id, chat.id, sender, self.clock(), text, entities, **more)
        self.messages[chat.id, message.id] = message
        return message

    def _service(self, chat: int, user: int, also: Json) -> Json:
        message = self._store(self.chats[chat], self.users[user], "", [], also=also)
        return self._push("message", self.message_json(message), seen=self.chats[chat].holds(self.bot.id))

    def _status(self, chat: Chat, user: int, status: str) -> Json:
        old, chat.statuses[user] = chat.statuses.get(user, "left"), status
        ours = user == self.bot.id or chat.type == "private"
        whom = self.bot.id if ours else user
        body: Json = {"chat": chat.json(), "from": self.users[user].json(), "date": int(self.clock().timestamp())}
        body |= {"old_chat_member": self.member_json(whom, old), "new_chat_member": self.member_json(whom, status)}
        seen = ours or chat.statuses.get(self.bot.id) == "administrator"
        return self._push("my_chat_member" if ours else "chat_member", body, seen=seen)

    def member_json(self, user: int, status: str) -> Json:
        body: Json = {"status": status, "user": self.users[user].json()}
        if status == "creator":
            return body | {"is_anonymous": False}
        if status == "kicked":
            return body | {"until_date": 0}
        if status != "administrator":
            return body
        rights = (
            "manage_chat delete_messages manage_video_chats restrict_members promote_members change_info invite_users"
        )
        stories = "post_stories edit_stories delete_stories pin_messages"
        return (
            body
            | {"can_be_edited": False, "is_anonymous": False}
            | {f"can_{r}": True for r in f"{rights} {stories}".split()}
        )

    def _seen(self, chat: Chat, message: Message) -> bool:
        """Privacy mode: in a group a bot that is no admin sees commands, mentions of it and replies to it."""
        if chat.type == "private" or chat.statuses.get(self.bot.id) == "administrator":
            return True
        answered = self.messages.get((chat.id, message.reply_to or 0))
        name = re.escape(self.bot.username or "")
        called = re.search(rf"(?:^|\s)(?:/\w+(?!\w|@)|/\w+@{name}\b|@{name}\b)", message.text, re.IGNORECASE)
        return chat.holds(self.bot.id) and bool(called or (answered and answered.sender is self.bot))

    def _push(self, kind: str, body: Json, *, seen: bool = True) -> Json:
        update = {"update_id": self.next_update_id, kind: body}
        self.next_update_id += 1
        wanted = kind in self.allowed if self.allowed else kind not in _UNLESS_ASKED
        if seen and wanted:
            self.pending.append(update)
            self.arrived.set()
        return update
