"""From what somebody wrote to notes: one for each thing that was done."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import islice

from bot.chat.language import things
from bot.chat.language.as_listed import as_listed, signed
from bot.chat.language.clause_notes import notes_of
from bot.chat.language.clauses import NEED_CROP, clauses_of, lend
from bot.chat.language.day import past_day
from bot.chat.language.known import Known
from bot.chat.language.matching import Hit, is_unit
from bot.chat.language.misspelt import misspelt_crop, mistyped_crops
from bot.chat.language.numbers import counted, reading
from bot.chat.language.openings import begins_question, is_past
from bot.chat.language.pieces import joined, pieces
from bot.chat.language.rule_changes import rule_changes
from bot.chat.language.seen import seen
from bot.chat.language.statements import statements, take_harmless
from bot.chat.language.tokens import Token, clear, copied, first_of, found_in, starts, take, tokens
from bot.chat.language.told_which import without_told_which
from bot.chat.language.verbs import Deed, cause, deeds, guessed_deeds, hinted_deeds, is_told, slipped_first
from bot.chat.language.vocabulary import Vocabulary, vocabulary, words_in
from bot.chat.language.word_forms import may_be_anothers
from bot.core.garden.snapshot import PlaceKind
from bot.i18n import Say
from bot.services.journal.note import WORDS_N, Action, Container, Note, Unit, weight_kg

#: The longest text that is read, the most notes that one message gives, and the most pieces that are looked at.
READ_N, NOTES_N, SENTENCES_N = 4096, 12, 30

_STARTS = frozenset({Action.SOWED, Action.PLANTED_OUT})
_THROWN = frozenset({Action.CLEARED, Action.LOST})
_WEIGHTLESS = frozenset({Unit.BUNCH, Unit.PUNNET, Unit.BAG, Unit.BUCKET})
_FEW_N = 12  # words of a note without a verb
#: What has reported nothing in so many signs is no report.
_BARREN_N = 1500
_LISTED = re.compile(r"(?m)(^|\s)[ \t]*\d{1,2}\)[ \t]+|^([ \t]*)\d{1,2}\.[ \t]+(?=\D)")


def understand(text: str, say: Say, known: Known, today: date, *, guess: bool = False) -> tuple[Note, ...]:
    """What a member reports in plain words, in the order written; empty when it is nothing of the kind. At most
    NOTES_N, and one more where there are more.

    today: the garden's date. guess: also where no verb says what was done ("compost on bed 6"), to be asked about.
    Questions, wishes and plans are no reports. Nothing is stored, and nothing is logged.
    """
    if len(text) > READ_N:
        return ()
    words = vocabulary(say.language)
    every = tokens(text)
    if first_of(every, words.unreal):
        return ()
    if tuple(token.word for token in every) in words.undo:
        return (Note(Action.UNDO, text[:WORDS_N], today),)
    found: list[Note] = []
    found_pieces = (piece for sentence in joined(_unnumbered(text), words) for piece in pieces(sentence.strip(), words))
    read_n = 0
    for piece in (_noted(one, words) for one in islice(found_pieces, SENTENCES_N)):
        found += _sentence(piece, say.language, words, known, today, guess=guess)
        read_n += len(piece)
        if len(found) > NOTES_N or (not found and read_n > _BARREN_N):
            break
    return tuple(replace(note, words=note.words[:WORDS_N]) for note in found[: NOTES_N + 1])


def _unnumbered(text: str) -> str:
    """Without the numbers of a list, "1) watered the tunnel 2) fed the tomatoes"."""
    return _LISTED.sub(lambda found: ", " if found.start() and found[1] == " " else found[1] or "", text)


def _noted(text: str, words: Vocabulary) -> str:
    """Without what asks to write it down: "please note: watered bed 1", "fed the tomatoes, forgot to say"."""
    lower = text.casefold()
    if not any(all(word[:2] in lower for word in phrase) for phrase in words.noting):
        return text  # mostly, and soon told
    said = signed(text, words)
    at = first_of(said, words.noting)
    rest = said[at[-1] + 1 :] if at else []
    if at and not rest and deeds(copied(said[: at[0]]), words):
        return clear(text)[: said[at[0]].start]
    if not rest or starts(rest, 0, words.before_verb) or not deeds(copied(rest), words):
        return text
    if deeds(copied(said[: at[0]]), words) or first_of(said[: at[0]], words.blocked):
        return text
    return clear(text)[rest[0].start :]


def _sentence(text: str, language: str, words: Vocabulary, known: Known, today: date, *, guess: bool) -> list[Note]:
    read = as_listed(signed(text, words), language, words, known)
    dated = _without_past_day(read, text, language, today)
    if rules := rule_changes(copied(read), known, words, language, today, text):
        return rules
    if first_of(_beside_names(read, known), words.elsewhen):
        return []
    found: list[Note] = []
    for one in statements(text, dated, words, known):
        said = read if one.text == text else as_listed(signed(one.text, words), language, words, known)
        notes = _statement(one.text, said, language, words, known, today, guess=guess)
        found += notes if one.sure else [replace(note, sure=False) for note in notes]
    if read and starts(read, len(read) - 1, words.denying):  # "the beans are covered, potatoes not"
        found = [replace(note, sure=False) for note in found]
    return found


def _beside_names(said: Sequence[Token], known: Known) -> list[Token]:
    """Without the words of crops and varieties: "Ben Hope" is no wish, "Paris Market" no shop."""
    found = copied(said)
    things.take_names(found, known)
    return found


def _statement(
    text: str, said: Sequence[Token], language: str, words: Vocabulary, known: Known, today: date, *, guess: bool
) -> list[Note]:
    """said: its tokens, which stay as they are."""
    beside = _beside_names(said, known)
    if not deeds(copied(said), words) and (shows := seen(copied(said), known, words, language, today, text)):
        return _doubted(shows, beside, words)
    by_day = _without_past_day(beside, text, language, today)
    take_harmless(by_day, words)
    if first_of(said, words.excepted) or first_of(by_day, words.blocked) or _asks(beside, language):
        return []
    if notes := _deeds(copied(said), language, words, known, today, text, guess=guess):
        return _doubted(notes, beside, words)
    taken = reading(copied(said), known, words, language, today, text)
    return [taken] if taken else []


def _without_past_day(said: Sequence[Token], text: str, language: str, today: date) -> list[Token]:
    """With the words of a day that is over taken: "yesterday evening" is no plan."""
    found = copied(said)
    return found if past_day(found, text, language, today).on < today else copied(said)


def _asks(said: Sequence[Token], language: str) -> bool:
    """Whether it begins as a question does, though no sign says so."""
    opening = [token.word for token in said[:2]]
    return begins_question(opening, language) or (
        len(opening) > 1 and said[1].taken == "crop" and is_past(opening[0], language)
    )


def _doubted(notes: list[Note], said: Sequence[Token], words: Vocabulary) -> list[Note]:
    """Hearsay is asked about, and what was done at home, or bought; unless in a place of the garden that is no note."""
    said = copied(said)
    for at in found_in(said, words.roughly):
        if at[-1] + 1 < len(said) and said[at[-1] + 1].value is not None and is_unit(said, at[-1] + 2, words):
            take(said, at, "roughly")  # "maybe 200 g"
    elsewhere = first_of(said, words.elsewhere)
    if elsewhere and not any(note.places or note.from_places for note in notes):
        return []
    return [replace(note, sure=False) for note in notes] if elsewhere or first_of(said, words.doubted) else notes


def _deeds(
    said: list[Token], language: str, words: Vocabulary, known: Known, today: date, text: str, *, guess: bool
) -> list[Note]:
    places = things.named(said, {place.id: place.name for place in known.places}, words, "place", known)
    found = deeds(said, words)
    crops = things.without_frames(said, things.crops(said, known), words)
    found = without_told_which(said, found, crops, words)
    day = past_day(said, text, language, today)
    _take_hours(said, words)
    nothing = not crops and not places and not found and not first_of(said, words.stand_in, free=False)
    if nothing and not (guess and len(said) <= _FEW_N):
        return []
    places += things.places(said, known, words)
    if guess and not crops:
        crops = misspelt_crop(said, known, words)
    things_at = [hit.at[0] for hit in (*crops, *places)]
    if found and found[0].at and things_at and min(things_at) < found[0].at[0]:
        found = [*slipped_first(said, words), *found]
    found = found or _silent(said, crops, places, words, known) or _standing(said, crops, places, known, words)
    found = found or guessed_deeds(said, words)
    if not found and guess and (crops or places) and len(said) <= _FEW_N and not day.wrong:
        found = hinted_deeds(said, words)
    if not found:
        return []
    found = [
        replace(deed, sure=deed.sure and not _by_another(said, deed, known, language) and is_told(said, deed, words))
        for deed in found
    ]
    if first_of(said, words.spoilt, free=False):  # "4 lettuces bolted, pulled them"
        found = [replace(deed, sure=deed.sure and deed.action is not Action.HARVESTED) for deed in found]
    if found[0].action is Action.BROUGHT_IN:  # "inside" is any house
        anywhere = {phrase[-1] for phrase in words.stand_in}
        places = [hit for hit in places if len(hit.at) > 1 or said[hit.at[0]].word not in anywhere]
    crops += _more_crops(said, crops, known)
    crops += mistyped_crops(said, known, words)
    if found[0].action in NEED_CROP or not places:
        crops = crops or misspelt_crop(said, known, words)
    places = places or things.guessed_places(said, known, words)
    crops = things.with_company(said, crops, known, words)
    if not crops and found[0].action in _STARTS and found[0].sure and any(hit.ids for hit in places):
        crops = things.unknown_plant(said, known, words)
    found = _without_echoes(found, sorted(hit.at[0] for hit in (*crops, *places)), said, words)
    clauses, sure = clauses_of(said, found, crops, places, words)
    sure = sure and len([clause for clause in clauses if clause.deed]) == len(found)
    lend(clauses)
    what = cause(said, words)
    notes: list[Note] = []
    for clause in clauses:
        notes += notes_of(clause, known, words, cause(clause.said, words) or what, day, text)
    sure = sure and len({deed.action for deed in found}) <= len({note.action for note in notes})  # nothing is lost
    return notes if sure else [replace(note, sure=False) for note in notes]


def _without_echoes(
    found: list[Deed], things_at: Sequence[int], said: Sequence[Token], words: Vocabulary
) -> list[Deed]:
    """Without a verb that only says again how it was done, "covered bed 6, fleece on", and without the pulling of what
    was thrown away, "pulled the lot and binned them".
    """
    kept: list[Deed] = []
    for n, deed in enumerate(found):
        end = found[n + 1].at[0] if n + 1 < len(found) and found[n + 1].at else None
        follows = any(deed.at and deed.at[0] < at and (end is None or at < end) for at in things_at)
        before = kept[-1] if kept and kept[-1].at else None
        if before is not None and deed.action is before.action and not follows:
            continue
        under = bool(deed.at) and bool(starts([replace(said[deed.at[0]], taken=None)], 0, words.under))
        if before is not None and before.action in _STARTS and under and deed.action is Action.COVERED and not follows:
            continue  # "planted in bed 4 under net"
        if before is not None and before.action is Action.HARVESTED and deed.action in _THROWN and deed.at:
            between = range(before.at[-1] + 1, deed.at[0])
            units = [one for unit, one in words.units.items() if unit is not Unit.PIECE]
            weighed = any(starts(said, at, phrases) for at in between for phrases in units)
            weighed = weighed or any(said[at].value is not None for at in between)
            if not follows and not weighed and not any(at in between for at in things_at):
                kept.pop()
        pulled_after = (
            before is not None and before.action in _THROWN and deed.action is Action.HARVESTED and not follows
        )
        kept.append(replace(deed, sure=False) if pulled_after else deed)  # "slugs ate the kale so pulled it"
    return kept


def _more_crops(said: Sequence[Token], crops: Sequence[Hit], known: Known) -> list[Hit]:
    """Declined names of crops, but those right beside another's: both may be the name of a third plant."""
    beside = {n for hit in crops for n in (hit.at[0] - 1, hit.at[-1] + 1)}
    found = things.declined_crops(said, known)
    for hit in found:
        if beside & set(hit.at):
            for n in hit.at:
                said[n].taken = None
    return [hit for hit in found if not beside & set(hit.at)]


