"""Words whose beginning changes with the word before, or that small words grow onto: told back to the word itself.

Welsh: soft, nasal and aspirate mutation, by the table of any grammar (G. King, Modern Welsh, Routledge, chapter on
mutations); Arabic: the conjunctions wa- and fa-, the prepositions bi-, li- and ka-, and the article, which li- swallows the
first letter of (K. C. Ryding, A Reference Grammar of Modern Standard Arabic, Cambridge 2005, on the article, on prepositions
of one letter and on connectives). Both tables from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

__all__ = ["ON_ANY_WORD", "and_before", "led", "radical", "two_of"]

#: Where they grow onto every word, not only onto names and verbs.
ON_ANY_WORD = frozenset({"ar"})

#: As it is written -> what it may stand for. An initial g falls away.
_WELSH = {
    "ngh": ("c",), "mh": ("p",), "nh": ("t",), "ng": ("g",), "ch": ("c",), "ph": ("p",), "th": ("t",), "dd": ("d",),
    "g": ("c",), "b": ("p",), "d": ("t",), "f": ("b", "m"), "m": ("b",), "n": ("d",), "l": ("ll",), "r": ("rh",), "": ("g",),
}  # fmt: skip
_AND, _PREPOSITIONS, _ARTICLE, _TO_THE = ("و", "ف"), ("ب", "ك", "ل"), "ال", "لل"
_OBJECTS = ("ها", "هم", "هن", "ه")  # it or them, grown onto the end of a verb
_LEADING = (*_AND, *_PREPOSITIONS, "ع")  # the last: "on", in speech
_LEAST_N = 3  # letters that must be left


def radical(word: str, language: str, is_known: Callable[[str], bool]) -> str:
    """The known word that a folded one is a form of; the word itself where it is known, or none is."""
    forms = {"cy": _unmutated, "ar": _bare}.get(language.partition("_")[0])
    if forms is None or is_known(word):
        return word
    return next((form for form in forms(word) if _is_enough(word, form) and is_known(form)), word)


def _is_enough(word: str, form: str) -> bool:
    """Whether enough is left; after "and" also a short word, such as "not"."""
    return len(form) >= _LEAST_N or (len(form) == _LEAST_N - 1 and word == _AND[0] + form)


def led(word: str, bare: str, language: str) -> bool:
    """Whether a word that means "and", "with", "to" or the like has grown onto a folded word, `bare` without it: one begins
    there that belongs to nothing before it. With the article it is seen in unknown words, too.
    """
    if language.partition("_")[0] != "ar":
        return False
    taken_off = word.partition(bare)[0]
    return taken_off not in ("", _ARTICLE) or word.startswith((_TO_THE, *(one + _ARTICLE for one in _LEADING)))


def and_before(word: str, bare: str, language: str) -> str:
    """The "and" that has grown onto a folded word, `bare` without it; empty where none has."""
    grown = language.partition("_")[0] == "ar" and word != bare and word.startswith(_AND[0])
    return _AND[0] if grown and not bare.startswith(_AND[0]) else ""


def two_of(word: str, language: str) -> tuple[str, ...]:
    """What a folded word may be the dual of, Arabic "two kilos" in one word."""
    if language.partition("_")[0] != "ar" or not word.endswith(("ين", "ان")):
        return ()
    one = word[:-2]
    return (one[:-1] + "ه", one) if one.endswith("ت") else (one,)


def _unmutated(word: str) -> Iterator[str]:
    for written, meant in _WELSH.items():
        if word.startswith(written):
            yield from (beginning + word[len(written) :] for beginning in meant)


def _bare(word: str) -> Iterator[str]:
    """The word without the article and the words of one letter before it, then also without "it" or "them" after it."""
    forms = list(_begun(word))
    yield from forms
    yield from (one.removesuffix(end) for one in (word, *forms) for end in _OBJECTS if one.endswith(end))


def _begun(word: str) -> Iterator[str]:
    for joined in ("", *_AND):
        if not word.startswith(joined):
            continue
        rest = word[len(joined) :]
        if joined:
            yield rest
        if rest.startswith(_TO_THE):
            yield rest[len(_TO_THE) :]
        for before in ("", *_PREPOSITIONS):
            if rest.startswith(before):
                inner = rest[len(before) :]
                yield from (inner.removeprefix(_ARTICLE), inner) if inner.startswith(_ARTICLE) else (inner,)
