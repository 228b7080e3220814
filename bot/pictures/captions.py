"""What captions share: a picture's caption says what it shows, for those who cannot see it."""

from __future__ import annotations

import textwrap

from bot.i18n import Say

__all__ = ["MOST_CAPTION", "has_room", "more"]

MOST_CAPTION = 1000  # characters; the chat takes 1024
_ROWS, _LETTERS = 12, 40  # as of any message: one screen of a phone (common practice, no source)


def has_room(said: str) -> bool:
    """Whether a phone shows all of it at once."""
    rows_n = sum(max(1, len(textwrap.wrap(line, _LETTERS))) for line in said.splitlines())
    return len(said) <= MOST_CAPTION and rows_n <= _ROWS


def more(say: Say, count_n: int) -> str:
    """That so many are not shown."""
    return say.ngettext("And {n} more.", "And {n} more.", count_n)
