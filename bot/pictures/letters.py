"""The letters that pictures are set in: Noto Sans, the fonts of several scripts in one file (tests/make_fonts.py)."""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path

from anyascii import anyascii
from fontTools.ttLib import TTFont

__all__ = ["BOLD", "REGULAR", "plain"]

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
