"""One person's hundred questions in the group leave room for another's note: beyond a few a minute, answers go privately.

What was said is still done; only the group's twenty messages a minute are shared out. Warnings, asks, thanks and what is
said to a press are no answers to a message, and so never counted. Kept in memory: it is of use for a minute, a restart
forgives it, and the inbox holds who wrote only inside JSON.
"""

from __future__ import annotations

from collections import OrderedDict, deque
from datetime import datetime, timedelta
from enum import Enum, auto

#: Answers a minute in a group, to one person and to all: the platform's limit of 20 leaves the rest to warnings.
PERSON_N, CHAT_N = 5, 14
_SPAN = timedelta(minutes=1)
#: Groups that are remembered; the one longest silent is let go.
_GROUPS_N = 1000


class Room(Enum):
    HERE = auto()
    WORD = auto()  # no more, which is said once
    ELSEWHERE = auto()


class Flood:
    """Counts the answers given in each group."""

    def __init__(self) -> None:
        self._given: OrderedDict[int, deque[tuple[datetime, int, str]]] = OrderedDict()
        self._refused: OrderedDict[tuple[int, int], tuple[datetime, str]] = OrderedDict()

    def room(self, chat_id: int, user_id: int, answer: str, now: datetime) -> Room:
        """Whether this answer may be given in the group. An answer that is tried again is judged as before."""
        given = self._given.setdefault(chat_id, deque())
        self._given.move_to_end(chat_id)
        if len(self._given) > _GROUPS_N:
            self._given.popitem(last=False)
        while given and now - given[0][0] >= _SPAN:
            given.popleft()
        theirs = sum(whose == user_id for _, whose, _ in given)
        if any(one == answer for _, _, one in given):
            return Room.HERE
        if theirs < PERSON_N and len(given) < CHAT_N:
            given.append((now, user_id, answer))
            return Room.HERE
        return self._beyond((chat_id, user_id if theirs >= PERSON_N else 0), answer, now)

    def _beyond(self, whose: tuple[int, int], answer: str, now: datetime) -> Room:
        """Said once, until a minute has passed without any more."""
        before = self._refused.pop(whose, None)
        said = before is not None and now - before[0] < _SPAN and before[1] != answer
        self._refused[whose] = now, before[1] if said and before is not None else answer
        if len(self._refused) > _GROUPS_N:
            self._refused.popitem(last=False)
        return Room.ELSEWHERE if said else Room.WORD
