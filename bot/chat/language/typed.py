"""Words instead of a tap: what is written in answer to a question with buttons presses the button that it means.

In private the question is what the bot said last, or the message that is replied to; in a group only the latter. A
question about a note is also answered later, by words that fit nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from functools import lru_cache
from typing import Any

from rapidfuzz.distance import OSA

from bot.chat import presses
from bot.chat.journal import note as noting
from bot.chat.language import things
from bot.chat.language.day import named_on
from bot.chat.language.known import Known
from bot.chat.language.numbers import Counted, counted
from bot.chat.language.phrases import voices
from bot.chat.language.place_numbers import ordinals
from bot.chat.language.replies import (
    Reply,
    counts_otherwise,
    is_of_others,
    is_only,
    reply,
    says_all,
    tells_only_of_houses,
    without_small,
)
from bot.chat.language.tokens import QUESTION_MARKS, Token, first_of, tokens, with_numbers
from bot.chat.language.topics import BESIDE, things_in, wanted
from bot.chat.language.vocabulary import Vocabulary, vocabulary
from bot.chat.request import Request
from bot.chat.tasks import told_done
from bot.core.garden.snapshot import Planting
from bot.crops.find import fold
from bot.i18n import Say
from bot.i18n import say as spoken
from bot.services import journal
from bot.services.journal.note import Action
from bot.services.journal.outcome import NEVER_MIND, QuestionKind
from bot.services.journal.question import ALL
from bot.services.look import look
from bot.storage.journal.note_rows import PendingNote
from bot.storage.models import Outbox
from bot.storage.wire import said
from bot.storage.wire.said import Key

#: Words in a button's data by which it is the yes or the no under its question.
_YES = frozenset({"yes", "go", "publish", "apply", "gone", "left"})
_NO = frozenset({"no", "keep", "stay", "drop", "card", "-1"})
#: The answers to what people are asked to do, which may be about several places.
_OF_JOBS = frozenset({"yes", "no", "done"})
_SIDES = {Reply.YES: _YES, Reply.NO: _NO}
#: A press for which the platform is asked who administers the group; words can't stand for it.
_TAP_ONLY = frozenset({"found", "join"})
_MOST_N = 99_999
_DIGITS = ("1", "2", "3", "4", "5", "6", "7", "8")
#: An answer has no more words, and comes within so long.
_WORDS_N, _LATER = 8, timedelta(hours=2)
_LIKE = 0.8  # share of letters right (optimal string alignment) of a button's word

Sense = Callable[[str], Reply | None]


async def pressed(request: Request) -> bool:
    """Whether the message was nothing but the answer to a question of ours; if so, its button has been pressed."""
    return await _pressed(
        request, lambda text: _part_or_less(request.say, text) if is_only(request.say, text) else None
    )


async def meant(request: Request) -> bool:
    """The same for what is no report: an answer with words beside it, or one that is on no button."""
    if len(request.text.split()) > _WORDS_N:
        return False
    return await _of_note(request) or await _pressed(
        request, lambda text: _part_or_less(request.say, text), labels=False
    )


def _part_or_less(say: Say, text: str) -> Reply | None:
    """The sense of an answer; none of "all of it is done", which says more than the button Done, nor of "locked up", which
    may say less, nor of "no, 3 rows".
    """
    given = reply(say, text)
    other = given is Reply.DONE and (says_all(say, text) or tells_only_of_houses(say, text))
    return None if other or (given is Reply.NO and counts_otherwise(say, text)) else given


async def _pressed(request: Request, sense: Sense, *, labels: bool = True) -> bool:
    words = fold(request.text)
    if request.text.startswith("/") or request.text.endswith(QUESTION_MARKS):
        return False
    for row in await _asked(request):
        keys = [key for key in await said.keys(request.session, row) if key[1].partition(":")[0] not in _TAP_ONLY]
        data = _meant(request, keys, words, sense, labels=labels)
        number = _number_for(keys, words) if data is None and labels else None
        if data is None and number is None:
            continue
        if data is not None and data.partition(":")[0] in _OF_JOBS and await _says_more(request, labels=labels):
            return False
        if row.garden_id is not None:
            await request.member_of(row.garden_id)
        if number is not None:
            await noting.given(request, number[0], {"count": number[1], "share": None})
        else:
            await presses.press(request, data or "")
        return True
    return False


async def _says_more(request: Request, *, labels: bool) -> bool:
    """What is told beside an answer; a later day; a crop or a place, which may be a part of what is asked; or somebody else
    who does it.
    """
    if request.garden is None or request.member is None:
        return False
    today = request.say.local(request.now).date()
    if (named_on(request.text, request.say, today) or today) > today:
        return True  # "yes, but tomorrow"
    outlook = await look(request.session, request.garden, request.source, request.now)
    known = await noting.known_of(request, outlook)
    others = known.people - frozenset(fold(request.member.person.name).split())
    want = wanted(request.text, request.say, known)
    if want is not None and want.topic in BESIDE:
        return True
    return not labels and (
        bool(things_in(request.text, request.say, known))
        or is_of_others(request.say, request.text, others)
        or await told_done.is_for_another_day(request)
        or await told_done.counts_some(request, known)
    )


async def _asked(request: Request) -> Sequence[Outbox]:
    chat, answered_id = request.update.effective_chat, request.answered_id
    if chat is None:
        return ()
    if answered_id is not None:
        row = await said.at(request.session, chat.id, answered_id)
        return () if row is None else (row,)
    return await said.latest_together(request.session, chat.id) if request.private else ()


def _meant(request: Request, keys: Sequence[Key], words: str, sense: Sense, *, labels: bool) -> str | None:
    """The data of the one button that the words mean: its label, its sense, its place in the row, a part of its label."""
    meaning, say = sense(request.text), request.say
    options = [key for key in keys if not _NO & set(key[1].split(":"))]

    def label_means(label: str) -> Reply | None:
        return reply(say, label) if is_only(say, label) else None

    ways = [
        [key for key in keys if meaning is not None and label_means(key[0]) is meaning],
        [key for key in keys if meaning is not None and _SIDES.get(meaning, frozenset()) & set(key[1].split(":"))],
    ]
    if labels and words:
        ways.insert(0, [key for key in keys if fold(key[0]) == words])
        ways += [
            _counted_off(say, options, words),
            [key for key in options if words.isdecimal() and re.findall(r"\d+", key[0]) == [words]],
            [key for key in options if key[1].startswith("note:") and f" {words} " in f" {fold(key[0])} "],
        ]
    return next((found[0][1] for found in ways if len(found) == 1), None)


def _counted_off(say: Say, options: Sequence[Key], words: str) -> list[Key]:
    """ "the first", "the last", "both"."""
    for voice in dict.fromkeys((say, replace(say, language="en"))):
        listed = voice.pgettext(
            "words that choose among buttons: by place; then all",
            "first|the first|first one|the first one;second|the second|second one|the second one;third|the third|"
            "third one|the third one;last|the last|last one|the last one;both|all|both of them|all of them|all of these"
            "|the two of them|the two|the lot|each of them|every one|both beds|both places|each",
        ).split(";")
        left = without_small(say, words)
        found = next(
            (
                n
                for n, each in enumerate(listed)
                if any(words == one or (left and left == bare) for one, bare in _ways(say.language, each))
            ),
            None,
        )
        if found == len(listed) - 1:
            every = {fold(voice.gettext("All of them")), fold(voice.gettext("All of these"))}
            return [key for key in options if fold(key[0]) in every]
        if found is not None and options:
            return list(options[-1:] if found == len(listed) - 2 else options[found : found + 1])
    return []


@lru_cache(256)
def _ways(language: str, listed: str) -> tuple[tuple[str, str], ...]:
    """Each alternative folded, and what is left of it without small words."""
    voice = spoken(language, "UTC")
    return tuple((fold(one), without_small(voice, one)) for one in listed.split("|"))


def _number_for(keys: Sequence[Key], words: str) -> tuple[int, int] | None:
    """(number of the question, number of plants) where numbers stand on the buttons of a note's question."""
    labels = [fold(label).replace(" ", "") for label, data in keys if data.startswith("note:")]
    if len(labels) < 3 or not all(label.isdecimal() for label in labels[:-1]) or not words.isdecimal():
        return None
    number = int(words) if len(words) < 6 else 0
    return (int(keys[0][1].split(":")[1]), number) if 0 < number <= _MOST_N else None


