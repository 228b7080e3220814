"""Who else takes this bot's updates: a webhook that was set for its token before, or another process that polls."""

from __future__ import annotations

import asyncio
import logging
import random
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from telegram import Bot
from telegram.error import Conflict, TelegramError

__all__ = ["Rivals"]

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
