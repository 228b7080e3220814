"""Invented members who answer what the bot asks them: some yes, some no, some nothing, some press twice."""

from __future__ import annotations

import random
from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cache

from bot.chat.wire.platform import MemoryApi
from bot.chat.wire.world import Message
from bot.i18n import say

__all__ = ["Neighbours", "Press"]

_YES, _NO, _DONE, _WHOLE = "I'll do it", "I can't", "Done", "All of this job"
#: The buttons that somebody presses under a question, and how many in ten do so.
_MANNERS: dict[tuple[str, ...], int] = {(_YES,): 5, (_NO,): 2, (): 2, (_YES, _YES): 1}
_WILL_BE_DONE = 0.8
#: Of those who have a list for the day, how many can't after all.
_WONT = 0.3


@dataclass(frozen=True, slots=True)
class Press:
    """A button that somebody means to press. at: not before this moment. message: as it stood when they read it."""

    at: datetime
    user: int
    message: Message
    button: str


@dataclass(slots=True)
class Neighbours:
    """users: accounts of members with the app. now: the garden's clock. pressed: (update id, press), in order.

    languages: those that they read; under a message in any other they press nothing.
    """

    api: MemoryApi
    users: Collection[int]
    now: Callable[[], datetime]
    chance: random.Random
    languages: Collection[str] = ("en",)
    pressed: list[tuple[int, Press]] = field(default_factory=list)
    _meant: list[Press] = field(default_factory=list)
    _read: set[tuple[int, int, int]] = field(default_factory=set)

    def live(self) -> None:
        """Read what is new or has changed, make up one's mind, and press what one meant to press by now."""
        for message in [*self.api.messages.values()]:
            version = message.chat_id, message.id, len(message.edits)
            if message.sender is self.api.bot and message.chat_id in self.users and version not in self._read:
                self._read.add(version)
                self._decide(message.chat_id, message)
        due = [press for press in self._meant if press.at <= self.now()]
        self._meant = [press for press in self._meant if press.at > self.now()]
        for press in due:
            update = self.api.press(press.user, press.message, press.button)
            self.pressed.append((update["update_id"], press))

    def forget(self, user: int) -> None:
        """Somebody does nothing any more."""
        self.users = [each for each in self.users if each != user]
        self._meant = [press for press in self._meant if press.user != user]

    def _decide(self, user: int, message: Message) -> None:
        labels = {key["text"] for row in message.keyboard for key in row}
        own = next((words for words in map(_buttons, self.languages) if words.keys() & labels), {})
        labels = {own.get(label, label) for label in labels}
        meant: tuple[str, ...] = ()
        if {_YES, _NO} <= labels:
            meant = self.chance.choices([*_MANNERS], [*_MANNERS.values()])[0]
        elif _WHOLE in labels:
            meant = (_WHOLE,)
        elif _DONE in labels and self.chance.random() < _WILL_BE_DONE:
            meant = (_NO,) if _NO in labels and self.chance.random() < _WONT else (_DONE,)
        shown = {english: label for label, english in own.items()}
        for button in (shown.get(one, one) for one in meant):
            at = self.now() + timedelta(minutes=self.chance.randrange(5, 240))
            self._meant.append(Press(at, user, replace(message), button))


@cache
def _buttons(language: str) -> dict[str, str]:
    """The English of each button that matters here, by its label in a language."""
    voice = say(language, "UTC")
    return {voice.gettext(english): english for english in (_YES, _NO, _DONE, _WHOLE)}
