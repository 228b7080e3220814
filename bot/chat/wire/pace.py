"""How fast to send, so that the platform never has to say "too many requests"; and what to do when it does.

Bot FAQ of the platform, "My bot is hitting limits, how do I avoid this?" (read via a copy, 2026-11-25): about 30
messages a second over all, one a second in a chat with short bursts let through, 20 a minute in a group.
"""

from __future__ import annotations

import math
import time
from collections import defaultdict, deque
from collections.abc import Callable
from typing import Self

from bot.storage.wire.outbox_claims import Window

# Each a little inside the limit: what leaves us evenly arrives less so.
PER_S = 29.1
STARTS: Window = (30, 1.03)
CHAT: Window = (3, 3.2)
GROUP: Window = (20, 61.0)


class Pace:
    """Counts what is sent. Asked before a send: which chats to leave alone, and how long until the next slot."""

    def __init__(
        self,
        *,
        per_s: float = PER_S,
        chat: Window = CHAT,
        group: Window = GROUP,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._gap_s, self._windows, self._clock = 1 / per_s, (chat, group), clock
        self._processes_n = 1
        self._slot_s = self._all_until_s = -math.inf
        self._starts: deque[float] = deque(maxlen=STARTS[0])
        self._sent: dict[int, deque[float]] = defaultdict(deque)
        self._until_s: dict[int, float] = {}

    @classmethod
    def off(cls) -> Self:
        """No limit of our own, for a platform in memory."""
        return cls(per_s=math.inf, chat=(1, 0.0), group=(1, 0.0))

    def share(self, processes_n: int) -> None:
        """So many processes send with one token: each takes its part of what it may over all."""
        self._gap_s *= processes_n / self._processes_n
        self._processes_n = processes_n

    def shared_limits(self, chat_id: int) -> tuple[Window, ...]:
        """Of a chat that other processes send to as well, so that only the rows know how much; none while we are alone."""
        return self._limits(chat_id) if self._processes_n > 1 else ()

    def wait_s(self) -> float:
        """Seconds until the next free slot, 0 for now."""
        return max(0.0, self._slot_s - self._clock())

    def paused_s(self) -> float:
        """Seconds for which the platform wants nothing from us at all."""
        return max(0.0, self._all_until_s - self._clock())

    def reserve(self, chat_id: int) -> float:
        """Take the next slot for one send; gives the seconds until it may leave."""
        now = self._clock()
        leaves_s = max(self._slot_s, now)
        self._slot_s = leaves_s + self._gap_s
        self._sent[chat_id].append(leaves_s)
        return leaves_s - now

    def start(self) -> float:
        """Count a call as begun and give 0; or give the seconds to wait, if calls that were held up came too close."""
        now = self._clock()
        most_n = max(1, STARTS[0] // self._processes_n)
        if self._gap_s and len(self._starts) >= most_n and (wait_s := self._starts[-most_n] + STARTS[1] - now) > 0:
            return wait_s
        self._starts.append(now)
        return 0.0

    def cooling(self) -> dict[int, float]:
        """Chats to leave alone, each with the seconds left."""
        now = self._clock()
        for chat_id in [chat_id for chat_id, sent in self._sent.items() if self._is_over(chat_id, sent, now)]:
            del self._sent[chat_id]
        self._until_s = {chat_id: until_s for chat_id, until_s in self._until_s.items() if until_s > now}
        ready_s = {chat_id: self._ready_s(chat_id, sent) for chat_id, sent in self._sent.items()}
        for chat_id, until_s in self._until_s.items():
            ready_s[chat_id] = max(until_s, ready_s.get(chat_id, until_s))
        return {chat_id: at_s - now for chat_id, at_s in ready_s.items() if at_s > now}

    def pause(self, chat_id: int, seconds: float) -> None:
        """The platform answered 429. It does not say whether it means the chat or all of us: the chat waits, and all
        wait once a second chat is refused while the first one waits."""
        now = self._clock()
        if any(until_s > now for other, until_s in self._until_s.items() if other != chat_id):
            self._all_until_s = max(self._all_until_s, now + seconds)
        self._until_s[chat_id] = now + seconds

    def _limits(self, chat_id: int) -> tuple[Window, ...]:
        return self._windows if chat_id < 0 else self._windows[:1]

    def _ready_s(self, chat_id: int, sent: deque[float]) -> float:
        return max(
            (sent[-most] + period_s for most, period_s in self._limits(chat_id) if len(sent) >= most), default=-math.inf
        )

    def _is_over(self, chat_id: int, sent: deque[float], now: float) -> bool:
        """Drop what no window sees any more; true when nothing is left."""
        longest_s = max(period_s for _, period_s in self._limits(chat_id))
        while sent and sent[0] + longest_s <= now:
            sent.popleft()
        return not sent
