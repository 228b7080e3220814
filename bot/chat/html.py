"""User text is data: escaped wherever it meets markup, bounded, and no link, command or mention."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from html import escape

from bot.core.people.names import untappable

#: The platform takes 4096 characters after parsing; what is longer is cut at a line, with a word that it was.
TEXT_N = 3900
#: Unicode UAX #9: signs that turn the direction of all that follows, or end what keeps the text around a name in order.
_TURNING = dict.fromkeys((*range(0x202A, 0x202F), *range(0x2066, 0x206A)))


@lru_cache(4096)
def safe(text: str, most: int = 80) -> str:
    """What a person wrote, cut to `most` characters, harmless in HTML, and with nothing in it to tap."""
    return escape(untappable(_cut(text.translate(_TURNING), most)), quote=False)


def ours(text: str, most: int = 80) -> str:
    """Text of our own, such as a source with its address: cut and harmless in HTML."""
    return escape(_cut(text, most), quote=False)


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"


def bold(text: str) -> str:
    return f"<b>{text}</b>"


def mention(name: str, user_id: int) -> str:
    """A name that rings the phone of whoever it belongs to."""
    return f'<a href="tg://user?id={user_id}">{safe(name, 40)}</a>'


def lines(parts: Iterable[str | None]) -> str:
    """Parts as lines, empty ones left out; a message too long for the platform ends at a whole line."""
    kept: list[str] = []
    length = 0
    for part in parts:
        if part is None:
            continue
        length += len(part) + 1
        if length > TEXT_N:
            kept.append("…")
            break
        kept.append(part)
    return "\n".join(kept)
