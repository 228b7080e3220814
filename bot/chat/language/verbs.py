"""What was done, by its verb; and what a pest or the weather did."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from rapidfuzz.distance import OSA

from bot.chat.language.tokens import (
    GAP,
    Indices,
    Phrase,
    Token,
    first_of,
    found_in,
    near_word,
    same_but_typed,
    single_words,
    starts,
    take,
    where,
)
from bot.chat.language.vocabulary import Vocabulary
from bot.services.journal.note import Action, Cause, Unit

#: Moved into bigger pots, carried out to be hardened off: one piece of work.
_WITHIN = {Action.HARDENING: Action.PUT_BACK, Action.POTTED_ON: Action.MOVED}
_PULLING = frozenset({Action.HARVESTED, Action.CLEARED})
_TAKING = frozenset({Action.HARVESTED, Action.CLEARED, Action.PRUNED, Action.MOVED})
_SUBJECT_N = 4
_NEAR_N = 2  # words, so that one may stand between: "slugs have got"
#: Words between "did" and the name of the work, and from a verb to what was pulled.
_DID_N, _OBJECT_N = 7, 6
#: The longest of such verbs, in words.
_TOOK_N = 3
_ARTICLE_N = 3  # letters, at the most
#: A misspelt verb beside others has so many letters.
_SLIPPED_N = 5
STEALING = frozenset({Cause.SLUGS, Cause.BIRDS, Cause.MICE, Cause.INSECTS})


@dataclass(frozen=True, slots=True)
class Deed:
    """at: where its verb stands. sure: False for a guess at a misspelt verb. loose: it says little more than put."""

    at: Indices
    action: Action
    sure: bool = True
    loose: bool = False


def deeds(said: Sequence[Token], words: Vocabulary) -> list[Deed]:
    """Every verb of the plot that reports something, in the order of the sentence; their words are taken."""
    by_first = _by_first(words)
    here = {token.word for token in said}
    likely = sorted({one for word in here for one in by_first.get(word, ())})
    found = []
    for _, phrase, action in likely:
        for at in where(said, here, phrase):
            if any(said[n].taken for n in at) or (GAP in phrase and _tells_which(said, at, words)):
                continue
            if (GAP in phrase or _opens_with_cause(said, at[0], words)) and _after_cause(said, at[0], words):
                continue  # "the wind brought down four peas in bed 3", "frost cut the beans"
            named = _is_done(said, at[0], words) or _tells(said, at, words)  # "did the weeding", "all the doors shut"
            if at[0] and not named and starts(said, at[0] - 1, words.before_verb):
                take(said, at, "no report")
                continue
            take(said, at, "verb")
            inside = said[at[0] : at[-1] + 1]
            covers = any(first_of(inside, each, free=False) for each in words.covers.values())
            # "Took the tops off" uncovers nothing.
            found.append(Deed(at, action, sure=action is not Action.UNCOVERED or GAP not in phrase or covers))
    for at in found_in(said, words.put):
        inner = said[at[0] : at[-1] + 1]
        if _after_cause(said, at[0], words):  # "slugs got 6 lettuces in bed 3"
            continue
        if not any(token.taken in ("verb", "no report") for token in inner) and not (
            at[0] and starts(said, at[0] - 1, words.before_verb)
        ):
            take(said, at, "verb")
            found.append(Deed(at, Action.PLANTED_OUT, loose=True))
    for action, without in _WITHIN.items():
        if any(deed.action is action for deed in found):
            found = [deed for deed in found if deed.action is not without]
    if len(found) > 1:  # "sowing carrots now in bed 5"
        found = [one for one in found if not (one.action is Action.MOVED and _is_state(said, one, words))]
    found = [
        replace(deed, action=Action.WEEDED) if deed.action in _PULLING and _of_weeds(said, deed, words) else deed
        for deed in found
    ]
    found = [
        replace(deed, action=Action.LOST) if deed.action in _TAKING and _by_animals(said, deed, words) else deed
        for deed in found
    ]
    return sorted([*found, *_taken_by(said, words)], key=lambda deed: deed.at)


def is_told(said: Sequence[Token], deed: Deed, words: Vocabulary) -> bool:
    """Whether all that stands before a verb in its clause leaves it a report. Asked only where the catalogue lists such words:
    of Welsh, whose verbs are mostly nouns, "dyfrio" (to water, watering), which say neither who nor when.
    """
    if not deed.at or ("-",) in words.told_after or deed.action is Action.LOST:
        return True
    before = range(deed.at[0] - 1, -1, -1)
    start = next((n + 1 for n in before if said[n].parts or starts(said, n, (*words.linking, *words.turning))), 0)
    copy = [Token(one.word, one.raw, one.value, taken=one.taken) for one in said[start : deed.at[0]]]
    for listed in (words.told_after, *words.units.values(), *words.containers.values(), *words.covers.values()):
        for at in list(found_in(copy, listed)):
            take(copy, at, "told")
    return all(one.taken or one.value is not None for one in copy)


def _tells_which(said: Sequence[Token], at: Indices, words: Vocabulary) -> bool:
    """Whether the last word of it is another's verb: "slugs got the lettuces I planted"."""
    return bool(at[-1] - 1 > at[0] and at[-1] - 1 not in at and starts(said, at[-1] - 1, words.telling))


