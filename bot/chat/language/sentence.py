"""From what somebody wrote to notes: one for each thing that was done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice, pairwise

from bot.chat.language import things
from bot.chat.language.beginnings import radical
from bot.chat.language.day import Said, past_day
from bot.chat.language.known import Known, spelt
from bot.chat.language.numbers import Counted, counted
from bot.chat.language.replies import questions
from bot.chat.language.rule import rule
from bot.chat.language.seen import seen
from bot.chat.language.statements import statements
from bot.chat.language.temperature import reading
from bot.chat.language.things import Hit
from bot.chat.language.tokens import Token, clear, first_of, found_in, sentences, starts, take, tokens, with_numbers
from bot.chat.language.verbs import Deed, cause, deeds, guessed_deeds, hinted_deeds, steals, words_of_verbs
from bot.chat.language.vocabulary import Vocabulary, vocabulary
from bot.core.garden.snapshot import Cover, PlaceKind
from bot.i18n import Say
from bot.services.journal.note import WORDS_N, Action, Cause, Container, Note, Unit, weight_kg

__all__ = ["NOTES_N", "READ_N", "understand"]

#: The longest text that is read, the most notes that one message gives, the most sentences that are looked at, and the
#: longest piece of dictation that is read in one.
READ_N, NOTES_N, SENTENCES_N, PIECE_N = 4096, 12, 30, 600

_NEED_CROP = frozenset(
    {Action.SOWED, Action.POTTED_ON, Action.HARDENING, Action.HARDENED, Action.PLANTED_OUT, Action.HARVESTED, Action.LOST,
     Action.MEASURED, Action.MOVED, Action.THINNED, Action.PRUNED}
)  # fmt: skip
_STARTS = frozenset({Action.SOWED, Action.PLANTED_OUT})
_WEIGHTLESS = frozenset({Unit.BUNCH, Unit.PUNNET, Unit.BAG, Unit.BUCKET})
_NOTHING = Hit(())
_FEW_N = 12  # words of a note without a verb
_FRAGMENT_N = 6
_CAUSE_N = 3  # words of a cry such as "slugs!"


@dataclass(slots=True)
class _Clause:
    """Tokens of one clause with what was found in them; deed is None in a clause that only goes on listing.

    where: places at which, or into which; whence: those that things came from. lent: they are another clause's.
    """

    said: list[Token]
    deed: Deed | None
    crops: list[Hit]
    where: list[Hit]
    whence: list[Hit]
    lent: bool = False

    @property
    def bare(self) -> bool:
        return not (self.crops or self.where or self.whence)


def understand(text: str, say: Say, known: Known, today: date, *, guess: bool = False) -> tuple[Note, ...]:
    """What a member reports in plain words, in the order written; empty when it is nothing of the kind. At most
    NOTES_N, and one more where there are more.

    today: the garden's date. guess: also where no verb says what was done ("compost on bed 6"), to be asked about.
    Questions, wishes and plans are no reports. Nothing is stored, and nothing is logged.
    """
    if len(text) > READ_N:
        return ()
    words = vocabulary(say.language)
    whole = tuple(token.word for token in tokens(text))
    if whole in words.undo:
        return (Note(Action.UNDO, text[:WORDS_N], today),)
    found: list[Note] = []
    pieces = (piece for sentence in _joined(text, words) for piece in _pieces(sentence.strip(), words))
    for piece in islice(pieces, SENTENCES_N):
        found += _sentence(piece, say.language, words, known, today, guess=guess)
        if len(found) > NOTES_N:
            break
    return tuple(replace(note, words=note.words[:WORDS_N]) for note in found[: NOTES_N + 1])


def _pieces(sentence: str, words: Vocabulary) -> Iterator[str]:
    """Dictation without a full stop, cut at a joint before it grows too long; what has no joint there is left out."""
    rest = sentence
    while len(rest) > PIECE_N:
        plain = clear(rest)
        said = tokens(plain[:PIECE_N])
        joints = [token.start for n, token in enumerate(said) if n and (token.parts or starts(said, n, words.linking))]
        if joints:
            yield plain[: joints[-1]]
            rest = plain[joints[-1] + 1 :]
        else:
            rest = plain[PIECE_N:].partition(",")[2]
    yield rest


def _joined(text: str, words: Vocabulary) -> Iterator[str]:
    """Sentences; a fragment without a verb goes with the sentence before it: "Planted kale. Bed 4, 10 plants."."""
    before: str | None = None
    for sentence in sentences(text):
        said = _tokens(sentence, words)
        short = len(said) <= _FRAGMENT_N and not first_of(said, (*words.blocked, *words.elsewhen, *words.elsewhere))
        fragment = short and not deeds(said, words) and not any(first_of(said, each) for each in words.shows.values())
        if before is not None and fragment and "\n" not in before.rstrip(" "):
            before = f"{before.rstrip(' .!')}, {sentence.strip()}"
            continue
        if before is not None:
            yield before
        before = sentence
    if before is not None:
        yield before


def _sentence(text: str, language: str, words: Vocabulary, known: Known, today: date, *, guess: bool) -> list[Note]:
    read = _plain(_tokens(text, words), language, words, known)
    if rules := rule(_copy(read), known, words, language, today, text):
        return rules
    if first_of(_beside_names(read, known), words.elsewhen):
        return []
    found: list[Note] = []
    for one in statements(text, read, words, known):
        said = read if one.text == text else _plain(_tokens(one.text, words), language, words, known)
        notes = _statement(one.text, said, language, words, known, today, guess=guess)
        found += notes if one.sure else [replace(note, sure=False) for note in notes]
    return found


def _tokens(text: str, words: Vocabulary) -> list[Token]:
    return with_numbers(tokens(text), words.numbers, words.minus, words.tens, words.times)


def _plain(said: list[Token], language: str, words: Vocabulary, known: Known) -> list[Token]:
    """With mutated words, and those that an article has grown onto, as they stand in lists of words."""
    letters, verbs = spelt(known), words_of_verbs(words)

    def is_known(word: str) -> bool:
        return word in letters.get(word[:1], ()) or word in verbs.get(word[:1], ())

    for token in said:
        if token.value is None and not token.parts:
            token.word = radical(token.word, language, is_known)
    return said


def _copy(said: Sequence[Token]) -> list[Token]:
    return [replace(token) for token in said]


def _beside_names(said: Sequence[Token], known: Known) -> list[Token]:
    """Without the words of crops and varieties: "Ben Hope" is no wish, "Paris Market" no shop."""
    found = _copy(said)
    things.take_names(found, known)
    return found


def _statement(
    text: str, said: Sequence[Token], language: str, words: Vocabulary, known: Known, today: date, *, guess: bool
) -> list[Note]:
    """said: its tokens, which stay as they are."""
    beside = _beside_names(said, known)
    if not deeds(_copy(said), words) and (shows := seen(_copy(said), known, words, language, today, text)):
        return _doubted(shows, beside, words)
    by_day = _copy(beside)
    for at in found_in(by_day, (*words.nightly, *words.daily)):
        take(by_day, at, "nightly")  # "for the night" is no plan
    if first_of(said, words.excepted) or first_of(by_day, words.blocked) or _asks(said, language):
        return []
    if notes := _deeds(_copy(said), language, words, known, today, text, guess=guess):
        return _doubted(notes, beside, words)
    taken = reading(_copy(said), known, words, language, today, text)
    return [taken] if taken else []


def _asks(said: Sequence[Token], language: str) -> bool:
    """Whether it begins as a question does, though no sign says so."""
    return bool(said) and said[0].word in questions(language)


def _doubted(notes: list[Note], said: Sequence[Token], words: Vocabulary) -> list[Note]:
    """Hearsay is asked about, and what was done at home, or bought; unless in a place of the garden that is no note."""
    elsewhere = first_of(said, words.elsewhere)
    if elsewhere and not any(note.places or note.from_places for note in notes):
        return []
    return [replace(note, sure=False) for note in notes] if elsewhere or first_of(said, words.doubted) else notes


def _deeds(
    said: list[Token], language: str, words: Vocabulary, known: Known, today: date, text: str, *, guess: bool
) -> list[Note]:
    places = things.named(said, {place.id: place.name for place in known.places}, words, "place", known)
    found = deeds(said, words)
    crops = things.crops(said, known)
    day = past_day(said, text, language, today)
    _take_hours(said, words)
    if not crops and not places and not found and not first_of(said, words.stand_in, free=False):
        return []
    places += things.places(said, known, words)
    found = found or _silent(said, crops, places, words) or _standing(said, crops, places, known, words)
    found = found or guessed_deeds(said, words)
    if not found and guess and (crops or places) and len(said) <= _FEW_N and not day.wrong:
        found = hinted_deeds(said, words)
    if not found:
        return []
    found = [replace(deed, sure=deed.sure and not _by_another(said, deed, known)) for deed in found]
    if found[0].action is Action.BROUGHT_IN:  # "inside" is any house
        anywhere = {phrase[-1] for phrase in words.stand_in}
        places = [hit for hit in places if len(hit.at) > 1 or said[hit.at[0]].word not in anywhere]
    crops += _more_crops(said, crops, known)
    if found[0].action in _NEED_CROP or not places:
        crops = crops or things.misspelt_crop(said, known)
    places = places or things.guessed_places(said, known, words)
    crops = things.with_company(said, crops, known, words)
    if not crops and found[0].action in _STARTS and found[0].sure and any(hit.ids for hit in places):
        crops = things.unknown_plant(said, known, words)
    clauses, sure = _clauses(said, found, crops, places, words)
    sure = sure and len([clause for clause in clauses if clause.deed]) == len(found)
    _lend(clauses)
    what = cause(said, words)
    notes: list[Note] = []
    for clause in clauses:
        notes += _notes(clause, known, words, cause(clause.said, words) or what, day, text)
    return notes if sure else [replace(note, sure=False) for note in notes]


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
    """ "10 minutes", "half an hour": they count nothing of the plot."""
    for n, token in enumerate(said):
        if token.taken is None and (at := starts(said, n, words.clock)):
            take(said, at, "hours")
            if (
                n
                and said[n - 1].taken is None
                and (said[n - 1].value is not None or starts(said, n - 1, words.articles))
            ):
                said[n - 1].taken = "hours"


def _by_another(said: Sequence[Token], deed: Deed, known: Known) -> bool:
    """Whether somebody's name stands right before the verb: what others did is asked about."""
    return bool(deed.at) and deed.at[0] > 0 and said[deed.at[0] - 1].word in known.people


