"""What one clause reports: a note for each crop and place that its verb was done to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bot.chat.language.clauses import NEED_CROP, Clause
from bot.chat.language.day import Said
from bot.chat.language.known import Known
from bot.chat.language.numbers import Counted, counted
from bot.chat.language.things import Hit
from bot.chat.language.tokens import Token, first_of, starts, take
from bot.chat.language.verbs import STEALING, Deed, steals, steals_counted
from bot.chat.language.vocabulary import Vocabulary
from bot.core.garden.snapshot import Cover, Place, PlaceKind
from bot.services.journal.note import Action, Cause, Container, Note, Unit

_NOTHING = Hit(())
#: Work for which nothing goes from one place to another.
_STAYING = frozenset(
    {Action.WATERED, Action.FED, Action.WEEDED, Action.MULCHED, Action.COVERED, Action.UNCOVERED, Action.THINNED}
)


def notes_of(clause: Clause, known: Known, words: Vocabulary, what: Cause | None, day: Said, text: str) -> list[Note]:
    deed, said = clause.deed, clause.said
    if deed is None:
        return []
    action = deed.action
    by_day = action in (Action.PLANTED_OUT, Action.PUT_BACK) and bool(first_of(said, words.daily, free=False))
    if by_day and clause.crops:
        action = Action.HARDENING
    if action in (Action.UNCOVERED, Action.WEEDED) and not clause.where:  # "pulled the weeds from bed 4"
        clause.where, clause.whence = clause.whence, []
    elif action in _STAYING and clause.whence and (between := _from_to(clause, known)):
        clause.where, clause.whence = between, []
    if (
        action is Action.BROUGHT_IN
        and clause.crops
        and clause.where
        and all(_is_bed(hit, known) for hit in clause.where)
    ):
        action = Action.MOVED  # "moved the leeks into bed 5"
    if (
        action is Action.PLANTED_OUT
        and clause.where
        and clause.whence
        and all(_is_bed(hit, known) for hit in clause.whence)
    ):
        action = Action.MOVED  # "transplanted 10 lettuces from bed 3 to bed 6"
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
    if action is Action.LOST:
        _take_remaining(said, words)
    amounts = counted(said, words)
    if action in (Action.OPENED, Action.SHUT) and not any(_is_closed(hit, known) for hit in clause.where):
        return []
    if action is Action.POTTED_ON:  # "into pots"
        clause.where = [hit for hit in clause.where if len(hit.ids) < 2]
        if clause.where and all(_is_bed(hit, known) for hit in clause.where):
            action = Action.PLANTED_OUT  # moved on into a bed
    if not _is_report(action, clause, amounts, words):
        return []
    of_pests = action is Action.HARVESTED and amounts.amount is None and (what in STEALING or steals(said, words))
    if of_pests and steals_counted(said, words):
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
    row = deed.loose and (amounts.container is Container.ROW or not clause.where)  # set out, sown, or something else
    house = deed.loose and any(_is_house(hit, known) for hit in clause.where)
    in_trays = amounts.container in (Container.TRAY, Container.POT) and any(
        _is_frame(hit, known) for hit in clause.where
    )
    stands = action is Action.PLANTED_OUT and in_trays  # in its trays still
    note = replace(
        note,
        from_places=tuple(id_ for hit in clause.whence for id_ in hit.ids),
        sure=sure
        and not (
            of_pests
            or clause.turned
            or shared
            or listed
            or elsewhere
            or whole_place
            or house
            or row
            or own_number
            or stands
        ),
    )
    return [
        replace(note, crops=crop.crops, places=place.ids, beside=crop.beside, plant=crop.plant)
        for crop in clause.crops or [_NOTHING]
        for place in clause.where or [_NOTHING]
    ]


def _from_to(clause: Clause, known: Known) -> list[Hit]:
    """The places from the first named to the last, where nothing is moved: "watered from bed 1 to bed 3"."""
    if (
        len(clause.whence) != 1
        or len(clause.where) != 1
        or any(len(hit.ids) != 1 for hit in clause.whence + clause.where)
    ):
        return []
    first, last = clause.whence[0], clause.where[0]
    by_id = {place.id: place for place in known.places}
    one, other = by_id[first.ids[0]], by_id[last.ids[0]]
    (start, low), (_, high) = _numbered(one), _numbered(other)
    if one.kind is not other.kind or low is None or high is None or low >= high:
        return []
    between = ((place.id, _numbered(place)) for place in known.places)
    return [replace(last, ids=(id_,)) for id_, (name, n) in between if name == start and n and low <= n <= high]


def _numbered(place: Place) -> tuple[str, int | None]:
    """A place's name and the number behind it."""
    name, _, number = place.name.rpartition(" ")
    return name, int(number) if number.isdecimal() and not number.startswith("0") else None


def _take_remaining(said: Sequence[Token], words: Vocabulary) -> None:
    """ "10 left" are none that were lost."""
    for n, token in enumerate(said):
        if token.value is not None and not token.taken and starts(said, n + 1, words.remaining):
            take(said, (n,), "remaining")


def _is_bed(hit: Hit, known: Known) -> bool:
    return {place.kind for place in known.places if place.id in hit.ids} == {PlaceKind.BED}


def _is_closed(hit: Hit, known: Known) -> bool:
    kinds = {place.id: place.kind for place in known.places}
    return any(kinds[id_] in (PlaceKind.TUNNEL, PlaceKind.FRAME, PlaceKind.GREENHOUSE) for id_ in hit.ids)


def _is_frame(hit: Hit, known: Known) -> bool:
    return any(place.kind is PlaceKind.FRAME for place in known.places if place.id in hit.ids)


def _is_house(hit: Hit, known: Known) -> bool:
    kinds = {place.id: place.kind for place in known.places}
    return any(kinds[id_] in (PlaceKind.FRAME, PlaceKind.GREENHOUSE, PlaceKind.INDOORS) for id_ in hit.ids)


def _carried(deed: Deed, clause: Clause, known: Known, words: Vocabulary, day: Said, text: str) -> list[Note]:
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
        and not clause.turned
        and (not clause.crops or _for_the_night(clause, words))
        and all(hit.sure for hit in hits),
    )
    return [replace(note, crops=hit.crops) for hit in clause.crops or [_NOTHING]]


def _for_the_night(clause: Clause, words: Vocabulary) -> bool:
    return bool(first_of(clause.said, words.nightly, free=False))


def _is_report(action: Action, clause: Clause, amounts: Counted, words: Vocabulary) -> bool:
    """Whether the clause has what such a deed is done to."""
    if action is Action.UNCOVERED and clause.bare and _cover(clause.said, words) is not None:
        return True  # "took the fleece off": where it was is known, or asked
    if not clause.crops and (action in NEED_CROP or clause.bare):
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
        note = replace(note, share=amounts.share)
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
