"""Words that answer a question about a note by what they name: a number, a crop, a place; also later, where they fit
nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Any

from rapidfuzz.distance import OSA

from bot.chat.journal import note as noting
from bot.chat.language import things
from bot.chat.language.known import Known
from bot.chat.language.numbers import Counted, counted
from bot.chat.language.phrases import voices
from bot.chat.language.place_numbers import ordinals
from bot.chat.language.replies import Reply, reply, small, without_small
from bot.chat.language.tokens import QUESTION_MARKS, Token, first_of, tokens, with_numbers
from bot.chat.language.topics import holds
from bot.chat.language.vocabulary import Vocabulary, vocabulary
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Planting
from bot.crops.find import fold
from bot.services import journal
from bot.services.journal.note import Action
from bot.services.journal.outcome import NEVER_MIND, QuestionKind
from bot.services.journal.question import ALL
from bot.services.look import look
from bot.storage.journal.note_rows import PendingNote
from bot.storage.models import Outbox
from bot.storage.wire import said

_MOST_N = 99_999
_DIGITS = ("1", "2", "3", "4", "5", "6", "7", "8")
#: An answer comes within so long.
_LATER = timedelta(hours=2)
_LIKE = 0.8  # share of letters right (optimal string alignment) of a button's word
#: In so few words "the fourth one" is a place.
_ORDINAL_N = 4
_IN_A_ROW_N, _WIDE_N = 2, 16


async def said_last(request: Request) -> Sequence[Outbox]:
    """The message that is replied to; else, in private, what the bot said last."""
    chat, answered_id = request.update.effective_chat, request.answered_id
    if chat is None:
        return ()
    if answered_id is not None:
        row = await said.at(request.session, chat.id, answered_id)
        return () if row is None else (row,)
    return await said.latest_together(request.session, chat.id) if request.private else ()


async def taken(request: Request) -> bool:
    """An answer to the member's latest question about a note, by what it names: a number, a crop, a place."""
    if request.garden is None or request.member is None or not (request.private or request.answered_id is not None):
        return False
    row = await journal.asked_last(request.session, request.member, request.now - _LATER)
    if row is None or request.text.endswith(QUESTION_MARKS):
        return False
    seen = await look(request.session, request.garden, request.source, request.now)
    known = await noting.known_of(request, seen)
    now_asked = any(data.startswith(f"note:{row.id}:") for _, data in await _shown(request))
    if now_asked and _drops(request):
        await noting.pressed(request, f"{row.id}:{NEVER_MIND}")
        return True
    option, change = _chosen(row, request, known, seen.garden.plantings)
    if option is not None:
        await noting.pressed(request, f"{row.id}:{option}")
    elif change is not None:
        await noting.given(request, row.id, change)
    elif now_asked and reply(request.say, request.text) is Reply.LATER:
        text = request.say.gettext("That is all right. Tap the nearest one, or Never mind.")
        await request.reply(text, await buttons(request))
    else:
        return False
    return True


def _chosen(
    row: PendingNote, request: Request, known: Known, plantings: Sequence[Planting]
) -> tuple[int | None, Mapping[str, Any] | None]:
    """(number of the option, or what else is to be changed in the note) that the words name."""
    kind, options, note = QuestionKind(row.note["kind"]), row.note["options"], row.note["note"]
    words = vocabulary(request.say.language)
    said_ = with_numbers(tokens(request.text), words.numbers, words.minus, words.tens, words.times)
    said_ = _as_put_right(said_, request)
    if kind is QuestionKind.COUNT:
        every = bool(first_of(said_, words.every))
        none = bool(first_of(said_, (*words.denying, *words.not_yet)))
        several = sum(token.value is not None for token in said_) > 1
        if note["action"] == Action.LOST and first_of(said_, words.remaining):
            return None, None  # "3 are left"
        found = counted(said_, words)
        in_all = _in_all(found, said_, words)
        if in_all is not None:
            return None, {"count": min(in_all, _MOST_N), "share": None}
        if none or (every and found.count == 1):  # "not one", "every single one"
            every = every and not none and note["action"] == Action.LOST
            return None, {"share": 1.0} if every else None
        if several or (found.share == 1.0 and reply(request.say, request.text) is Reply.PART):
            return None, None
        if found.count is not None and 0 < found.count <= _MOST_N:
            return None, {"count": found.count, "share": None}
        of_all = note["action"] == Action.LOST and found.share is not None
        return None, {"share": found.share} if of_all else None
    if kind in (QuestionKind.CONFIRM, QuestionKind.MUCH):
        found = counted(said_, words)
        alone = all(one.value is not None or one.parts or one.word in small(request.say.language) for one in said_)
        refuses = (alone and note["count"]) or reply(request.say, request.text) in (Reply.NO, Reply.UNSURE, Reply.PART)
        others = _other_places(request, note, known, words)
        if len(others) == 1:  # "no, on bed 3"
            return None, {"places": tuple(others), "sure": True}
        return None, {"count": found.count, "sure": True, "believed": True} if refuses and found.count else None
    # Taken first for every kind, so that no word of a place's name is read as a crop.
    places = things.named(said_, {place.id: place.name for place in known.places}, words, "place", known)

    def place_ids(others: Sequence[int]) -> set[int]:
        named_ = {id_ for hit in places for id_ in hit.ids}
        partly = named_ or {id_ for hit in things.places(said_, known, words) for id_ in hit.ids}
        guessed = (
            {id_ for hit in things.guessed_places(said_, known, words) for id_ in hit.ids} if not partly else set()
        )
        return partly or _by_number(said_, others, known, words) or guessed & set(others)

    if kind in (QuestionKind.PLACE, QuestionKind.HOUSE):
        ids = place_ids([id_ for id_ in options if isinstance(id_, int)])
        listed = [n for n, one in enumerate(options) if one in ids]
        if len(listed) == 1:
            return listed[0], None
        if len(ids) > 1 and ALL in options:
            return None, {"places": tuple(sorted(ids)), "share": 1.0}
        field = "places" if kind is QuestionKind.PLACE else "into"
        return None, {field: tuple(ids)} if len(ids) == 1 else None
    if kind is QuestionKind.PLANTING:
        ids = place_ids([place.id for place in known.places])
        at = {one.id: one.place_id for one in plantings}
        listed = [n for n, one in enumerate(options) if one and at.get(one) in ids]
        if len(listed) == 1:
            return listed[0], None
        if listed:
            return None, {"plantings": tuple(options[n] for n in listed)}
        return None, {"places": tuple(ids)} if len(ids) == 1 and not note["crops"] else None
    if kind is QuestionKind.CROP:
        hits = [*things.crops(said_, known), *things.declined_crops(said_, known)]
        keys = {key for hit in hits for key in hit.crops}
        listed = [n for n, one in enumerate(options) if one in keys]
        listed = listed or [int(one.value) - 1 for one in said_ if one.raw in _DIGITS[: len(options)] and one.value]
        return (listed[0], None) if len(listed) == 1 else (_alike(request, options, known), None)
    return None, None