def _take_hours(said: Sequence[Token], words: Vocabulary) -> None:
    """ "10 minutes", "half an hour", "at 9": they count nothing of the plot."""
    for n, token in enumerate(said):
        ends = n + 1 == len(said) or said[n + 1].parts or starts(said, n + 1, words.linking)
        if token.value is not None and not token.taken and n and ends and starts(said, n - 1, words.clock_before):
            token.taken = "hours"
        if token.taken is None and (at := starts(said, n, words.clock)):
            take(said, at, "hours")
            if n > 1 and any(starts(said, n - 2, phrases) for phrases in words.numbered.values()):
                continue  # "bed 1 am"
            if (
                n
                and said[n - 1].taken is None
                and (said[n - 1].value is not None or starts(said, n - 1, words.articles))
            ):
                said[n - 1].taken = "hours"


def _by_another(said: Sequence[Token], deed: Deed, known: Known, language: str) -> bool:
    """Whether somebody's name stands right before the verb, or after one that may be anybody's: what others did is asked
    about.
    """
    at = deed.at[0] - 1 if deed.at else -1
    after = said[deed.at[-1] + 1 : deed.at[-1] + 2] if deed.at else []
    if after and after[0].word in known.people and may_be_anothers(said[deed.at[0]].word, language):
        return True  # Ukrainian "перець полив Оскар"
    if at < 0 or said[deed.at[0]].apart:  # "with Oskar: watered"
        return False
    named = at == 0 and may_be_anothers(said[deed.at[0]].word, language) and _is_unknown(said[at], language)
    return said[at].word in known.people or named


