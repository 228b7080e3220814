"""A surface for a phone: 720 px wide, so that it is sharp at 360; mirrored as a whole for right-to-left languages.

All lengths are px of the finished picture; x counts from the side on which the language begins to read. Drawn at twice
the size and reduced, so that slants are smooth. Draws with Pillow: only the worker process may import this.

Which way each stretch of a line runs, by the bidirectional algorithm of Unicode (UAX #9) as fpdf2 has it.

Pillow leaves this to the FriBiDi library of the machine, of which version 1.0.8 turns round a number that comes after an
isolated Arabic name. Only the worker process may import this.

The letters that pictures are set in: Noto Sans, the fonts of several scripts in one file (tests/make_fonts.py).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache, lru_cache
from io import BytesIO
from itertools import groupby
from pathlib import Path

from anyascii import anyascii
from fontTools.ttLib import TTFont
from fpdf.bidi import BidiParagraph, auto_detect_base_direction
from fpdf.enums import TextDirection
from PIL import Image, ImageDraw, ImageFont, features

from bot.pictures.looks import Colours

_FIRST_STRONG, _POP = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
_LEFT, _RIGHT = "\N{LEFT-TO-RIGHT ISOLATE}", "\N{RIGHT-TO-LEFT ISOLATE}"
_ISOLATES = {_FIRST_STRONG, _POP, _LEFT, _RIGHT}
#: Bidirectional classes that need no thought where the line runs from left to right begin before this letter: Hebrew.
_FIRST_LEFTWARD = "\u0590"


@lru_cache(2048)
def runs(line: str, *, right_to_left: bool) -> tuple[tuple[str, bool], ...]:
    """The stretches of a line from the left of the picture to its right: (text, whether it runs from right to left)."""
    if not right_to_left and all(sign < _FIRST_LEFTWARD for sign in line):
        return ((line, False),)
    base = TextDirection.RTL if right_to_left else TextDirection.LTR
    signs = BidiParagraph(text=line, base_direction=base).get_characters_with_embedding_level()
    levels = [
        (level, "".join(one.character for one in some if one.character not in _ISOLATES))
        for level, some in groupby(signs, key=lambda one: one.embedding_level)
    ]
    return tuple((text, level % 2 == 1) for level, text in _from_the_left(levels) if text)


def _from_the_left(levels: Sequence[tuple[int, str]]) -> list[tuple[int, str]]:
    """Rule L2: from the highest level to the lowest odd one, whatever lies at it or above is turned round."""
    shown = list(levels)
    for level in range(max((level for level, _ in shown), default=0), 0, -1):
        turned: list[tuple[int, str]] = []
        for is_at, some in groupby(shown, key=lambda one: one[0] >= level):
            stretch = list(some)
            turned += reversed(stretch) if is_at else stretch
        shown = turned
    return shown


def carried(lines: Sequence[str]) -> list[str]:
    """The lines of a paragraph, each by itself: what is isolated on one and goes on on the next is isolated there too."""
    out, begun = [], list[str]()
    whole, at = "\n".join(lines), 0
    for line in lines:
        before, said = "".join(begun), ""
        for n, sign in enumerate(line):
            shown = sign
            if sign == _FIRST_STRONG:
                found = auto_detect_base_direction(whole[at + n + 1 :].replace("\n", " "), stop_at_pdi=True)
                shown = _RIGHT if found is TextDirection.RTL else _LEFT
            if shown in (_LEFT, _RIGHT):
                begun.append(shown)
            elif shown == _POP and begun:
                begun.pop()
            said += shown
        out.append(before + said + _POP * len(begun))
        at += len(line) + 1
    return out


_FONTS = Path(__file__).parent / "fonts"
REGULAR = _FONTS / "GatepostSans-Regular.ttf"
BOLD = _FONTS / "GatepostSans-Bold.ttf"


def plain(words: str) -> str:
    """One line of what the fonts can show: letters of other scripts in Latin ones, other signs left out. No-break spaces
    stay."""
    kept = "".join(map(_shown, words.replace("\n", " ")))
    return " ".join(part for part in kept.split(" ") if part)


def _shown(sign: str) -> str:
    if ord(sign) in _letters():
        return sign
    return anyascii(sign) if unicodedata.category(sign)[0] in "LN" else ""


@cache
def _letters() -> frozenset[int]:
    """Every sign that the fonts have a shape for."""
    with TTFont(REGULAR, lazy=True) as font:
        return frozenset(font.getBestCmap())


WIDTH = 720
GAP = 24  # free edge on every side
LEAST_TEXT = 22  # 11 px on a screen 360 px wide
_HEIGHT = 3000  # more than any picture of ours; what is not used is cut off
_FINE = 2
#: From Hebrew on to the further Latin letters are the scripts whose letters change by their neighbours or run leftward.
_FIRST_SHAPED, _NEXT_SIMPLE = "\u0590", "\u1e00"


class Fill(Enum):
    """How a bar is filled; told apart without colour."""

    HOLLOW = "hollow"
    SOLID = "solid"
    SLANTED = "slanted"
    DOTTED = "dotted"


@dataclass(frozen=True, slots=True)
class Box:
    """Where a text lies on the finished picture, left to right and top to bottom, and its size."""

    left: float
    top: float
    right: float
    bottom: float
    words: str
    size: int

    def overlaps(self, other: Box) -> bool:
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )


class Sheet:
    """texts: every text drawn so far. Raises RuntimeError where text cannot be set as its script wants it."""

    def __init__(self, look: Colours, *, right_to_left: bool) -> None:
        self.look = look
        self.texts: list[Box] = []
        self._right_to_left = right_to_left
        self._image = Image.new("RGB", (WIDTH * _FINE, _HEIGHT * _FINE), look.paper)
        self._draw = ImageDraw.Draw(self._image)

    def png(self, height: float) -> bytes:
        """The picture down to `height`."""
        cut = self._image.crop((0, 0, WIDTH * _FINE, round(height) * _FINE)).reduce(_FINE)
        out = BytesIO()
        cut.quantize(128).save(out, "PNG", optimize=True)
        return out.getvalue()

    def width(self, words: str, size: int, *, bold: bool = False) -> float:
        font = self._font(size, bold)
        return sum(font.getlength(run, direction=way) for run, way in self._runs(words)) / _FINE

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: int,
        *,
        bold: bool = False,
        ink: str | None = None,
        ground: str | None = None,
        anchor: str = "start",
    ) -> None:
        """One line with its top at y; x is where it starts, its middle or where it ends ("start", "middle", "end").

        ground: a colour laid under it, so that lines stop short of it.
        """
        length = self.width(words, size, bold=bold)
        start = x - {"start": 0.0, "middle": length / 2, "end": length}[anchor]
        left, right = self._span(start, start + length)
        bottom = y + size * 1.2
        if ground is not None:
            self._draw.rectangle(_fine(left - 3, y - 1, right + 3, bottom + 1), ground)
        font = self._font(size, bold)
        at, base = left * _FINE, (y + size) * _FINE
        for run, way in self._runs(words):
            self._draw.text((at, base), run, ink or self.look.ink, font, anchor="ls", direction=way)
            at += font.getlength(run, direction=way)
        self.texts.append(Box(left, y, right, bottom, words, size))

    def paragraph(
        self,
        x: float,
        y: float,
        words: str,
        size: int,
        width: float,
        *,
        bold: bool = False,
        ink: str | None = None,
        most: int = 9,
    ) -> float:
        """Lines of at most `width`, at most so many; what is left out ends in an ellipsis. Gives the y below them."""
        for line in self.wrapped(words, size, width, bold=bold, most=most):
            self.text(x, y, line, size, bold=bold, ink=ink)
            y += round(size * 1.3)
        return y

    def wrapped(self, words: str, size: int, width: float, *, bold: bool = False, most: int = 9) -> list[str]:
        lines = [""]
        for word in plain(words).split(" "):  # not at no-break spaces
            longer = f"{lines[-1]} {word}".strip()
            if self.width(longer, size, bold=bold) <= width:
                lines[-1] = longer
            elif lines[-1]:
                lines.append(word)
            else:
                lines[-1] = word
        shown = lines[:most]
        if len(lines) > most:
            shown[-1] += "…"
        return carried([self._shortened(line, size, width, bold) for line in shown])

    def box(self, x: float, y: float, width: float, height: float, fill: str) -> None:
        left, right = self._span(x, x + width)
        self._draw.rectangle(_fine(left, y, right, y + height), fill)

    def line(self, x: float, y: float, to_x: float, to_y: float, colour: str, thick: float = 2) -> None:
        (start, _), (end, _) = self._span(x, x), self._span(to_x, to_x)
        self._draw.line(_fine(start, y, end, to_y), colour, round(thick * _FINE))

    def dashes(self, x: float, y: float, to_y: float, colour: str) -> None:
        """An upright dashed line."""
        while y < to_y:
            self.line(x, y, x, min(y + 9, to_y), colour, 3)
            y += 15

    def bar(self, x: float, y: float, width: float, height: float, colour: str, fill: Fill, ground: str) -> None:
        """An outlined bar, filled in its own way."""
        left, right = self._span(x, x + width)
        size = (max(2, round((right - left) * _FINE)), round(height * _FINE))
        tile = Image.new("RGB", size, colour if fill is Fill.SOLID else ground)
        draw = ImageDraw.Draw(tile)
        _FILLINGS.get(fill, _nothing)(draw, size, colour)
        draw.rectangle((0, 0, size[0] - 1, size[1] - 1), outline=colour, width=3)
        self._image.paste(tile, (round(left * _FINE), round(y * _FINE)))

    def disc(self, x: float, y: float, radius: float, colour: str, halo: str) -> None:
        (middle, _) = self._span(x, x)
        for reach, fill in ((radius + 3, halo), (radius, colour)):
            self._draw.ellipse(_fine(middle - reach, y - reach, middle + reach, y + reach), fill)

    def diamond(self, x: float, y: float, radius: float, colour: str, halo: str) -> None:
        (middle, _) = self._span(x, x)
        for reach, fill in ((radius + 4, halo), (radius, colour)):
            around = ((0.0, -reach), (reach, 0.0), (0.0, reach), (-reach, 0.0))
            self._draw.polygon([((middle + right) * _FINE, (y + down) * _FINE) for right, down in around], fill)

    def flag(self, x: float, y: float, colour: str) -> None:
        """A small triangle that points down to (x, y)."""
        (middle, _) = self._span(x, x)
        self._draw.polygon(
            [*_points(_fine(middle - 8, y - 12, middle + 8, y - 12)), (middle * _FINE, y * _FINE)], colour
        )

    def _runs(self, words: str) -> list[tuple[str, str | None]]:
        if not features.check("raqm"):
            if self._right_to_left or any(_FIRST_SHAPED <= sign < _NEXT_SIMPLE for sign in words):
                raise RuntimeError("this script needs the FriBiDi library: install it (Debian: libfribidi0)")
            return [(words, None)]
        found = runs(words, right_to_left=self._right_to_left)
        return [(run, "rtl" if is_leftward else "ltr") for run, is_leftward in found]

    def _span(self, start: float, end: float) -> tuple[float, float]:
        """Left and right on the picture of a stretch in the direction of reading."""
        return (WIDTH - end, WIDTH - start) if self._right_to_left else (start, end)

    def _shortened(self, line: str, size: int, width: float, bold: bool) -> str:
        """The line cut at a word, or within one when there is only one, until it fits."""
        while self.width(line, size, bold=bold) > width and len(line) > 2:
            kept = line.removesuffix("…")
            line = (kept.rpartition(" ")[0] or kept[:-1]).rstrip(" ,;:") + "…"
        return line

    def _font(self, size: int, bold: bool) -> ImageFont.FreeTypeFont:
        return _font(size * _FINE, bold)


@cache
def _font(size: int, bold: bool) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(BOLD if bold else REGULAR, size)


def _fine(left: float, top: float, right: float, bottom: float) -> tuple[float, float, float, float]:
    return left * _FINE, top * _FINE, right * _FINE, bottom * _FINE


def _points(box: tuple[float, float, float, float]) -> list[tuple[float, float]]:
    return [(box[0], box[1]), (box[2], box[3])]


_Filling = Callable[[ImageDraw.ImageDraw, tuple[int, int], str], None]


def _nothing(_draw: ImageDraw.ImageDraw, _size: tuple[int, int], _colour: str) -> None:
    """Hollow, or solid already."""


def _slants(draw: ImageDraw.ImageDraw, size: tuple[int, int], colour: str) -> None:
    for start in range(-size[1], size[0], 14):
        draw.line((start, size[1], start + size[1], 0), colour, 5)


def _dots(draw: ImageDraw.ImageDraw, size: tuple[int, int], colour: str) -> None:
    for row, y in enumerate(range(10, size[1], 14)):
        for x in range(10 + 8 * (row % 2), size[0], 16):
            draw.ellipse((x - 4, y - 4, x + 4, y + 4), colour)


_FILLINGS: dict[Fill, _Filling] = {Fill.SLANTED: _slants, Fill.DOTTED: _dots}
