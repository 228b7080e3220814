"""Words instead of a tap: what is written in answer to a question with buttons presses the button that it means.

In private the question is what the bot said last, or the message that is replied to; in a group only the latter.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache

from bot.chat import presses
from bot.chat.journal import note as noting
from bot.chat.language import note_answers
from bot.chat.language.day import named_on
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
from bot.chat.language.tokens import QUESTION_MARKS
from bot.chat.language.topics import BESIDE, things_in, wanted
from bot.chat.request import Request
from bot.chat.tasks import told_done
from bot.crops.find import fold
from bot.i18n import Say
from bot.i18n import say as spoken
from bot.services.look import look
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
_WORDS_N = 8  # of an answer, at the most

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
    return await note_answers.taken(request) or await _pressed(
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
    for row in await note_answers.said_last(request):
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
    others = known.others(request.own_name)
    want = wanted(request.text, request.say, known)
    if want is not None and want.topic in BESIDE:
        return True
    return not labels and (
        bool(things_in(request.text, request.say, known))
        or is_of_others(request.say, request.text, others)
        or await told_done.is_for_another_day(request)
        or await told_done.counts_some(request, known)
    )


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