def _is_unknown(token: Token, language: str) -> bool:
    """Whether a word may be a name: it stands in no list."""
    return not token.taken and token.value is None and not token.parts and token.word not in words_in(language)


def _silent(
    said: Sequence[Token], crops: Sequence[Hit], places: Sequence[Hit], words: Vocabulary, known: Known
) -> list[Deed]:
    """Without a verb: so much of a crop was harvested, so high a crop was measured; so many in a place were perhaps
    planted there, surely where that is "done" and such stand in pots.
    """
    if not crops or first_of(said, words.apart):
        return []
    copy = copied(said)
    amount = counted(copy, words)
    for at in found_in(copy, (*words.side, *words.whence)):
        take(copy, at, "side")
    # A word that is left may say that it was otherwise: "found a bag of carrots".
    plain = all(token.taken or token.value is not None or token.parts for token in copy)
    weighed = amount.amount is not None and (
        weight_kg(amount.amount, amount.unit) is not None or amount.unit in _WEIGHTLESS
    )
    if weighed or (amount.count is not None and amount.sure and first_of(said, words.whence)):
        return [Deed((), Action.HARVESTED, sure=plain)]
    if amount.length_cm is not None:
        return [Deed((), Action.MEASURED)]
    pieces = any(starts(said, n + 1, words.units[Unit.PIECE]) for n, one in enumerate(said) if one.value is not None)
    if amount.count is not None and pieces and not places:
        return [Deed((), Action.HARVESTED, sure=False)]  # "rhubarb: 6 sticks"
    rows = amount.container is Container.ROW
    there = places or any(
        (at := starts(said, hit.at[-1] + 1, words.planted_in)) and _ends(said, at[-1] + 1) for hit in crops
    )
    if not (amount.count is not None or rows) or not there or len(said) > _FEW_N:
        return []
    waits = amount.sure and all(known.waiting.intersection(hit.crops) for hit in crops)
    return [Deed((), Action.PLANTED_OUT, sure=bool(waits and places and first_of(said, words.did, free=False)))]


def _ends(said: Sequence[Token], at: int) -> bool:
    return at == len(said) or said[at].parts or said[at].taken == "day"


def _standing(
    said: Sequence[Token], crops: Sequence[Hit], places: Sequence[Hit], known: Known, words: Vocabulary
) -> list[Deed]:
    """ "All pots are in": said of pots, and of no crop, since beans are in as well once they are sown."""
    pots = {place.id for place in known.places if place.kind is PlaceKind.CONTAINER}
    if crops or not any(set(hit.ids) <= pots for hit in places if hit.ids):
        return []
    return [Deed((), Action.BROUGHT_IN)] if first_of(said, words.stand_in, free=False) else []
