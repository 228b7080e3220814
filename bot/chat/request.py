"""One update being handled: who speaks, in which garden, in which language, and how to answer them."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Update
from telegram.ext import Application, CallbackContext, ExtBot

from bot.chat.garden.group_role import Standing
from bot.chat.wire.flood import Flood, Room
from bot.chat.wire.message import Button, Urgency, already, edit, hand_over, post
from bot.crops.find import fold
from bot.i18n import Say, best_language, say
from bot.services.people.membership import reachable
from bot.services.weather.garden_forecast import Source
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member, Outbox, Person
from bot.storage.people import members
from bot.storage.wire import said


@dataclass(slots=True)
class Request:
    """Everything a handler works with. It never calls the network: answers are rows of the same transaction.

    garden and member are None for somebody who belongs to none; choices: gardens to choose from, when they belong to
    several and have not said of which they speak. again: an earlier update of theirs, to be handled now that they have
    said so. spoken: other words that mean what they wrote. standing: of whoever pressed, in the group, as the platform
    says; None where it was not asked or can't say.
    flood: how many answers each group has had of late. screen: which of a long answer's screens is asked for, from 0.
    """

    update: Update
    session: AsyncSession
    now: datetime
    source: Source
    person: Person | None
    garden: Garden | None
    member: Member | None
    choices: Sequence[Garden]
    say: Say
    bot_name: str
    answers: int = field(default=0)
    again: Update | None = None
    standing: Standing | None = None
    flood: Flood | None = None
    spoken: str | None = None
    screen: int = 0

    async def as_if(self, text: str, answer: Callable[[Request], Awaitable[None]]) -> None:
        """Answer as to other words, such as a command that says the same."""
        self.spoken = text
        await answer(self)

    @property
    def private(self) -> bool:
        chat = self.update.effective_chat
        return chat is None or chat.type == "private"

    @property
    def text(self) -> str:
        """What was written, without mentions of the bot; empty for anything but a message."""
        return _named(self.bot_name).sub("", self._words).strip() if self.spoken is None else self.spoken

    @property
    def own_name(self) -> frozenset[str]:
        """The folded words of the writer's name."""
        return frozenset(fold(self.member.person.name).split()) if self.member is not None else frozenset()

    @property
    def _words(self) -> str:
        message = self.update.message
        words = (message.text or message.caption or "") if message else ""
        return words.replace("\N{NO-BREAK SPACE}", " ")  # as it stands in what is copied from a message of ours

    @property
    def addressed(self) -> bool:
        """Whether a message is meant for the bot: in a group only one that names it, or answers one of its own."""
        others = re.match(r"/\w+@(\w+)", self._words)
        if others is not None and others[1].casefold() != self.bot_name.casefold():
            return False
        return self.private or self.answered_id is not None or _named(self.bot_name).search(self._words) is not None

    @property
    def answered_id(self) -> int | None:
        """The message of the bot's own that this one replies to."""
        message = self.update.message
        answered = message.reply_to_message if message else None
        # In a forum whatever is no reply counts as one to the message that opened its topic.
        if answered is None or answered.from_user is None or answered.forum_topic_created is not None:
            return None
        ours = (answered.from_user.username or "").casefold() == self.bot_name.casefold()
        return answered.message_id if ours else None

    @property
    def photo_id(self) -> str | None:
        """The platform's reference of a photo that came with the message; the photo itself is never stored."""
        message = self.update.message
        return message.photo[-1].file_id if message and message.photo else None

    async def hand_over(self, file: str, name: str, caption: str) -> Outbox | None:
        """Answer with a file to keep. file: base64."""
        place = await self.place()
        if place is None:
            return None
        self.answers += 1
        return await hand_over(
            self.session,
            self.say,
            key=f"reply:{self.update.update_id}:{self.answers}",
            chat_id=place[0],
            thread_id=place[1],
            picture=False,
            file=file,
            name=name,
            caption=caption,
            now=self.now,
            garden_id=self.garden.id if self.garden else None,
        )

    @property
    def topic(self) -> int | None:
        """The forum topic that the person speaks in."""
        message = self.update.effective_message
        inside = getattr(message, "is_topic_message", False)
        return getattr(message, "message_thread_id", None) if inside else None

    def speak(self, language: str) -> None:
        """Go on in another language."""
        self.say = say(language, self.say.zone.key, self.say.wind_unit, self.garden.wordings if self.garden else None)

    async def known_person(self) -> Person | None:
        """Who speaks, looked up anew: they may have joined a moment ago."""
        user = self.update.effective_user
        return await members.person_by_user(self.session, user.id) if user else None

    async def member_of(self, garden_id: int) -> Member | None:
        """The speaker as a member of the garden that a button speaks of, which becomes the turn's garden."""
        user = self.update.effective_user
        if self.garden is None or self.garden.id != garden_id:
            await gardens.hold(self.session, garden_id)
        found = await members.of_user(self.session, user.id, garden_id) if user else ()
        garden = await gardens.by_id(self.session, garden_id)
        if not found or garden is None:
            return None
        self.garden, self.member = garden, found[0]
        _heard(self.member, self.now)
        self.say = say(self.say.language, garden.zone, garden.wind_unit, garden.wordings)
        return self.member

    async def reply(self, text: str, buttons: Sequence[Sequence[Button]] = ()) -> Outbox | None:
        """Answer where the person spoke."""
        place = await self.place()
        return await self._post(place[0], text, buttons, thread_id=place[1]) if place else None

    async def place(self) -> tuple[int, int | None] | None:
        """Chat and topic of an answer: where the person spoke, or privately when the group has had many of them."""
        chat, user = self.update.effective_chat, self.update.effective_user
        if chat is None:
            return None
        if self.private or self.flood is None or user is None or self.update.message is None:
            return chat.id, self.topic
        room = self.flood.room(chat.id, user.id, f"{self.update.update_id}:{self.answers}", self.now)
        if room is Room.HERE:
            return chat.id, self.topic
        if room is Room.WORD:
            word = self.say.gettext(
                "That is a lot at once. For a minute I answer privately, so that there is room here for others."
            )
            await self._post(chat.id, word, (), thread_id=self.topic)
        return (user.id, None) if self.member is not None and reachable(self.member) else None

    async def change(self, text: str, buttons: Sequence[Sequence[Button]] = ()) -> Outbox | None:
        """Change the message whose button was pressed; one that is not kept any more is answered anew."""
        query = self.update.callback_query
        message = query.message if query else None
        row = await said.at(self.session, message.chat.id, message.message_id) if message else None
        if row is None:
            return await self.reply(text, buttons)
        self.answers += 1
        key = f"reply:{self.update.update_id}:{self.answers}"
        return await edit(
            self.session, key=key, row=row, text=text, now=self.now, buttons=buttons, urgency=Urgency.REPLY
        )

    async def whisper(self, text: str, buttons: Sequence[Sequence[Button]] = ()) -> Outbox | None:
        """Answer privately, for what is nobody else's business."""
        user = self.update.effective_user
        return await self._post(user.id, text, buttons) if user else None

    async def _post(
        self, chat_id: int, text: str, buttons: Sequence[Sequence[Button]], thread_id: int | None = None
    ) -> Outbox | None:
        self.answers += 1
        return await post(
            self.session,
            key=f"reply:{self.update.update_id}:{self.answers}",
            chat_id=chat_id,
            thread_id=thread_id,
            text=text,
            now=self.now,
            buttons=buttons,
            urgency=Urgency.REPLY,
            again=already(self.say),
            garden_id=self.garden.id if self.garden else None,
        )