def _silent(said: Sequence[Token], crops: Sequence[Hit], places: Sequence[Hit], words: Vocabulary) -> list[Deed]:
    """Without a verb: so much of a crop was harvested, so high a crop was measured; so many in a place were perhaps
    planted there.
    """
    if not crops or first_of(said, words.apart):
        return []
    copy = [replace(token) for token in said]
    amount = counted(copy, words)
    for at in found_in(copy, words.side):
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
    planted = amount.count is not None and places and len(said) <= _FEW_N
    return [Deed((), Action.PLANTED_OUT, sure=False)] if planted else []


def _standing(
    said: Sequence[Token], crops: Sequence[Hit], places: Sequence[Hit], known: Known, words: Vocabulary
) -> list[Deed]:
    """ "All pots are in": said of pots, and of no crop, since beans are in as well once they are sown."""
    pots = {place.id for place in known.places if place.kind is PlaceKind.CONTAINER}
    if crops or not any(set(hit.ids) <= pots for hit in places if hit.ids):
        return []
    return [Deed((), Action.BROUGHT_IN)] if first_of(said, words.stand_in, free=False) else []


def _clauses(
    said: list[Token], found: Sequence[Deed], crops: Sequence[Hit], places: Sequence[Hit], words: Vocabulary
) -> tuple[list[_Clause], bool]:
    """The sentence cut into what was done to what, and whether it can be cut in one way only."""
    cuts, clear = _cuts(said, found, crops, places, words)
    clauses = []
    for start, end in pairwise([*cuts, len(said)]):
        here = range(start, end)
        own = [deed for deed in found if (deed.at[0] in here if deed.at else start == 0)]
        mine = [hit for hit in places if hit.at[0] in here]
        whence = [hit for hit in mine if _from(said, hit, words)]
        clauses.append(
            _Clause(
                said[start:end],
                own[0] if own else None,
                [hit for hit in crops if hit.at[0] in here],
                [hit for hit in mine if hit not in whence],
                whence,
            )
        )
    return clauses, clear