def _is_done(said: Sequence[Token], at: int, words: Vocabulary) -> bool:
    """Whether a "did" stands before the name of some work, with small words between: "did a bit of weeding"."""
    small = (*words.side, *words.vague, *words.clock, *words.every)
    for before in range(at - 1, max(-1, at - _DID_N), -1):
        if starts(said, before, words.did):
            return before < at - 1
        if said[before].value is None and not starts(said, before, small):
            return False
    return at < _DID_N and bool(first_of(said[:at], words.vague))  # "a bit of weeding round the onions"


def _tells(said: Sequence[Token], at: Indices, words: Vocabulary) -> bool:
    """Whether what stands after an article is more than a thing: "the doors shut", not "the fleece on bed 6"."""
    first = {phrase[0] for phrase in words.where}
    return len(at) > 1 and at[0] > 0 and said[at[-1]].word not in first and bool(starts(said, at[0] - 1, words.side))


def _is_state(said: Sequence[Token], deed: Deed, words: Vocabulary) -> bool:
    """Whether it says where things are, "now in", and not that anything was done."""
    first = {phrase[0] for phrase in words.where}
    run = deed.at == tuple(range(deed.at[0], deed.at[0] + len(deed.at)))
    return run and len(deed.at) > 1 and said[deed.at[-1]].word in first


@cache
def denials_within(words: Vocabulary) -> tuple[Phrase, ...]:
    """Verbs and words of doubt of which a part would deny them: "didn't make it" is no work that was not done."""
    denying = single_words(words.blocked)
    listed = (phrase for own in (*words.verbs.values(), words.doubted) for phrase in own)
    return tuple(phrase for phrase in listed if len(phrase) > 1 and GAP not in phrase and denying & set(phrase))


def _of_weeds(said: Sequence[Token], deed: Deed, words: Vocabulary) -> bool:
    """Whether weeds are what was pulled: "pulled all the bindweed out of bed 2"."""
    small = (*words.side, *words.vague, *words.every, *words.where)
    weeds = words.hints[Action.WEEDED]
    for at in range(deed.at[0] + 1, min(deed.at[0] + _OBJECT_N, len(said))):
        if first_of(said[at : at + 2], weeds, free=False)[:1] == (0,):
            return True
        if at not in deed.at and not first_of(said[at : at + 1], small, free=False):
            return False
    return False


def _by_animals(said: Sequence[Token], deed: Deed, words: Vocabulary) -> bool:
    """Whether animals or thieves stand right before the verb as those who did it, "the cat has dug up the carrots"."""
    takers = [phrase for what, own in words.causes.items() if what in STEALING for phrase in own]
    beside = (*words.because, *words.by, *words.rule_before, *words.rule_after)
    for at in range(deed.at[0] - 1, max(-1, deed.at[0] - _SUBJECT_N), -1):
        if any(first_of(said[at : at + len(one)], (one,), free=False) for one in (*takers, *words.unknown)):
            begins = [n for n in (at - 1, at - 2) if n >= 0]
            return not any(starts(said, n, beside) for n in begins)
        if said[at].parts or said[at].taken or said[at].word not in words.bounds:
            return False
    return False


@cache
def _by_first(words: Vocabulary) -> dict[str, list[tuple[int, Phrase, Action]]]:
    """Verbs by their first word, each with its turn: the longest first."""
    listed = ((phrase, action) for action, own in words.verbs.items() for phrase in own)
    found: dict[str, list[tuple[int, Phrase, Action]]] = {}
    for n, (phrase, action) in enumerate(sorted(listed, key=lambda one: -len(one[0]))):
        found.setdefault(phrase[0], []).append((n, phrase, action))
    return found


@cache
def words_of_verbs(words: Vocabulary) -> dict[str, list[str]]:
    """Words of verbs by their first letter."""
    letters: dict[str, list[str]] = {}
    for word in {word for own in words.verbs.values() for phrase in own for word in phrase if word != GAP}:
        letters.setdefault(word[0], []).append(word)
    return letters