# -- a question about a note


async def _of_note(request: Request) -> bool:
    """An answer to the member's latest question about a note, by what it names: a number, a crop, a place."""
    if request.garden is None or request.member is None or not (request.private or request.answered_id is not None):
        return False
    row = await journal.asked_last(request.session, request.member, request.now - _LATER)
    if row is None or request.text.endswith(QUESTION_MARKS):
        return False
    seen = await look(request.session, request.garden, request.source, request.now)
    known = await noting.known_of(request, seen)
    shown = [key for one in await _asked(request) for key in await said.keys(request.session, one)]
    now_asked = any(key[1].startswith(f"note:{row.id}:") for key in shown)
    if now_asked and _drops(request):
        await noting.pressed(request, f"{row.id}:{NEVER_MIND}")
        return True
    option, change = _chosen(row, request, known, seen.garden.plantings)
    if option is not None:
        await noting.pressed(request, f"{row.id}:{option}")
    elif change is not None:
        await noting.given(request, row.id, change)
    elif now_asked and reply(request.say, request.text) is Reply.LATER:
        await request.reply(request.say.gettext("That is all right. Tap the nearest one, or Never mind."))
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
        refuses = reply(request.say, request.text) in (Reply.NO, Reply.UNSURE, Reply.PART)
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


async def is_asked(request: Request) -> bool:
    """Whether the last thing said to them is a question about a note."""
    shown = [key for one in await _asked(request) for key in await said.keys(request.session, one)]
    return request.private and any(key[1].startswith("note:") for key in shown)


def _by_number(said_: Sequence[Any], ids: Sequence[int], known: Known, words: Vocabulary) -> set[int]:
    """ "5" or "the fifth", of Bed 3, Bed 5 and Bed 6."""
    numbers = {str(int(one.value)) for one in said_ if one.value is not None and one.value.is_integer()}
    if numbers == {"1"} and not any(one.raw == "1" for one in said_):  # "the middle one"
        return set()
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
