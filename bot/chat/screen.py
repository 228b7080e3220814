"""What a phone shows at once: as much of a list as fits, and the rest for a button."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from bot.chat.html import lines
from bot.chat.request import Request
from bot.chat.warnings.brief import fits
from bot.chat.wire.message import Button
from bot.i18n import Say

#: Where a paragraph longer than a screen may be parted.
_SENTENCE = re.compile(r"(?<=[.!?؟।])\s+")


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


async def show(
    request: Request, text: str, data: str, buttons: Sequence[Sequence[Button]] = (), *, privately: bool = False
) -> None:
    """Answer with the screen of a text that was asked for, and a button to the next. data: of a button that only shows
    this text: it is pressed again for each screen.
    """
    found = pages(text)
    n = min(request.screen, len(found) - 1)
    rows = [*more(request.say, data, n, len(found)), *buttons]
    await (request.whisper if privately else request.reply)(found[n], rows)


def more(say: Say, data: str, n: int, screens_n: int) -> list[list[Button]]:
    """The way on from screen n, counted from 0."""
    return [[(say.gettext("Show more"), f"more:{n + 1}:{data}")]] if n + 1 < screens_n else []


def pages(text: str) -> list[str]:
    """A text as screens of a phone, parted where a line ends, and within a longer line where a sentence does."""
    found: list[list[str]] = [[]]
    for line in _short(text):
        if found[-1] and not fits("\n".join([*found[-1], line])):
            found.append([])
        if found[-1] or line:  # no screen begins with an empty line
            found[-1].append(line)
    return ["\n".join(page).rstrip("\n") for page in found]


def _short(text: str) -> Iterator[str]:
    for line in text.split("\n"):
        part = ""
        for sentence in _SENTENCE.split(line):
            longer = f"{part} {sentence}".strip()
            if part and not fits(longer):
                yield part
                longer = sentence
            part = longer
        yield part
