"""The chat platform's HTML, read strictly: plain text and entities, or an error in the platform's own words.

Source: Bot API 10.0, "Formatting options, HTML style". Offsets and lengths count UTF-16 code units, as there.
"""

from __future__ import annotations

import re
from html import unescape
from typing import Any

_KINDS = {
    "b": "bold",
    "strong": "bold",
    "i": "italic",
    "em": "italic",
    "u": "underline",
    "ins": "underline",
    "s": "strikethrough",
    "strike": "strikethrough",
    "del": "strikethrough",
    "tg-spoiler": "spoiler",
    "code": "code",
    "pre": "pre",
    "a": "text_link",
    "blockquote": "blockquote",
}
_PIECE = re.compile(r"<(?P<close>/?)(?P<name>[^\s<>/]*)(?P<rest>[^<>]*)>|(?P<open><)|(?P<text>[^<]+)")
_HREF = re.compile(r"""^\s+href\s*=\s*["']([^"']+)["']\s*$""")
# The only named references that the platform knows; any other stays as it is written.
_REFERENCE = re.compile(r"&(?:lt|gt|amp|quot|#\d{1,7}|#[xX][0-9a-fA-F]{1,6});")
_MARK = re.compile(r"(?<![\w/@])(?:(/[A-Za-z0-9_]{1,32}(?:@\w{3,32})?)|(@\w{3,32}))(?!\w)")

Entity = dict[str, Any]


class MarkupError(ValueError):
    """The text is not HTML as the platform takes it; the message is the platform's own."""


def utf16_n(text: str) -> int:
    """Length in UTF-16 code units, which is how the platform counts."""
    return len(text.encode("utf-16-le")) // 2


def parse_html(html: str) -> tuple[str, list[Entity]]:
    """Plain text and entities. Raises MarkupError at an unknown, unbalanced or badly written tag."""
    text, entities, opened = "", list[Entity](), list[tuple[str, Entity]]()
    for piece in _PIECE.finditer(html):
        if piece["text"] is not None:
            text += _REFERENCE.sub(lambda found: unescape(found[0]), piece["text"])
        elif piece["open"] or not piece["close"]:
            opened.append(_opening(piece, html, utf16_n(text)))
        else:
            entities += _closed(piece, html, opened, utf16_n(text))
    if opened:
        raise MarkupError(f'Can\'t find end tag corresponding to start tag "{opened[-1][0]}"')
    return text, sorted(entities, key=lambda entity: (entity["offset"], -entity["length"]))


def _opening(piece: re.Match[str], html: str, offset: int) -> tuple[str, Entity]:
    name = (piece["name"] or "").lower()
    at = len(html[: piece.start()].encode())
    if name not in _KINDS:
        raise MarkupError(f'Unsupported start tag "{name}" at byte offset {at}')
    entity: Entity = {"type": _KINDS[name], "offset": offset, "length": 0}
    if name == "a":
        link = _HREF.match(piece["rest"])
        if link is None:
            raise MarkupError(f'Tag "a" at byte offset {at} must have attribute href in quotes')
        entity["url"] = unescape(link[1])
    return name, entity


def _closed(piece: re.Match[str], html: str, opened: list[tuple[str, Entity]], offset: int) -> list[Entity]:
    name, at = piece["name"].lower(), len(html[: piece.start()].encode())
    if not opened:
        raise MarkupError(f"Unexpected end tag at byte offset {at}")
    expected, entity = opened.pop()
    if name != expected:
        raise MarkupError(f'Unmatched end tag at byte offset {at}, expected "</{expected}>", found "</{name}>"')
    entity["length"] = offset - entity["offset"]
    return [entity] if entity["length"] else []


def strip_tags(html: str) -> str:
    """The text without its known tags, for when the platform refuses the HTML; never raises."""
    plain = re.sub(rf"</?(?:{'|'.join(_KINDS)})(?:\s[^<>]*)?>", "", html)
    return _REFERENCE.sub(lambda found: unescape(found[0]), plain)


def mark_plain(text: str) -> list[Entity]:
    """The entities that the platform finds by itself in what a person writes: commands and mentions."""
    return [
        {
            "type": "bot_command" if found[1] else "mention",
            "offset": utf16_n(text[: found.start()]),
            "length": utf16_n(found[0]),
        }
        for found in _MARK.finditer(text)
    ]
