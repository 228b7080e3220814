"""What captions share: a picture's caption says what it shows, for those who cannot see it."""

from __future__ import annotations

from bot.i18n import Say

__all__ = ["MOST_CAPTION", "more"]

MOST_CAPTION = 1000  # characters; the chat takes 1024


def more(say: Say, count_n: int) -> str:
    """That so many are not shown."""
    return say.ngettext("And {n} more.", "And {n} more.", count_n)