def _cuts(
    said: Sequence[Token], found: Sequence[Deed], crops: Sequence[Hit], places: Sequence[Hit], words: Vocabulary
) -> tuple[list[int], bool]:
    """Where clauses begin: after a joint that another verb follows, or a crop, or so many in a place, when there has been one
    already; within dictation that runs on, between a verb with what that was done to and the next.
    """
    joining = (*words.linking, *words.turning, *words.because)
    joints = [n for n, token in enumerate(said) if token.parts or (not token.taken and starts(said, n, joining))]
    verb_starts, crop_starts = {deed.at[0] for deed in found if deed.at}, {hit.at[0] for hit in crops}
    place_starts = {hit.at[0] for hit in places}
    numbers = {n for n, token in enumerate(said) if token.value is not None and not token.taken}
    cuts = [0]
    for joint, until in pairwise([*joints, len(said)]):
        ahead, behind = set(range(joint + 1, until)), set(range(cuts[-1], joint))
        dealt_out = bool(numbers & ahead and place_starts & ahead and numbers & behind and place_starts & behind)
        if (ahead & verb_starts and behind & (verb_starts | crop_starts | place_starts)) or (
            (ahead & crop_starts and behind & crop_starts) or (dealt_out and behind & crop_starts)
        ):
            cuts.append(_past_list(joint + 1, until, found, place_starts | crop_starts, cuts[-1]))
    things_at, clear = sorted(crop_starts | place_starts), True
    for start, end in pairwise([-1, *joints, len(said)]):
        inner, well = _unjoined(
            [one for one in found if one.at and start < one.at[0] < end], things_at, end, said, words
        )
        cuts += inner
        clear = clear and well
    return sorted(set(cuts)), clear


