"""What goes on failing: tried ever later, and said to a garden's organisers once, and so is its end."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.garden.everyone import tell_organisers
from bot.i18n import Say, say
from bot.services.look import quiet
from bot.services.warnings import official
from bot.storage.models import Garden

#: What fails for so long is no slip that the next look makes good.
SAID_AFTER = timedelta(hours=1)
#: A feed of official warnings that has not answered for so long: its silence must not be taken for safety.
FEED_SAID_AFTER = timedelta(hours=6)
#: Before the next try: doubled from the first, no longer than the last.
FIRST_WAIT, LONGEST_WAIT = timedelta(seconds=20), timedelta(minutes=15)


@dataclass(slots=True)
class Waits:
    """Which deed fails for which garden in this process, and when it is tried again."""

    _failures: dict[tuple[int, Hashable], tuple[int, datetime]] = field(default_factory=dict)

    def is_due(self, garden_id: int, deed: Hashable, now: datetime) -> bool:
        _, again_at = self._failures.get((garden_id, deed), (0, now))
        # An instant far ahead is from a clock that has been put right since.
        return now >= again_at or again_at - now > LONGEST_WAIT

    def failed(self, garden_id: int, deed: Hashable, now: datetime) -> None:
        times = self._failures.get((garden_id, deed), (0, now))[0] + 1
        self._failures[garden_id, deed] = times, now + min(FIRST_WAIT * 2.0 ** min(times - 1, 10), LONGEST_WAIT)

    def went_well(self, garden_id: int, deed: Hashable) -> None:
        self._failures.pop((garden_id, deed), None)

    def has(self, garden_id: int) -> bool:
        return any(failing == garden_id for failing, _ in self._failures)


async def note(session: AsyncSession, garden: Garden, now: datetime, *, fails: bool) -> None:
    """Keep since when it fails; say so after an hour, and say when it is over. Neither in the quiet hours."""
    if fails:
        garden.trouble_since_at = garden.trouble_since_at or now
        is_new = garden.trouble_said_at is None and now - garden.trouble_since_at >= SAID_AFTER
        if is_new and not _is_quiet(garden, now):
            await _tell(session, garden, _key(garden), _fails, now)
            garden.trouble_said_at = now
    elif garden.trouble_said_at is None:
        garden.trouble_since_at = None
    elif not _is_quiet(garden, now):
        await _tell(session, garden, _key(garden), _over, now)
        garden.trouble_since_at = garden.trouble_said_at = None


def _key(garden: Garden) -> str:
    return f"trouble:{garden.id}:{garden.trouble_since_at.isoformat() if garden.trouble_since_at else ''}"


def _is_quiet(garden: Garden, now: datetime) -> bool:
    try:
        return quiet(garden).ends_at(now) > now
    except Exception:  # it may be the garden's clock that cannot be read
        return False


async def _tell(session: AsyncSession, garden: Garden, key: str, words: Callable[[Say], str], now: datetime) -> None:
    await tell_organisers(
        session, garden, f"{key}:{words.__name__}", words, now, voiced=lambda _, language: say(language, "UTC")
    )


def _fails(voice: Say) -> str:
    return voice.gettext(
        "I am sorry. Something has been wrong on my side for an hour. I can't look at the forecast as I "
        "should, and I can't remind you. Please look at the forecast yourselves. Please remind each other, "
        "until I write again. The person who runs me can find the cause in my log."
    )


def _over(voice: Say) -> str:
    return voice.gettext("I can look at the forecast again, and I can remind you again. Thank you for waiting.")


async def about_clock(session: AsyncSession, garden: Garden, since_at: datetime, now: datetime, *, over: bool) -> None:
    """The machine's clock has been wrong for long, or is right again."""
    await _tell(session, garden, f"clock:{garden.id}:{since_at.isoformat()}", _right if over else _wrong, now)


async def about_feed(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """A feed of official warnings has not answered for long; said once, outside the quiet hours."""
    for feed in await official.feeds_of(session, garden.id):
        since_at = feed.answered_at or feed.named_at
        own = feed.garden_id == garden.id
        if own and feed.failures and feed.troubled_at is None and now - since_at >= FEED_SAID_AFTER:
            if _is_quiet(garden, now):
                continue
            feed.troubled_at = now
            await _tell(session, garden, f"feed:{feed.id}:{since_at.isoformat()}", _feed_is_silent, now)


def _feed_is_silent(voice: Say) -> str:
    return voice.gettext(
        "For some hours I could not read the official weather warnings. There may be a warning that I do not "
        "know about. Please look at your weather service yourselves. /official shows what is wrong."
    )


def _wrong(voice: Say) -> str:
    return voice.gettext(
        "I do not know what time it is, because the clock of my computer jumps. Until it is right, I send no "
        "warnings and no reminders. Please look at the forecast yourselves. The person who runs me has to set "
        "that clock."
    )


def _right(voice: Say) -> str:
    return voice.gettext("The clock of my computer is right again. I warn and remind you again.")