def guessed_deeds(said: Sequence[Token], words: Vocabulary) -> list[Deed]:
    """The same, once slips of the thumb are mended in words that are free; the first alone, and not sure unless nothing but the
    typing differs ("wattered").
    """
    known = words_of_verbs(words)
    unlike = {phrase[0] for phrase in words.unlike}
    mended = [Token(token.word, token.raw, token.value, token.signed, token.taken) for token in said]
    typed = True
    for token in mended:
        if not token.taken and token.value is None and token.word not in unlike:
            near = near_word(token.word, known.get(token.word[:1], ()))
            typed = typed and (near is None or near == token.word or same_but_typed(near, token.word))
            token.word = near or token.word
    found = deeds(mended, words)[:1]
    for deed in found:
        take(said, deed.at, "verb")
    return [Deed(deed.at, deed.action, sure=typed) for deed in found]


def slipped_first(said: Sequence[Token], words: Vocabulary) -> list[Deed]:
    """What the first word may have been meant to say, where it is a verb but for one slip and others follow: "weedd bed 2,
    then watered it". Not sure.
    """
    first = said[0] if said else None
    if first is None or first.taken or first.value is not None or len(first.word) < _SLIPPED_N:
        return []
    near = near_word(first.word, words_of_verbs(words).get(first.word[:1], ()))
    if near is None or near == first.word or OSA.distance(near, first.word) > 1:
        return []
    if first.word in {phrase[0] for phrase in words.unlike}:
        return []
    found = deeds([Token(near, near)], words)
    take(said, (0,) if found else (), "verb")
    return [Deed((0,), deed.action, sure=False) for deed in found]


def hinted_deeds(said: Sequence[Token], words: Vocabulary) -> list[Deed]:
    """What may have been done where no verb says it, "compost on bed 6": not sure, and one alone."""
    for action, phrases in words.hints.items():
        at = first_of(said, phrases)
        if at:
            take(said, at, "verb")
            return [Deed(at, action, sure=False)]
    return []


@cache
def cause_words(words: Vocabulary) -> frozenset[str]:
    """Single words for what takes plants: frost, slugs."""
    return single_words(phrase for own in words.causes.values() for phrase in own)


def cause(said: Sequence[Token], words: Vocabulary) -> Cause | None:
    """What took them, if the clause names it."""
    for what, phrases in words.causes.items():
        if first_of(said, phrases, free=False):
            return what
    return None


def steals(said: Sequence[Token], words: Vocabulary) -> bool:
    """Whether picking here is the picking of pests, weeds or the like, and no harvest."""
    if cause(said, words) in STEALING:
        return True
    listed = found_in(said, words.no_harvest, free=False)
    return any(not (at[0] and said[at[0] - 1].taken == "crop") and not _is_piece(said, at, words) for at in listed)


def _is_piece(said: Sequence[Token], at: Indices, words: Vocabulary) -> bool:
    """ "6 sticks" of rhubarb."""
    pieces = words.units[Unit.PIECE]
    counted = bool(at[0]) and said[at[0] - 1].value is not None
    return counted and bool(first_of(said[at[0] : at[0] + 1], pieces, free=False))


def steals_counted(said: Sequence[Token], words: Vocabulary) -> bool:
    """Whether the number counts pests or weeds, "picked 30 slugs off"."""
    named = [phrase for what, own in words.causes.items() if what in STEALING for phrase in own]
    return any(
        token.value is not None
        and first_of(said[n + 1 : n + 2], (*named, *words.no_harvest), free=False)
        and not _is_piece(said, (n + 1,), words)
        for n, token in enumerate(said)
    )


def _taken_by(said: Sequence[Token], words: Vocabulary) -> list[Deed]:
    """ "The frost got the beans", "killed by frost": such verbs need what did it before them, or after a "by"."""
    causes = [at for phrases in (*words.causes.values(), words.unknown) for at in found_in(said, phrases)]
    for at in found_in(said, words.took):
        before = any(one[-1] < at[0] for one in causes)
        by = any(one[0] > at[-1] and _after_by(said, one[0], words) for one in causes)
        if before or by:
            take(said, at, "verb")
            return [Deed(at, Action.LOST)]
    return []


def _after_cause(said: Sequence[Token], at: int, words: Vocabulary) -> bool:
    """Whether a pest or the weather stands right before a verb that may be theirs."""
    if not starts([replace(one, taken=None) for one in said[at : at + _TOOK_N]], 0, words.took):
        return False
    causes = [phrase for own in words.causes.values() for phrase in own] + list(words.unknown)
    before = said[max(0, at - _SUBJECT_N) : at]
    return any(one[-1] >= len(before) - _NEAR_N for phrase in causes for one in found_in(before, (phrase,), free=False))


def _opens_with_cause(said: Sequence[Token], at: int, words: Vocabulary) -> bool:
    """Whether nothing but what did it, and an article, stands before a verb; not "after the frost dug up the dahlias"."""
    article = at == 1 or (at == _NEAR_N and len(said[0].word) <= _ARTICLE_N)
    return article and said[at - 1].word in cause_words(words)


def _after_by(said: Sequence[Token], index: int, words: Vocabulary) -> bool:
    return any(n >= 0 and starts(said, n, words.by) for n in (index - 1, index - 2))
