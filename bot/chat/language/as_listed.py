"""The words of a text as they stand in the lists of words: without what other words, or a grammar, make of them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

from bot.chat.language.known import Known, spelt
from bot.chat.language.matching import is_unit
from bot.chat.language.tokens import Token, first_of, single_words, starts, tokens, with_numbers
from bot.chat.language.verbs import words_of_verbs
from bot.chat.language.vocabulary import Vocabulary, words_in
from bot.chat.language.word_forms import ON_ANY_WORD, and_before, apart, kind_of, led, radical, two_of
from bot.services.journal.note import Unit

_PLURAL = ("ات", "s")


def signed(text: str, words: Vocabulary) -> list[Token]:
    """Its words with their numbers; a dash before a number is a minus beside a thermometer alone."""
    said = with_numbers(tokens(text), words.numbers, words.minus, words.tens, words.times)
    if not first_of(said, (*words.degrees, *words.thermometer)):
        for before, token in pairwise(said):
            if not token.signed or not token.raw[1:2].isspace():
                continue
            if before.value is None:  # "sown - 30 - greenhouse"
                token.value, token.signed, token.apart = abs(token.value or 0.0), False, True
            elif token.raw[0] == "-":  # "pots 1 - 8"
                token.value, token.signed, token.dashed = abs(token.value or 0.0), False, True
    return said


def as_listed(said: list[Token], language: str, words: Vocabulary, known: Known) -> list[Token]:
    """With mutated words, and those that an article has grown onto, as they stand in lists of words."""
    letters, verbs = spelt(known), words_of_verbs(words)
    denied = single_words(words.blocked)  # "nid" is no form of "did"
    listed = known.company.plain | words_in(language) if language in ON_ANY_WORD else denied | _of_places(words)

    def is_known(word: str) -> bool:
        first = word[:1]
        return word in letters.get(first, ()) or word in verbs.get(first, ()) or word in listed

    def is_verb(word: str) -> bool:
        bare = radical(word, language, is_known)
        return bare in verbs.get(bare[:1], ())

    plain: list[Token] = []
    for token in said:
        if token.value is None and not token.parts:
            bare = radical(token.word, language, is_known)
            token.apart = token.apart or led(token.word, bare, language)  # it belongs to no name before it
            if joint := and_before(token.word, bare, language):
                plain.append(replace(token, word=joint, raw=joint))
            elif bare == token.word and not is_known(bare) and (parts := apart(bare, language, is_verb)) != bare:
                *small, bare = parts.split()
                plain += [replace(token, word=one, raw=one) for one in small]
            bare = _in_full(bare, language)
            if not is_known(bare):
                kinds = (one for one in kind_of(bare, language) if one in letters.get(one[:1], ()))
                bare = next(kinds, bare)
            token.word = bare
        plain.append(token)
    return _with_numbers(plain, language, words, known)


@cache
def _of_places(words: Vocabulary) -> frozenset[str]:
    """Words for kinds of places and of covers."""
    lists = (*words.kinds.values(), *words.numbered.values(), *words.covers.values())
    return single_words(phrase for own in lists for phrase in own)


def _with_numbers(said: list[Token], language: str, words: Vocabulary, known: Known) -> list[Token]:
    """With a 2 before what is counted by its ending, and a 1 before a kilo right after a verb, where there is no article."""
    letters, verbs = spelt(known), words_of_verbs(words)
    found: list[Token] = []
    for token in said:
        counted_before = bool(found) and found[-1].value is not None
        pairs = () if counted_before or token.value is not None else two_of(token.word, language)
        for one in (*pairs, *(kind for pair in pairs for kind in kind_of(pair, language))):
            single = Token(one, one)
            if is_unit([single], 0, words) or one in words.counting or one in letters.get(one[:1], ()):
                found.append(replace(token, word="2", raw="2", value=2.0))
                token.word = one
                break
        after_verb = bool(found) and found[-1].word in verbs.get(found[-1].word[:1], ())
        one_kilo = after_verb and not token.word.endswith(_PLURAL) and bool(starts([token], 0, words.units[Unit.KG]))
        if language in ON_ANY_WORD and one_kilo:
            found.append(replace(token, word="1", raw="1", value=1.0))
        found.append(token)
    return found


def _in_full(word: str, language: str) -> str:
    """An English word as it is typed in haste, in full: "the beans r up"."""
    return "are" if language == "en" and word == "r" else word