def _past_list(start: int, until: int, found: Sequence[Deed], things_at: set[int], begun: int) -> int:
    """Where the clause after a joint begins: at its verb where the things before that still belong to the verb before the
    joint, "watered the tunnel and the greenhouse picked 2 lettuces".
    """
    verb = next((one.at[0] for one in found if one.at and start <= one.at[0] < until), None)
    before = next((one.at[0] for one in found if one.at and begun <= one.at[0] < start), None)
    if verb is None or before is None or any(begun <= at < before for at in things_at):
        return start
    listed = any(start <= at < verb for at in things_at)
    return verb if listed and any(verb < at < until for at in things_at) else start


def _unjoined(
    verbs: Sequence[Deed], things_at: Sequence[int], end: int, said: Sequence[Token], words: Vocabulary
) -> tuple[list[int], bool]:
    """Where words without a joint between them are cut: after each verb where what it was done to stands before it, "carrots
    thinned beetroot watered", else before each; and whether it is plain which.
    """
    if len(verbs) < 2:
        return [], True
    begin = verbs[0].at[0]
    before = [at for at in things_at if at < begin]
    behind = bool(before) and not any(token.parts for token in said[before[-1] : begin])
    cuts, clear = [], True
    for one, other in pairwise(verbs):
        between = [at for at in things_at if one.at[0] < at < other.at[0]]
        follows = [at for at in things_at if other.at[0] < at < end]
        if between and behind:
            cuts.append(max(one.at[-1], min(between) - 1) + 1 if min(between) > one.at[-1] else one.at[-1] + 1)
        elif between:
            cuts.append(_with_cause(said, max(between), other.at[0], words))
            clear = clear and bool(follows)
        elif behind and follows:
            cuts.append(other.at[0])
    return cuts, clear


def _with_cause(said: Sequence[Token], least: int, verb: int, words: Vocabulary) -> int:
    """Where a clause begins whose verb stands there: with what did it, "slugs ate"."""
    for at in range(verb - 1, least, -1):
        if any(starts(said, at, phrases) for phrases in words.causes.values()):
            return at
    return verb


def _lend(clauses: list[_Clause]) -> None:
    """A clause without a verb goes on with the one before, or, where verbs stand last, with the one after; no things: the
    neighbour's.

    Crops listed without a place share that of the next ("peas and carrots in bed 2").
    """
    last = [clause for clause in clauses if clause.deed]
    verbs_last = bool(last) and all(_verb_last(clause) for clause in last)
    if verbs_last:
        for clause, after in zip(clauses[-2::-1], clauses[:0:-1], strict=False):
            clause.deed = clause.deed or after.deed
    clauses[0].deed = clauses[0].deed or next(clause.deed for clause in clauses if clause.deed)
    for before, clause in pairwise(clauses):
        clause.deed = clause.deed or before.deed
        if clause.bare and clause.deed is not None and clause.deed.action in (Action.OPENED, Action.SHUT):
            houses = (one for one in clauses[: clauses.index(clause)][::-1] if one.deed and one.where)
            house = next(
                (one for one in houses if one.deed and one.deed.action in (Action.OPENED, Action.SHUT)), before
            )
            clause.where = house.where
        elif clause.bare:
            clause.crops, clause.where, clause.whence, clause.lent = before.crops, before.where, before.whence, True
        elif not clause.crops and clause.where and before.crops and _wants_crop(clause, before):
            clause.crops, clause.lent = before.crops, clause.deed is not before.deed
    for clause, after in zip(clauses[-2::-1], clauses[:0:-1], strict=False):
        if clause.bare:
            clause.crops, clause.where, clause.whence, clause.lent = after.crops, after.where, after.whence, True
        elif clause.deed is after.deed and not clause.where and not clause.whence:
            clause.where, clause.whence = after.where, after.whence


