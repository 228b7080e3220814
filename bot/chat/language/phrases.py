"""What people type, found by the phrases that a language's catalogue lists, parted by |."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.crops.find import fold
from bot.i18n import Say

__all__ = ["pattern", "stands_in", "voices"]


def pattern(phrases: str) -> str:
    """The phrases as alternatives of a pattern for folded text, the longest first."""
    folded = sorted((fold(phrase) for phrase in phrases.split("|")), key=len, reverse=True)
    return "|".join(re.escape(phrase) for phrase in folded)


def stands_in(words: str, phrases: str) -> bool:
    """Whether one of the phrases stands anywhere in folded text, as whole words."""
    return re.search(rf"\b(?:{pattern(phrases)})\b", words) is not None


def voices(say: Say) -> tuple[Say, ...]:
    """People mix their own language with English."""
    return (say,) if say.language == "en" else (say, replace(say, language="en"))