def _named(bot_name: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w)@{re.escape(bot_name)}\b", re.IGNORECASE)


class Context(CallbackContext[ExtBot[None], dict[Any, Any], dict[Any, Any], dict[Any, Any]]):
    """The chat library's context, with our request in it."""

    request: Request

    @classmethod
    def from_update(cls, update: object, application: Application[Any, Any, Any, Any, Any, Any]) -> Context:
        context = super().from_update(update, application)
        assert isinstance(update, Update)
        context.request = application.bot_data[update.update_id]
        return context


async def begin(update: Update, session: AsyncSession, source: Source, now: datetime, bot_name: str) -> Request:
    """Look up who speaks and of which garden."""
    user, chat = update.effective_user, update.effective_chat
    belongs = await members.of_user(session, user.id) if user else ()
    person = belongs[0].person if belongs else await members.person_by_user(session, user.id) if user else None
    garden, choices = await _garden(session, update, person)
    if garden is not None:
        await gardens.hold(session, garden.id)
    member = None
    if user is not None and garden is not None:
        member = next(iter(await members.of_user(session, user.id, garden.id)), None)
    if person is not None and chat is not None and chat.type == "private":
        # Whoever writes privately has pressed Start, and can be written to.
        if person.private_ok_at is None:
            person.private_ok_at = now
        if person.blocked_at is not None:
            person.blocked_at = None
    _heard(member, now)
    language = person.language if person else best_language(user.language_code if user else None)
    zone, unit = (garden.zone, garden.wind_unit) if garden else ("UTC", "mph")
    voice = say(language, zone, unit, garden.wordings if garden else None)
    return Request(update, session, now, source, person, garden, member, choices, voice, bot_name)


def _heard(member: Member | None, now: datetime) -> None:
    """Note that somebody is there; the day is enough."""
    if member is not None and (member.heard_at is None or now - member.heard_at > timedelta(days=1)):
        member.heard_at = now


async def _garden(
    session: AsyncSession, update: Update, person: Person | None
) -> tuple[Garden | None, Sequence[Garden]]:
    """Under an answer of ours, the garden that it spoke of; in a group, the group's; in private, the only one, or the
    one last chosen. Where a group or a person has several, those to choose from."""
    chat, message = update.effective_chat, update.effective_message
    mine = await members.gardens_of(session, person.user_id) if person is not None and person.user_id else ()
    if update.callback_query is not None and message is not None:
        row = await said.at(session, message.chat.id, message.message_id)
        if row is not None and row.garden_id is not None:
            return await gardens.by_id(session, row.garden_id), ()
    if chat is not None and chat.type != "private":
        thread = message.message_thread_id if message is not None and message.is_topic_message else None
        here = await gardens.in_chat(session, chat.id, thread)
        own = [garden for garden in here if garden in mine]
        return _one_of(own, person) if own else (next(iter(here), None), ())
    return _one_of(mine, person)


def _one_of(mine: Sequence[Garden], person: Person | None) -> tuple[Garden | None, Sequence[Garden]]:
    """The only one, or the one last chosen; else none, and all to choose from."""
    if len(mine) == 1:
        return mine[0], ()
    chosen = next((garden for garden in mine if person is not None and garden.id == person.garden_id), None)
    return chosen, () if chosen else mine
