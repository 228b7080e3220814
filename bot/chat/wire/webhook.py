"""Updates that the platform brings by itself: what it is told about where to, and its proof that it is the platform.

Bot API 10.0, "setWebhook" and "Update".
"""

from __future__ import annotations

import asyncio
import contextlib
import hmac
import json
import logging
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from urllib.parse import urlsplit

from telegram import Bot
from telegram.error import InvalidToken, RetryAfter, TelegramError

from bot.chat.wire.api_call import seconds_of
from bot.chat.wire.inbox import store_all
from bot.chat.wire.updates import ALLOWED_UPDATES
from bot.storage.session import Database

_LOG = logging.getLogger(__name__)

#: The header in which the platform sends the secret back.
HEADER = "X-Telegram-Bot-Api-Secret-Token"
#: How many updates it may bring at once; it keeps those of one chat in order by itself.
AT_ONCE = 40
#: How often we look whether it still brings them here, s; a failure that is older than this is past.
LOOK_S = 300.0
_FIRST_PAUSE_S, _LONGEST_PAUSE_S = 1.0, 60.0


def secret_of(token: str) -> str:
    """What the platform shows with each update: known to every process that has the token, and to nobody else."""
    return hmac.new(token.encode(), b"webhook", "sha256").hexdigest()


def is_from_platform(token: str, shown: str | None) -> bool:
    """Whether the header holds the secret; takes as long whatever it holds."""
    return hmac.compare_digest(secret_of(token).encode(), (shown or "").encode("utf-8", "replace"))


async def taken(database: Database, body: bytes, now: Callable[[], datetime]) -> bool:
    """Keep one update before the platform is told that it has arrived; False when the body is no JSON at all."""
    try:
        update = json.loads(body)
    except (ValueError, RecursionError):
        return False
    await database.insist(lambda session: store_all(session, [update], now()))
    return True


async def hold(bot: Bot, url: str, stop: asyncio.Event, alive: Callable[[float], None] = lambda _s: None) -> None:
    """Have updates brought to `url` until stopped, and say in the log when the platform cannot bring them.

    It stays set at the end: another process may take what comes, or the platform keeps it for a day. alive: called with
    the seconds within which we are here again. Raises InvalidToken.
    """
    pause_s, is_new = _FIRST_PAUSE_S, True
    while not stop.is_set():
        try:
            await _ensure(bot, url, is_new=is_new)
            wait_s, pause_s, is_new = LOOK_S, _FIRST_PAUSE_S, False
        except InvalidToken:
            raise
        except TelegramError as error:
            asked_s = seconds_of(error) if isinstance(error, RetryAfter) else 0.0
            wait_s, pause_s = max(pause_s, asked_s), min(2 * pause_s, _LONGEST_PAUSE_S)
            _LOG.warning("the webhook cannot be set or seen (%s); again in %g s", type(error).__name__, wait_s)
        alive(wait_s)
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(stop.wait(), wait_s)


async def _ensure(bot: Bot, url: str, *, is_new: bool) -> None:
    """is_new: it is set in any case, since the platform does not say which secret it has."""
    found = await bot.get_webhook_info()
    if is_new or found.url != url or set(found.allowed_updates or ()) != set(ALLOWED_UPDATES):
        if found.url and found.url != url:
            _LOG.warning("updates went to %s; now they come here", urlsplit(found.url).hostname)
        await bot.set_webhook(
            url, secret_token=secret_of(bot.token), allowed_updates=list(ALLOWED_UPDATES), max_connections=AT_ONCE
        )
        return
    at = found.last_error_date
    if at is not None and datetime.now(UTC) - at.astimezone(UTC) < timedelta(seconds=LOOK_S):
        _LOG.warning(
            "the platform could not bring an update (%s); %d wait there. Does the proxy pass them on?",
            (found.last_error_message or "")[:100], found.pending_update_count,
        )  # fmt: skip