def _wants_crop(clause: _Clause, before: _Clause) -> bool:
    """ "4 courgettes in bed 2, 2 in the barrel", "slugs got the lettuces so I sowed 12 in bed 3"."""
    return clause.deed is not None and (clause.deed is before.deed or clause.deed.action in _NEED_CROP)


def _verb_last(clause: _Clause) -> bool:
    """Whether what it was done to stands before the verb."""
    taken = [n for n, token in enumerate(clause.said) if token.taken == "verb"]
    things_ = [n for n, token in enumerate(clause.said) if token.taken in ("crop", "place")]
    return bool(taken and things_) and things_[0] < taken[0]


def _notes(clause: _Clause, known: Known, words: Vocabulary, what: Cause | None, day: Said, text: str) -> list[Note]:
    deed, said = clause.deed, clause.said
    if deed is None:
        return []
    action = deed.action
    by_day = action in (Action.PLANTED_OUT, Action.PUT_BACK) and bool(first_of(said, words.daily, free=False))
    if by_day and clause.crops:
        action = Action.HARDENING
    if action is Action.UNCOVERED and not clause.where:
        clause.where, clause.whence = clause.whence, []
    if action is Action.MOVED and not clause.crops:
        deed = replace(deed, action=Action.BROUGHT_IN)  # a pot, into a house
        return (
            _carried(deed, clause, known, words, day, text)
            if any(_is_closed(hit, known) for hit in clause.where)
            else []
        )
    if action in (Action.BROUGHT_IN, Action.PUT_BACK):
        return _carried(deed, clause, known, words, day, text)
    if (
        action is Action.PLANTED_OUT
        and first_of(said, words.seeds, free=False)
        and not first_of(said, words.rule_out[:1], free=False)
    ):
        action = Action.SOWED
    amounts = counted(said, words)
    if action in (Action.OPENED, Action.SHUT) and not any(_is_closed(hit, known) for hit in clause.where):
        return []
    if action is Action.POTTED_ON:  # "into pots"
        clause.where = [hit for hit in clause.where if len(hit.ids) < 2]
    if not _is_report(action, clause, amounts, words):
        return []
    note = _filled(Note(action, text, day.on, wrong_day=day.wrong), amounts, said, words, what)
    sure = (
        note.sure and day.sure and deed.sure and all(hit.sure for hit in (*clause.crops, *clause.where, *clause.whence))
    )
    shared = len(clause.where) > 1 and amounts.count is not None and not first_of(said, words.each, free=False)
    listed = len(clause.crops) > 1 and (len(clause.where) > 1 or amounts.count is not None)
    elsewhere = action is not Action.SOWED and not all(hit.ids for hit in (*clause.where, *clause.whence))
    whole_place = action is Action.CLEARED and (not clause.crops or amounts.count is not None)
    own_number = clause.lent and amounts.count is not None  # "weeded beds 1 and 2, watered 5"
    house = deed.loose and any(_is_house(hit, known) for hit in clause.where)
    note = replace(
        note,
        from_places=tuple(id_ for hit in clause.whence for id_ in hit.ids),
        sure=sure and not (shared or listed or elsewhere or whole_place or house or own_number),
    )
    return [
        replace(note, crops=crop.crops, places=place.ids, beside=crop.beside, plant=crop.plant)
        for crop in clause.crops or [_NOTHING]
        for place in clause.where or [_NOTHING]
    ]


def _is_closed(hit: Hit, known: Known) -> bool:
    kinds = {place.id: place.kind for place in known.places}
    return any(kinds[id_] in (PlaceKind.TUNNEL, PlaceKind.FRAME, PlaceKind.GREENHOUSE) for id_ in hit.ids)


def _is_house(hit: Hit, known: Known) -> bool:
    kinds = {place.id: place.kind for place in known.places}
    return any(kinds[id_] in (PlaceKind.FRAME, PlaceKind.GREENHOUSE, PlaceKind.INDOORS) for id_ in hit.ids)


