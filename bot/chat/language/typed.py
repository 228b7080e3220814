"""Words instead of a tap: what is written in answer to a question with buttons presses the button that it means.

In private the question is what the bot said last, or the message that is replied to; in a group only the latter.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace

from bot.chat import presses
from bot.chat.journal import note
from bot.chat.request import Request
from bot.crops.find import fold
from bot.i18n import Say
from bot.storage.models import Outbox
from bot.storage.wire import said
from bot.storage.wire.said import Key

__all__ = ["Sense", "pressed"]

#: What a whole message means ("yes", "done"), None where it means nothing of the kind.
Sense = Callable[[str], Hashable | None]
#: Words in a button's data by which it is the yes or the no under its question.
_YES = frozenset({"yes", "go", "publish", "apply", "gone", "left"})
_NO = frozenset({"no", "keep", "stay", "drop", "card", "-1"})
#: A press for which the platform is asked who administers the group; words can't stand for it.
_TAP_ONLY = frozenset({"found", "join"})
_MOST_N = 99_999


async def pressed(request: Request, sense: Sense, yes: Hashable, no: Hashable) -> bool:
    """Whether the message was the answer to a question of ours; if so, its button has been pressed."""
    words = fold(request.text)
    if not words or request.text.startswith("/") or request.text.endswith("?"):
        return False
    for row in await _asked(request):
        keys = [key for key in await said.keys(request.session, row) if key[1].partition(":")[0] not in _TAP_ONLY]
        data = _meant(request.say, keys, words, sense, {yes: _YES, no: _NO})
        number = _number_for(keys, words) if data is None else None
        if data is None and number is None:
            continue
        if row.garden_id is not None:
            await request.member_of(row.garden_id)
        if number is not None:
            await note.counted(request, *number)
        else:
            await presses.press(request, data or "")
        return True
    return False


async def _asked(request: Request) -> Sequence[Outbox]:
    chat, answered_id = request.update.effective_chat, request.answered_id
    if chat is None:
        return ()
    if answered_id is not None:
        row = await said.at(request.session, chat.id, answered_id)
        return () if row is None else (row,)
    return await said.latest_together(request.session, chat.id) if request.private else ()


def _meant(
    say: Say, keys: Sequence[Key], words: str, sense: Sense, sides: dict[Hashable, frozenset[str]]
) -> str | None:
    """The data of the one button that the words mean: its label, its sense, its place in the row, a part of its label."""
    meaning = sense(words)
    options = [key for key in keys if not _NO & set(key[1].split(":"))]
    ways = (
        [key for key in keys if fold(key[0]) == words],
        [key for key in keys if meaning is not None and sense(fold(key[0])) == meaning],
        [key for key in keys if meaning is not None and sides.get(meaning, frozenset()) & set(key[1].split(":"))],
        _counted_off(say, options, words),
        [key for key in options if key[1].startswith("note:") and f" {words} " in f" {fold(key[0])} "],
    )
    return next((found[0][1] for found in ways if len(found) == 1), None)


def _counted_off(say: Say, options: Sequence[Key], words: str) -> list[Key]:
    """ "the first", "the last", "both"."""
    for voice in dict.fromkeys((say, replace(say, language="en"))):
        listed = voice.pgettext(
            "words that choose among buttons: by place; then all",
            "first|the first|first one|the first one;second|the second|second one|the second one;third|the third|"
            "third one|the third one;last|the last|last one|the last one;both|all|both of them|all of them|all of these",
        ).split(";")
        found = next((n for n, each in enumerate(listed) if words in map(fold, each.split("|"))), None)
        if found == len(listed) - 1:
            every = {fold(voice.gettext("All of them")), fold(voice.gettext("All of these"))}
            return [key for key in options if fold(key[0]) in every]
        if found is not None and options:
            return list(options[-1:] if found == len(listed) - 2 else options[found : found + 1])
    return []


def _number_for(keys: Sequence[Key], words: str) -> tuple[int, int] | None:
    """(number of the question, number of plants) where numbers stand on the buttons of a note's question."""
    labels = [fold(label).replace(" ", "") for label, data in keys if data.startswith("note:")]
    if len(labels) < 3 or not all(label.isdecimal() for label in labels[:-1]) or not re.fullmatch(r"[0-9]{1,5}", words):
        return None
    number = int(words)
    return (int(keys[0][1].split(":")[1]), number) if 0 < number <= _MOST_N else None
