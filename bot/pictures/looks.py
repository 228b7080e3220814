"""The colours of pictures, light and dark, and the contrast between two colours.

A colour never bears a meaning alone: shape, hatch or a label says the same.

What captions share: a picture's caption says what it shows, for those who cannot see it.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from bot.i18n import Say


@dataclass(frozen=True, slots=True)
class Colours:
    """Colours as "#rrggbb". paper, stripe: grounds; ink, quiet: text; the others: lines and shapes.

    Text reaches 4.5:1 on both grounds (WCAG 2.2, 1.4.3) and shapes 3:1 (1.4.11); `grid` only helps the eye and is
    exempt, since every value that it helps to read is also written.
    """

    paper: str
    stripe: str
    ink: str
    quiet: str
    grid: str
    rule: str
    first: str
    second: str
    third: str
    fourth: str


LIGHT = Colours(
    paper="#ffffff",
    stripe="#f1f4ee",
    ink="#1a201b",
    quiet="#4d5750",
    grid="#d3dad2",
    rule="#737d75",
    first="#1b5fa8",
    second="#94480a",
    third="#a01257",
    fourth="#24683a",
)
DARK = Colours(
    paper="#14191c",
    stripe="#1f262a",
    ink="#f3f5f1",
    quiet="#b9c2bb",
    grid="#39434a",
    rule="#87938c",
    first="#83bcf7",
    second="#f0ae62",
    third="#ff97c6",
    fourth="#84d29a",
)


def colours(dark: bool) -> Colours:
    return DARK if dark else LIGHT


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, "contrast ratio")."""
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, 0 to 1 (WCAG 2.2, "relative luminance")."""
    red, green, blue = (_linear(int(colour[index : index + 2], 16) / 255.0) for index in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


MOST_CAPTION = 1000  # characters; the chat takes 1024
_ROWS, _LETTERS = 12, 40  # as of any message: one screen of a phone (common practice, no source)


def has_room(said: str) -> bool:
    """Whether a phone shows all of it at once."""
    rows_n = sum(max(1, len(textwrap.wrap(line, _LETTERS))) for line in said.splitlines())
    return len(said) <= MOST_CAPTION and rows_n <= _ROWS


def more(say: Say, count_n: int) -> str:
    """That so many are not shown."""
    return say.ngettext("And {n} more.", "And {n} more.", count_n)
