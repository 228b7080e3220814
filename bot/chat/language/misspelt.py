"""Crops whose names are misspelt: surely, where only the typing makes them others, or guessed at."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.language.known import Known, spelt
from bot.chat.language.matching import Hit
from bot.chat.language.things import crops, free_runs
from bot.chat.language.tokens import Token, copied, is_slip, near_word, take
from bot.chat.language.vocabulary import Vocabulary
from bot.crops.find import match


def misspelt_crop(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    """A guess at the first misspelt crop."""
    letters = spelt(known)
    for run in free_runs(said):
        common = {phrase[0] for phrase in words.unlike}
        fixed = [
            said[n].word
            if said[n].word in common
            else near_word(said[n].word, letters.get(said[n].word[:1], ())) or said[n].word
            for n in run
        ]
        found = match(" ".join(fixed), known.names, known.local, known.company.others, guess=False)
        if found is not None and found.sure:
            first = next(n for n in range(len(fixed)) if " ".join(fixed[n:]).startswith(found.words))
            at = tuple(run[first : first + len(found.words.split())])
            take(said, at, "crop")
            return [Hit(at, crops=found.keys, sure=False)]
    return []


def mistyped_crops(said: Sequence[Token], known: Known, words: Vocabulary) -> list[Hit]:
    """Crops in words that only the typing makes others: two letters changed round, one doubled or not, one left out."""
    letters, unlike = spelt(known), {phrase[0] for phrase in words.unlike}
    mended = copied(said)
    changed = set[int]()
    for n, token in enumerate(mended):
        if token.taken or token.parts or token.value is not None or token.word in unlike | known.company.plain:
            continue
        likely = letters.get(token.word[:1], ())
        near = [] if token.word in likely else [one for one in likely if is_slip(token.word, one)]
        if len({_singular(one) for one in near}) == 1:
            token.word = near[0]
            changed.add(n)
    hits = [hit for hit in crops(mended, known) if changed & set(hit.at)] if changed else []
    for hit in hits:
        take(said, hit.at, "crop")
    return hits


def _singular(word: str) -> str:
    return word.removesuffix("s")
