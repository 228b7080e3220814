"""What a phone shows at once: as much of a list as fits, and the rest for a button."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bot.chat.html import lines
from bot.chat.warnings.brief import fits

__all__ = ["within"]


def within(
    first: Sequence[str | None], listed: Sequence[str], last: Callable[[int], Sequence[str | None]]
) -> tuple[str, int]:
    """(text, how many of `listed` are in it): as many as fit from the front, at least one. last: what stands below so
    many of them."""
    for shown_n in range(len(listed), 1, -1):
        text = lines([*first, *listed[:shown_n], *last(shown_n)])
        if fits(text):
            return text, shown_n
    shown_n = min(1, len(listed))
    return lines([*first, *listed[:shown_n], *last(shown_n)]), shown_n