def _carried(deed: Deed, clause: _Clause, known: Known, words: Vocabulary, day: Said, text: str) -> list[Note]:
    """One note for all pots that were carried; a house that is named is where they were carried, or whence.

    What is called by its crop may have been brought in to be eaten, so that is asked.
    """
    kinds = {place.id: place.kind for place in known.places}
    hits = [hit for hit in (*clause.where, *clause.whence) if hit.ids]
    pots = [hit for hit in hits if all(kinds[id_] is PlaceKind.CONTAINER for id_ in hit.ids)]
    into = [id_ for hit in hits for id_ in hit.ids if kinds[id_] not in (PlaceKind.BED, PlaceKind.CONTAINER)]
    if not (pots or clause.crops) or (clause.crops and counted(clause.said, words).amount is not None):
        return []
    every = all(len(hit.ids) == 1 for hit in pots) or bool(first_of(clause.said, words.every, free=False))
    note = Note(
        deed.action,
        text,
        day.on,
        places=tuple(dict.fromkeys(id_ for hit in pots for id_ in hit.ids)),
        into=tuple(into) if deed.action is Action.BROUGHT_IN else (),
        share=1.0 if every and pots else None,
        sure=day.sure
        and deed.sure
        and (not clause.crops or _for_the_night(clause, words))
        and all(hit.sure for hit in hits),
    )
    return [replace(note, crops=hit.crops) for hit in clause.crops or [_NOTHING]]


def _for_the_night(clause: _Clause, words: Vocabulary) -> bool:
    return bool(first_of(clause.said, words.nightly, free=False))


def _is_report(action: Action, clause: _Clause, amounts: Counted, words: Vocabulary) -> bool:
    """Whether the clause has what such a deed is done to."""
    if action is Action.UNCOVERED and clause.bare and _cover(clause.said, words) is not None:
        return True  # "took the fleece off": where it was is known, or asked
    if not clause.crops and (action in _NEED_CROP or clause.bare):
        return False
    if action is Action.MEASURED:
        return amounts.length_cm is not None
    if action is Action.HARVESTED and amounts.amount is None and amounts.count is None:
        return not steals(clause.said, words)
    return True


def _filled(note: Note, amounts: Counted, said: Sequence[Token], words: Vocabulary, what: Cause | None) -> Note:
    """The note with the numbers that matter for what was done; distances and depths do not. what: took the lost."""
    note = replace(note, sure=amounts.sure or note.action in (Action.OPENED, Action.SHUT))  # "shut at 8.30"
    if note.action is Action.MEASURED:
        return replace(note, amount=amounts.length_cm, unit=Unit.CM)
    if note.action is Action.HARVESTED:
        if amounts.amount is None and amounts.count is not None:
            return replace(note, amount=float(amounts.count), unit=Unit.PIECE)
        return replace(note, amount=amounts.amount, unit=amounts.unit)
    note = replace(note, count=amounts.count, share=amounts.share)
    if amounts.container is Container.ROW and amounts.cells is not None and amounts.containers is not None:
        note = replace(note, count=int(amounts.containers * amounts.cells))
    if note.action is Action.MOVED and amounts.container is not None and amounts.containers is not None:
        note = replace(note, count=int(amounts.containers))
    if amounts.container is not None and note.action in (Action.SOWED, Action.POTTED_ON, Action.PLANTED_OUT):
        note = replace(note, containers=amounts.containers, container=amounts.container, cells=amounts.cells)
    if note.action is Action.LOST:
        note = replace(note, cause=what)
    if note.action is Action.WATERED and amounts.unit is Unit.LITRE:
        note = replace(note, amount=amounts.amount, unit=Unit.LITRE)
    if note.action in (Action.COVERED, Action.UNCOVERED):
        note = replace(note, cover=_cover(said, words))
    return note


def _cover(said: Sequence[Token], words: Vocabulary) -> Cover | None:
    return next((cover for cover, phrases in words.covers.items() if first_of(said, phrases, free=False)), None)


def _from(said: Sequence[Token], hit: Hit, words: Vocabulary) -> bool:
    """Whether a word such as "from" stands before the place, at most two words away."""
    first = hit.at[0]
    for index in range(first - 1, max(-1, first - 4), -1):
        if starts(said, index, words.whence):
            return True
        if said[index].taken or starts(said, index, words.where):
            return False
    return False
