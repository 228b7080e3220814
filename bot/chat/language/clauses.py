"""A statement cut into clauses, each with one verb and what it was done to; and what they lend each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bot.chat.language.things import Hit
from bot.chat.language.tokens import Token, starts
from bot.chat.language.verbs import Deed
from bot.chat.language.vocabulary import Vocabulary
from bot.services.journal.note import Action

NEED_CROP = frozenset(
    {Action.SOWED, Action.POTTED_ON, Action.HARDENING, Action.HARDENED, Action.PLANTED_OUT, Action.HARVESTED, Action.LOST,
     Action.MEASURED, Action.MOVED, Action.THINNED, Action.PRUNED}
)  # fmt: skip


_STARTS = frozenset({Action.SOWED, Action.PLANTED_OUT})


@dataclass(slots=True)
class Clause:
    """Tokens of one clause with what was found in them; deed is None in a clause that only goes on listing.

    where: places at which, or into which; whence: those that things came from. lent: they are another clause's.
    turned: a "but" stands before it, and no verb within, so that it may say the contrary.
    """

    said: list[Token]
    deed: Deed | None
    crops: list[Hit]
    where: list[Hit]
    whence: list[Hit]
    lent: bool = False
    turned: bool = False

    @property
    def bare(self) -> bool:
        return not (self.crops or self.where or self.whence)


def clauses_of(
    said: list[Token], found: Sequence[Deed], crops: Sequence[Hit], places: Sequence[Hit], words: Vocabulary
) -> tuple[list[Clause], bool]:
    """The sentence cut into what was done to what, and whether it can be cut in one way only."""
    cuts, clear = _cuts(said, found, crops, places, words)
    clauses = []
    for start, end in pairwise([*cuts, len(said)]):
        here = range(start, end)
        own = [deed for deed in found if (deed.at[0] in here if deed.at else start == 0)]
        mine = [hit for hit in places if hit.at[0] in here]
        whence = [hit for hit in mine if _from(said, hit, words)]
        clauses.append(
            Clause(
                said[start:end],
                own[0] if own else None,
                [hit for hit in crops if hit.at[0] in here],
                [hit for hit in mine if hit not in whence],
                whence,
                turned=bool(start and not own and starts(said, start - 1, words.turning)),
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
        things, crops_meet = crop_starts | place_starts, bool(ahead & crop_starts and behind & crop_starts)
        turned = bool(starts(said, joint, words.turning) and ahead & things and behind & things)
        goes_on = not behind & verb_starts and _goes_on(joint, until, places, verb_starts)  # "pots 4 and 6 moved"
        next_verb = bool(ahead & verb_starts and behind & (verb_starts | things)) and not goes_on
        if (
            turned
            or next_verb
            or crops_meet
            or (dealt_out and behind & crop_starts)
            or _other_kind(said, joint, found, crops, places, words)
        ):
            cuts.append(_past_list(joint + 1, until, found, place_starts | crop_starts, cuts[-1]))
    things_at, clear = sorted(crop_starts | place_starts), True
    for start, end in pairwise([-1, *joints, len(said)]):
        inner, well = _unjoined(
            [one for one in found if one.at and start < one.at[0] < end], things_at, end, said, words
        )
        cuts += inner
        cuts += _listed([hit for hit in crops if start < hit.at[0] < end], said)
        clear = clear and well
    return sorted(set(cuts)), clear


def _goes_on(joint: int, until: int, places: Sequence[Hit], verb_starts: set[int]) -> bool:
    """Whether places stand on both sides of the joint, right beside it, before the verb."""
    before = any(hit.at[-1] == joint - 1 for hit in places)
    after = next((hit.at[-1] for hit in places if hit.at[0] == joint + 1), None)
    verb = min((at for at in verb_starts if joint < at < until), default=None)
    return before and after is not None and verb is not None and after < verb


def _listed(crops: Sequence[Hit], said: Sequence[Token]) -> list[int]:
    """Where crops begin that are each followed by its number, without a joint: "peas 200 g strawberries 350 g"."""
    ordered = sorted(crops, key=lambda hit: hit.at)
    after = [hit.at[-1] + 1 for hit in ordered]
    if len(ordered) < 2 or not all(n < len(said) and said[n].value is not None and not said[n].taken for n in after):
        return []
    return [hit.at[0] for hit in ordered[1:]]


def _other_kind(
    said: Sequence[Token],
    joint: int,
    found: Sequence[Deed],
    crops: Sequence[Hit],
    places: Sequence[Hit],
    words: Vocabulary,
) -> bool:
    """Whether an "and" stands between a place and a crop, or a crop and a place, to which the same was done: "watered bed 1 and
    the lettuces"; not "sowed peas and bed 3", since what is sown has a place.
    """
    at = starts(said, joint, words.linking)
    verb = next((one for one in reversed(found) if one.at and one.at[0] < joint), None)
    if not at or verb is None or verb.action in NEED_CROP:
        return False
    after = at[-1] + 1
    while after < len(said) and (said[after].word in words.bounds and not said[after].taken):
        if starts(said, after, (*words.where, *words.whence)):
            return False
        after += 1
    if not said[joint - 1].taken or after >= len(said) or not said[after].taken:
        return False
    crop_before, place_before = (any(hit.at[-1] == joint - 1 for hit in some) for some in (crops, places))
    crop_after, place_after = (any(hit.at[0] == after for hit in some) for some in (crops, places))
    return (crop_before and place_after) or (place_before and crop_after)


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


def lend(clauses: list[Clause]) -> None:
    """A clause without a verb goes on with the one before, or, where verbs stand last, with the one after; no things: the
    neighbour's.

    Crops listed without a place share that of the next ("peas and carrots in bed 2").
    """
    _join_background(clauses)
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
    _share_leading(clauses)
    _share_sown(clauses)
    for clause, after in zip(clauses[-2::-1], clauses[:0:-1], strict=False):
        if clause.bare:
            clause.crops, clause.where, clause.whence, clause.lent = after.crops, after.where, after.whence, True
        elif clause.deed is after.deed and not clause.where and not clause.whence:
            clause.where, clause.whence = after.where, after.whence


def _share_leading(clauses: Sequence[Clause]) -> None:
    """Crops that are listed after their place stay in it, "in the tunnel the cucumbers, the peppers, in the greenhouse the
    tomatoes".
    """
    lead: Clause | None = None
    for clause in clauses:
        if clause.where or clause.whence:
            first = min((hit.at[0] for hit in clause.crops), default=None)
            leads = first is not None and bool(clause.where) and all(hit.at[-1] < first for hit in clause.where)
            lead = clause if leads else None
        elif lead is not None and clause.crops and clause.deed is lead.deed:
            clause.where = lead.where
        else:
            lead = None


def _share_sown(clauses: Sequence[Clause]) -> None:
    """What is sown or planted after a place, and has none of its own, stands there, too: "sowed beetroot in bed 5 and
    carrots".
    """
    for n, (before, clause) in enumerate(pairwise(clauses), 1):
        same = clause.deed is before.deed and clause.deed is not None and clause.deed.action in _STARTS
        later = any(one.deed is clause.deed and one.where for one in clauses[n + 1 :])
        if same and clause.crops and before.where and not (clause.where or clause.whence or later):
            clause.where = before.where


def _join_background(clauses: list[Clause]) -> None:
    """Things without a verb before a verb without things are what that was done to: "dropped a tray of beans, lost a dozen"."""
    if len(clauses) < 2 or clauses[0].deed or not clauses[1].deed or clauses[0].bare or not clauses[1].bare:
        return
    first, second = clauses[0], clauses[1]
    second.crops, second.where, second.whence = first.crops, first.where, first.whence
    if not any(token.value is not None for token in second.said):
        second.said = [*first.said, *second.said]
    del clauses[0]


def _wants_crop(clause: Clause, before: Clause) -> bool:
    """ "4 courgettes in bed 2, 2 in the barrel", "slugs got the lettuces so I sowed 12 in bed 3"."""
    return clause.deed is not None and (clause.deed is before.deed or clause.deed.action in NEED_CROP)


def _verb_last(clause: Clause) -> bool:
    """Whether what it was done to stands before the verb."""
    taken = [n for n, token in enumerate(clause.said) if token.taken == "verb"]
    things_ = [n for n, token in enumerate(clause.said) if token.taken in ("crop", "place")]
    return bool(taken and things_) and things_[0] < taken[0]


def _from(said: Sequence[Token], hit: Hit, words: Vocabulary) -> bool:
    """Whether a word such as "from" stands before the place, at most two words away."""
    first = hit.at[0]
    for index in range(first - 1, max(-1, first - 4), -1):
        if starts(said, index, words.whence):
            return True
        if said[index].taken or starts(said, index, words.where):
            return False
    return False
