"""What is wrong with the crop rules, all of it at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True, slots=True)
class Mistake:
    """where: file or crop key. key: dotted. value: as written, None when it is absent. expected: what would do."""

    where: str
    key: str
    value: object
    expected: str

    def __str__(self) -> str:
        found = "is missing" if self.value is None else f"is {_shown(self.value)}"
        return f"{self.where}: {self.key} {found}, expected {self.expected}"


class CropRulesError(ValueError):
    """Rules that cannot be used. The text has one line a mistake; `mistakes` holds them apart."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(map(str, self.mistakes)))


def suggestion(word: str, known: Iterable[str]) -> str:
    """A known word near this one, as a question to add to a message; else the known words, when few."""
    words = sorted(known)
    near = get_close_matches(word, words, n=1, cutoff=0.6)
    if near:
        return f"{near[0]}?"
    return f"one of {', '.join(words)}" if len(words) <= 12 else "a known one"


def _shown(value: object) -> str:
    text = str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."