def _as_put_right(said_: list[Token], request: Request) -> list[Token]:
    """Only the last number of several that are put right in a breath: "eight, no sorry, nine"."""
    at = [n for n, token in enumerate(said_) if token.value is not None]
    if len(at) < 2:
        return said_
    between = " ".join(token.word for token in said_[at[-2] + 1 : at[-1]] if not token.parts)
    wrong = reply(request.say, between) is Reply.NO or any(
        holds(concept, request.say, between) for concept in ("sorry", "correct")
    )
    return said_[at[-1] :] if wrong else said_


def _other_places(request: Request, note: Mapping[str, Any], known: Known, words: Vocabulary) -> set[int]:
    """Places that are named beside a no, or beside what the note says, and are others than that."""
    own = set(note["places"])
    if not own:
        return set()
    said_ = with_numbers(tokens(request.text), words.numbers, words.minus, words.tens, words.times)
    denies = bool(first_of(said_, (*words.denying, *words.blocked)))
    hits = things.named(said_, {place.id: place.name for place in known.places}, words, "place", known)
    hits += things.places(said_, known, words)
    left = denies or reply(request.say, request.text) in (Reply.NO, Reply.UNSURE, Reply.PART)
    return {hit.ids[0] for hit in hits if len(hit.ids) == 1} - own if left else set()


def _in_all(found: Counted, said_: Sequence[Token], words: Vocabulary) -> int | None:
    """How many "3 trays of 12", "4 x 6" or "two trays, 12 in each" are."""
    each = found.count if first_of(said_, words.each, free=False) else None
    if found.containers and (found.cells or each):
        return int(found.containers * (found.cells or each or 0))
    return found.count if any(token.taken == "product" for token in said_) else None


def _drops(request: Request) -> bool:
    """Whether it takes the whole question away."""
    left = without_small(request.say, request.text)
    return any(
        left
        in {
            without_small(request.say, phrase)
            for phrase in voice.pgettext(
                "words that drop a question",
                "none|nothing|zero|neither|skip|forget it|cancel|leave it|leave them|scrap it|never mind|nevermind|"
                "none of them|none of these|doesn't matter|no matter|drop it",
            ).split("|")
        }
        for voice in voices(request.say)
    )


async def buttons(request: Request) -> list[list[Button]]:
    """The buttons of the last thing said to them, where that is a question about a note."""
    shown = await _shown(request)
    if not request.private or not any(data.startswith("note:") for _, data in shown):
        return []
    row_n = 1 if any(len(label) > _WIDE_N for label, _ in shown) else _IN_A_ROW_N
    return [shown[n : n + row_n] for n in range(0, len(shown), row_n)]


async def _shown(request: Request) -> list[Button]:
    """The buttons under what was said last."""
    return [key for one in await said_last(request) for key in await said.keys(request.session, one)]


def _by_number(said_: Sequence[Any], ids: Sequence[int], known: Known, words: Vocabulary) -> set[int]:
    """ "5" or "the fifth", of Bed 3, Bed 5 and Bed 6."""
    numbers = {str(int(one.value)) for one in said_ if one.value is not None and one.value.is_integer()}
    if not any(one.value == 1 and one.raw.isdecimal() for one in said_):
        numbers.discard("1")  # "the middle one", "the fourth one"
    if len(said_) <= _ORDINAL_N:
        numbers |= {str(told) for one in said_ if (told := ordinals(words).get(one.word))}
    names = {place.id: set(fold(place.name).split()) for place in known.places}
    return {id_ for id_ in ids if numbers & names.get(id_, set())}


def _alike(request: Request, options: Sequence[Any], known: Known) -> int | None:
    """The one option whose name holds a word like one that was written: "earlies" of early potatoes."""
    names = [
        {
            word
            for name in (
                *known.names.get(str(one), ()),
                *(name for name, keys in known.local.items() if one in keys.split()),
            )
            for word in fold(name).split()
        }
        for one in options
    ]
    said_ = fold(request.text).split()
    fits = [
        sum(any(OSA.normalized_similarity(a, b) >= _LIKE for b in own) for a in said_) for own in names
    ]  # words of the answer that are like one of its own
    best = max(fits, default=0)
    hits = [n for n, found in enumerate(fits) if found == best > 0]
    return hits[0] if len(hits) == 1 else None
