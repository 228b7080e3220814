"""The letters that pictures are set in: DejaVu Sans Condensed, for Latin, Cyrillic, Greek, Arabic and Hebrew scripts."""

from __future__ import annotations

from pathlib import Path

__all__ = ["BOLD", "REGULAR", "plain"]

_FONTS = Path(__file__).parent / "fonts"
REGULAR = _FONTS / "DejaVuSansCondensed.ttf"
BOLD = _FONTS / "DejaVuSansCondensed-Bold.ttf"
_EMOJI_STYLE = "\ufe0f"


def plain(words: str) -> str:
    """One line without emoji, for which the fonts have no shapes. No-break spaces stay."""
    kept = "".join(letter for letter in words if letter <= "\uffff" and letter != _EMOJI_STYLE)
    return " ".join(part for part in kept.replace("\n", " ").split(" ") if part)
