"""Work that is told of as done in the words of a report, "carried them in", to whoever was asked for just that."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache

from bot.chat.language import replies, things
from bot.chat.language.day import named_on
from bot.chat.language.known import Known
from bot.chat.language.openings import begins_question, in_both
from bot.chat.language.phrases import says
from bot.chat.language.tokens import Token, clear, copied, first_of, is_question, starts, tokens, with_numbers
from bot.chat.language.topics import Things, holds, things_in
from bot.chat.language.verbs import deeds
from bot.chat.language.vocabulary import vocabulary
from bot.chat.request import Request
from bot.chat.tasks import answers
from bot.core.finding import TaskKind
from bot.crops.find import fold
from bot.services.journal.note import Action

_READ_N = 300  # signs
_PART = re.compile(r"[,.;:!\n]+\s*")
_SEVERAL_N = 2
#: What a report of it does of what is asked for.
_DOES: Mapping[Action, TaskKind] = {
    Action.UNCOVERED: TaskKind.UNCOVER,
    Action.COVERED: TaskKind.COVER,
    Action.BROUGHT_IN: TaskKind.BRING_IN,
    Action.PUT_BACK: TaskKind.PUT_BACK,
    Action.WATERED: TaskKind.WATER,
    Action.OPENED: TaskKind.VENT,
    Action.SHUT: TaskKind.CLOSE,
}


async def is_told(request: Request, known: Known) -> bool:
    """Whether it says that what was asked of them is done, and nothing else was asked of them: "took everything off"."""
    words = vocabulary(request.say.language)
    said = with_numbers(tokens(request.text), words.numbers, words.minus)
    if is_question(request.text) or begins_question(fold(request.text).split(), request.say.language):
        return False
    if first_of(said, (*words.blocked, *words.excepted, *words.doubted)):
        return False
    if _did_these(request, said, known) and await answers.is_theirs(
        request, things_in(request.text, request.say, known)
    ):
        return True
    found = [deed for deed in deeds(copied(said), words) if deed.action in _DOES]
    found = [deed for deed in found if deed.sure or deed.action is Action.UNCOVERED]  # "took everything off"
    ends = [deed.at[-1] + 1 for deed in found]
    if any(starts(said, end, words.where) and not _is_it(said, end + 1, request.say.language) for end in ends):
        return False  # "fleece is over by the shed"
    kinds = {_DOES[deed.action] for deed in found}
    return len(kinds) == 1 and await answers.asked_kinds(request) == kinds


async def is_unharmed(request: Request) -> bool:
    """ "No damage" is a Done of whoever was asked to look for it, and no no."""
    fine = says(
        request.say,
        fold(request.text[:_READ_N]),
        lambda voice: voice.pgettext(
            "words that nothing was damaged",
            "no damage|no damages|not damaged|nothing damaged|nothing broken|nothing broke|no harm done|all in one piece",
        ),
    )
    return fine and request.private and await answers.is_asked_only(request, TaskKind.LOOK)


async def is_told_first(request: Request) -> bool:
    """Whether a message that reports something else begins with a done of what was asked: "done, also fed the tomatoes"."""
    say = request.say
    first, _, rest = _first_part(request.text)
    said_done = bool(rest) and replies.reply(say, first) is replies.Reply.DONE and replies.is_only(say, first)
    if not said_done or replies.tells_only_of_houses(say, first) or not request.private:
        return False
    words = vocabulary(say.language)
    said = with_numbers(tokens(rest), words.numbers, words.minus)
    if says(
        say,
        fold(rest),
        lambda voice: voice.pgettext("words of something done beside what was asked", "also|too|as well|and then"),
    ):
        return True
    kinds = {_DOES.get(deed.action) for deed in deeds(said, words)}
    return kinds.isdisjoint(
        await answers.asked_kinds(request)
    )  # not "done, watered bed 3" of whoever is to water bed 1


def _first_part(text: str) -> tuple[str, str, str]:
    found = _PART.search(text)
    return (text, "", "") if found is None else (text[: found.start()], found[0], text[found.end() :])


def _did_these(request: Request, said: Sequence[Token], known: Known) -> bool:
    """Whether it says nothing but that things which it names are done: "me and Oskar did pots 1, 2 and 3"."""
    words, language = vocabulary(request.say.language), request.say.language
    others = known.others(request.own_name)
    if not first_of(said, words.did) or replies.is_of_others(request.say, request.text, others):
        return False
    left = copied(said)
    things.named(left, {place.id: place.name for place in known.places}, words, "place", known)
    things.places(left, known, words)
    rest = {one.word for one in left if not one.taken and one.value is None and not one.parts}
    kinds = {word for own_ in (*words.numbered.values(), *words.kinds.values()) for phrase in own_ for word in phrase}
    rest -= {phrase[0] for phrase in (*words.did, *words.linking, *words.every)} | known.people | kinds
    return not rest - replies.small(language) - replies.first_persons(language)


def leaves_out(request: Request, known: Known) -> bool:
    """Whether of several places that it names one is denied, "pot 4 in, pot 5 not": some of it is done."""
    words = vocabulary(request.say.language)
    said = with_numbers(tokens(request.text), words.numbers, words.minus)
    denied = first_of(said, words.denying) and not is_question(request.text)
    return bool(denied) and len(things_in(request.text, request.say, known).place_ids) > 1


def taken_up(request: Request, known: Known) -> tuple[Things, Things]:
    """What a yes names, and what it leaves out: "I can do pot 1 but not pot 2"."""
    words = vocabulary(request.say.language)
    said = with_numbers(tokens(request.text), words.numbers, words.minus)
    whole = things_in(request.text, request.say, known)
    at = first_of(said, words.excepted) or first_of(said, words.denying)
    if not at:
        return whole, Things()
    head = things_in(clear(request.text)[: said[at[0]].start], request.say, known)
    return head, whole.without(head)


async def is_for_another_day(request: Request) -> bool:
    """Whether a yes names a day after all that is asked, "I can do Thursday", or takes up nothing that is: "I can do bits"."""
    if says(
        request.say,
        fold(request.text),
        lambda voice: voice.pgettext(
            "words by which somebody offers what was not asked",
            "things|stuff|bits|bits and bobs|odd jobs|odd bits|something else|something|another day|"
            "another time|another night|other days|some other day|some other time|most days|other jobs|other things|"
            "the other jobs|in general|generally|usually|normally|at weekends|on weekends|weekends|evenings|mornings|"
            "afternoons|mondays|tuesdays|wednesdays|thursdays|fridays|saturdays|sundays",
        ),
    ):
        return True
    if holds("away", request.say, fold(request.text)):  # "yes, I'm away from Friday though"
        return False
    due_at = await answers.last_due_at(request)
    on = named_on(request.text, request.say, request.say.local(request.now).date())
    return due_at is not None and on is not None and on > request.say.local(due_at).date()


async def counts_some(request: Request, known: Known) -> bool:
    """Whether it counts fewer things than were asked for: "3 done", of five pots."""
    asked_n = await answers.open_n(request)
    if asked_n < _SEVERAL_N:
        return False
    words = vocabulary(request.say.language)
    said = with_numbers(tokens(request.text), words.numbers, words.minus, words.tens, words.times)
    things.named(said, {place.id: place.name for place in known.places}, words, "place", known)
    things.places(said, known, words)
    for n, one in enumerate(said):
        before, after = said[n - 1] if n else None, said[n + 1] if n + 1 < len(said) else None
        if one.taken or one.value is None or not one.value.is_integer() or not 0 < one.value < asked_n:
            continue
        hour = bool(starts(said, n + 1, words.clock)) or (n > 0 and bool(starts(said, n - 1, words.clock_before)))
        hour = hour or (one.apart and before is not None and before.value is not None)
        hour = hour or (after is not None and after.value is not None and after.apart)
        if not hour and not one.dashed:
            return True
    return False


def _is_it(said: Sequence[Token], at: int, language: str) -> bool:
    """Whether nothing stands there, or a word for what was asked for: "it", "all of them"."""
    return at >= len(said) or said[at].parts or said[at].word in _its(language)


@cache
def _its(language: str) -> frozenset[str]:
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "words for what was asked for, after over or on",
            "it|them|em|each|both|all|every|everything|those|these|now|for|tonight",
        ),
    )
