"""Words whose form changes with the word before, with small words that grow onto them, or with how people speak: told back
to the word as it is listed.

Welsh: soft, nasal and aspirate mutation, by the table of any grammar (G. King, Modern Welsh, Routledge, chapter on
mutations), and endings as they are spoken in the north-west and the south (the same, on dialects). Arabic: the
conjunctions wa- and fa-, the prepositions bi-, li- and ka-, and the article, which li- swallows the first letter of (K. C.
Ryding, A Reference Grammar of Modern Standard Arabic, Cambridge 2005, on the article, on prepositions of one letter and on
connectives). Bengali: endings of verbs as they are spoken in the east and in the west, told back to those of the written
standard (S. K. Chatterji, The Origin and Development of the Bengali Language, Calcutta 1926, on the verb). All tables from
memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

#: Where they grow onto every word, not only onto names and verbs.
ON_ANY_WORD = frozenset({"ar"})

#: As it is written -> what it may stand for. An initial g falls away.
_WELSH = {
    "ngh": ("c",), "mh": ("p",), "nh": ("t",), "ng": ("g",), "ch": ("c",), "ph": ("p",), "th": ("t",), "dd": ("d",),
    "g": ("c",), "b": ("p",), "d": ("t",), "f": ("b", "m"), "m": ("b",), "n": ("d",), "l": ("ll",), "r": ("rh",), "": ("g",),
}  # fmt: skip
#: As an ending is spoken -> as it is written.
_WELSH_ENDS = (
    ("an", "en"), ("ar", "er"), ("al", "el"), ("ad", "ed"), ("as", "es"), ("a", "au"), ("a", "e"), ("a", "ai"), ("e", "au"),
    ("sh", "s"), ("ish", "ais"), ("esh", "ais"), ("es", "ais"), ("is", "ais"), ("on", "om"), ("o", "io"), ("u", "i"), ("i", "u"),
)  # fmt: skip
_BENGALI_ENDS = (
    ("তেছি", "ছি"), ("তেছে", "ছে"), ("তেসি", "ছি"), ("তাছি", "ছি"), ("াইছি", "িয়েছি"), ("াইসি", "িয়েছি"), ("াইছে", "িয়েছে"),
    ("িছি", "িয়েছি"), ("িসি", "িয়েছি"), ("িছে", "িয়েছে"), ("াইলাম", "ালাম"), ("িলাম", "লাম"), ("লুম", "লাম"), ("তুম", "তাম"),
    ("ইলো", "লো"), ("ইল", "ল"), ("মু", "ব"), ("মুনে", "ব"), ("বোনে", "ব"), ("বো", "ব"), ("চি", "ছি"), ("িয়া", "িয়ে"),
    ("াইয়া", "িয়ে"), ("ায়া", "িয়ে"), ("ইরা", "রে"), ("ইলা", "লে"), ("ইসা", "সে"), ("িরা", "িরে"), ("রে", "কে"),
)  # fmt: skip
#: A vowel that is lower in writing before such endings.
_HIGH = {"দি": "দে", "নি": "নে"}
_AND, _PREPOSITIONS, _ARTICLE, _TO_THE = ("و", "ف"), ("ب", "ك", "ل"), "ال", "لل"
_NOT, _NOT_END = "ما", "ش"
_OBJECTS = ("ها", "هم", "هن", "ه", "لي", "لنا")  # it, them, to me, to us, grown onto the end of a verb
_ONES = ("ايه", "يه", "ايات", "يات", "ات")  # one plant of a kind, or several: "kusaya" of "kusa"
_SPOKEN = ("ع", "ه")  # "on" and "this", in speech, before an article
_LEADING = (*_AND, *_PREPOSITIONS, *_SPOKEN)
_LEAST_N = 3  # letters that must be left
_SPOKEN_N = 5  # of a Welsh word whose end may be another: "af" (I go) is no "gaf" (I get)


def radical(word: str, language: str, is_known: Callable[[str], bool]) -> str:
    """The known word that a folded one is a form of; the word itself where it is known, or none is."""
    forms = {"cy": _welsh, "ar": _bare, "bn": _written}.get(language.partition("_")[0])
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


def apart(words: str, language: str, is_known: Callable[[str], bool]) -> str:
    """Folded words, those that "and" or a "not" has grown onto taken apart where what is left is known."""
    if language.partition("_")[0] != "ar":
        return words
    return " ".join(one for word in words.split() for one in _apart(word, is_known))


def _apart(word: str, is_known: Callable[[str], bool]) -> tuple[str, ...]:
    if is_known(word):
        return (word,)
    for joints, rest in (((), word), ((_AND[0],), word[1:] if word.startswith(_AND) else "")):
        if joints and len(rest) >= _LEAST_N - 1 and is_known(rest):
            return (*joints, rest)
        if (verb := denied(rest, is_known)) is not None:
            return (*joints, _NOT, verb)
    return (word,)


def denied(word: str, is_known: Callable[[str], bool]) -> str | None:
    """The known verb of an Arabic "not" that is one word with it, with an ending of its own in Egypt (M. Woidich, Das
    Kairenisch-Arabische, Wiesbaden 2006, on negation; from memory).
    """
    forms = []
    if word.endswith(_NOT_END):
        forms = [word.removesuffix(_NOT_END).removeprefix(one) for one in (_NOT, _NOT[0]) if word.startswith(one)]
    if word.startswith(_NOT):
        forms.append(word.removeprefix(_NOT))
    return next((one for one in forms if len(one) >= _LEAST_N and is_known(one)), None)


#: Ends of verbs that do not tell whether it was oneself or another, and of those that do.
_ANYBODYS = {"ar": (("ت",), ("يت",)), "uk": (("в", "ла", "ли"), ())}


def may_be_anothers(word: str, language: str) -> bool:
    """Whether a folded verb may be said of another as well as of oneself: "she planted" and "I planted" are one word in
    Arabic, but where a weak root tells them apart, and "he planted" and "I planted" in Ukrainian.
    """
    ends, own = _ANYBODYS.get(language.partition("_")[0], ((), ()))
    return word.endswith(ends) and not word.endswith(own)


def kind_of(word: str, language: str) -> tuple[str, ...]:
    """The kinds of plants of which a folded Arabic word may name one, or several."""
    if language.partition("_")[0] != "ar":
        return ()
    words = (word, *(one for one in begun(word) if len(one) >= _LEAST_N))
    return tuple(one.removesuffix(end) for one in words for end in _ONES if one.endswith(end) and one != end)


def two_of(word: str, language: str) -> tuple[str, ...]:
    """What a folded word may be the dual of, Arabic "two kilos" in one word."""
    if language.partition("_")[0] != "ar" or not word.endswith(("ين", "ان")):
        return ()
    one = word[:-2]
    return (one[:-1] + "ه", one) if one.endswith("ت") else (one,)


def _welsh(word: str) -> Iterator[str]:
    radicals = list(_unmutated(word))
    yield from radicals
    for one in (word, *radicals) if len(word) >= _SPOKEN_N else ():
        yield from (one.removesuffix(spoken) + written for spoken, written in _WELSH_ENDS if one.endswith(spoken))


def _written(word: str) -> Iterator[str]:
    """What a Bengali word may be in writing: "dimu" is debo (I will give), "koira" is kore (having done)."""
    for spoken, written in _BENGALI_ENDS:
        if word.endswith(spoken):
            ended = word.removesuffix(spoken) + written
            yield ended
            if ended[:2] in _HIGH:
                yield _HIGH[ended[:2]] + ended[2:]


def _unmutated(word: str) -> Iterator[str]:
    for written, meant in _WELSH.items():
        if word.startswith(written):
            yield from (beginning + word[len(written) :] for beginning in meant)


def _bare(word: str) -> Iterator[str]:
    """The word without the article and the words of one letter before it, then also without "it" or "them" after it."""
    forms = list(begun(word))
    yield from forms
    yield from (one.removesuffix(end) for one in (word, *forms) for end in _OBJECTS if one.endswith(end))


def begun(word: str) -> Iterator[str]:
    """What an Arabic word may be without the words of one letter before it, and the article."""
    for joined in ("", *_AND):
        if not word.startswith(joined):
            continue
        rest = word[len(joined) :]
        if joined:
            yield rest
        if rest.startswith(_TO_THE):
            yield rest[len(_TO_THE) :]
        for before in ("", *_PREPOSITIONS, *_SPOKEN):
            if rest.startswith(before):
                inner = rest[len(before) :]
                if inner.startswith(_ARTICLE):
                    yield inner.removeprefix(_ARTICLE)
                if before not in _SPOKEN:
                    yield inner
