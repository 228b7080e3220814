"""Free text: what somebody wants who writes without a command."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from functools import partial

from bot.chat import help, presses, rights
from bot.chat.garden import places_dialogue, setup_dialogue
from bot.chat.growing import outdoors, signs, week
from bot.chat.journal import note
from bot.chat.language import typed, waiting, wordless
from bot.chat.language.fire import fire
from bot.chat.language.phrases import pattern, voices
from bot.chat.people import start
from bot.chat.request import Request
from bot.chat.tasks import answers, distress, turns
from bot.chat.warnings import calloff
from bot.chat.weather import nights
from bot.core.garden.snapshot import Role
from bot.crops.find import fold
from bot.i18n import Say
from bot.storage.wire import said

__all__ = ["answer"]

#: The longest message that is read; nobody asks for their week in more.
READ_N = 1000


Intent = Callable[[Request], Awaitable[None]]


async def answer(request: Request) -> None:
    """What is meant for the bot is answered: a question's answer, a report, a dialogue, then the first intent whose
    words are there. In a group everything else is other people's talk: nothing changes and nothing is said.
    """
    text = request.text
    if await distress.heard(request):  # to whomever it was said
        return
    # Said to whomever, and whatever else the message is: a heater in a closed house can kill by the morning.
    burning = fire(text[:READ_N], request.say, to_us=request.addressed)
    if burning:
        await request.reply(signs.heat(request.say))
    if not request.addressed:
        return
    if not text:
        if not await setup_dialogue.heard(request) and not await distress.unclear(request):
            await wordless.answer(request)
        return
    if len(text) > READ_N:
        if request.private and not await distress.unclear(request):
            await request.reply(request.say.gettext("That was too long for me. Please write it in a sentence or two."))
        return
    if await typed.pressed(request, partial(_sense, request.say), answers.yes, answers.no):
        return
    asked = await waiting.of(request)
    if request.garden is None and request.choices and asked is None:
        await rights.choose(request)
        return
    if await note.note(request, asked) or burning:
        return
    if await setup_dialogue.heard(request) or await calloff.reason(request):
        return
    await _intended(request)


async def _intended(request: Request) -> None:
    words = fold(request.text)
    intent = _meant(request.say, words)
    if (
        intent is not None
        and request.answered_id is not None
        and not request.private
        and _sense(request.say, words) is not None
    ):
        await _about_that(request, intent)
    elif intent is not None:
        await intent(request)
    elif await distress.unclear(request) or await _describes(request):
        pass
    elif request.private and request.member is None:
        await start.answer(request)  # which says how to come in
    else:
        await request.reply(request.say.gettext("I did not understand that. /help shows what you can ask me."))


async def _about_that(request: Request, intent: Intent) -> None:
    """In a group an answer is about the message that it replies to, and about nothing else."""
    chat = request.update.effective_chat
    row = await said.at(request.session, chat.id, request.answered_id) if chat and request.answered_id else None
    warning = re.match(r"warning:([0-9]{1,9}):", row.key) if row is not None else None
    if warning is not None:
        await presses.press(request, f"{_VERBS[intent]}:{warning[1]}")
    else:
        await request.reply(
            request.say.gettext("I asked for nothing there, so nothing changes. /turns shows what is yours.")
        )


async def _describes(request: Request) -> bool:
    """Whether an organiser says what there is, "12 pots in the yard, 30 litres", which is then shown before it is kept."""
    garden, member = request.garden, request.member
    if not request.private or garden is None or member is None or request.text.endswith("?"):
        return False
    return member.role is Role.ORGANISER and await places_dialogue.propose(request, garden, member.person, request.text)


def _sense(say: Say, words: str) -> Intent | None:
    """Only the whole message is an answer: "no" stands in many a sentence."""
    for voice in voices(say):
        for alternatives, intent in _answers(voice):
            if re.fullmatch(rf"(?:{pattern(alternatives)})[\s.!,]*", words):
                return intent
    return None


def _meant(say: Say, words: str) -> Intent | None:
    sense = _sense(say, words)
    if sense is not None:
        return sense
    for voice in voices(say):
        for alternatives, intent in _questions(voice):
            if re.search(rf"\b(?:{pattern(alternatives)})\b", words):
                return intent
    return None


def _answers(say: Say) -> tuple[tuple[str, Intent], ...]:
    return (
        (
            say.pgettext(
                "words that say yes", "i'll do it|i will do it|i will|yes|yes please|ok|i can do it|i can|count me in"
            ),
            answers.yes,
        ),
        (
            say.pgettext(
                "words that say no", "i can't|i cannot|i can not|no|no sorry|sorry no|not me|pass|sorry i can't"
            ),
            answers.no,
        ),
        (
            say.pgettext("words that say done", "done|all done|it's done|finished|covered|all covered|brought in"),
            answers.done,
        ),
        (
            say.pgettext(
                "words that ask for one more person on a job",
                "one more person|one more person please|another person|another person please|i need one more person|"
                "i need another person|i need a hand|need a hand|more hands|more hands please",
            ),
            answers.need,
        ),
    )


def _questions(say: Say) -> tuple[tuple[str, Intent], ...]:
    return (
        (
            say.pgettext(
                "words that ask for the week",
                "what should i do|what can i do|what to do|what needs doing|this week|my week|jobs",
            ),
            week.answer,
        ),
        (
            say.pgettext("words that ask what may go out", "go out yet|put out yet|plant out yet|harden off"),
            outdoors.answer,
        ),
        (
            say.pgettext("words that ask for the weather", "weather|forecast|frost tonight|how cold|windy"),
            nights.answer,
        ),
        (say.pgettext("words that ask for my turns", "my turn|my turns|my duties|am i on"), turns.answer),
        (say.pgettext("words that ask for help", "help|what can you do"), help.answer),
    )


#: The buttons under a warning that the words stand for.
_VERBS: dict[Intent, str] = {answers.yes: "yes", answers.no: "no", answers.done: "done", answers.need: "hands"}
