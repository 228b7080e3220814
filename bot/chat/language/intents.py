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
from bot.chat.request import Turn
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


Intent = Callable[[Turn], Awaitable[None]]


async def answer(turn: Turn) -> None:
    """What is meant for the bot is answered: a question's answer, a report, a dialogue, then the first intent whose
    words are there. In a group everything else is other people's talk: nothing changes and nothing is said.
    """
    text = turn.text
    if await distress.heard(turn):  # to whomever it was said
        return
    # Said to whomever, and whatever else the message is: a heater in a closed house can kill by the morning.
    burning = fire(text[:READ_N], turn.say, to_us=turn.addressed)
    if burning:
        await turn.reply(signs.heat(turn.say))
    if not turn.addressed:
        return
    if not text:
        if not await setup_dialogue.heard(turn) and not await distress.unclear(turn):
            await wordless.answer(turn)
        return
    if len(text) > READ_N:
        if turn.private and not await distress.unclear(turn):
            await turn.reply(turn.say.gettext("That was too long for me. Please write it in a sentence or two."))
        return
    if await typed.pressed(turn, partial(_sense, turn.say), answers.yes, answers.no):
        return
    asked = await waiting.of(turn)
    if turn.garden is None and turn.choices and asked is None:
        await rights.choose(turn)
        return
    if await note.note(turn, asked) or burning:
        return
    if await setup_dialogue.heard(turn) or await calloff.reason(turn):
        return
    await _intended(turn)


async def _intended(turn: Turn) -> None:
    words = fold(turn.text)
    intent = _meant(turn.say, words)
    if intent is not None and turn.answered_id is not None and not turn.private and _sense(turn.say, words) is not None:
        await _about_that(turn, intent)
    elif intent is not None:
        await intent(turn)
    elif await distress.unclear(turn) or await _describes(turn):
        pass
    elif turn.private and turn.member is None:
        await start.answer(turn)  # which says how to come in
    else:
        await turn.reply(turn.say.gettext("I did not understand that. /help shows what you can ask me."))


async def _about_that(turn: Turn, intent: Intent) -> None:
    """In a group an answer is about the message that it replies to, and about nothing else."""
    chat = turn.update.effective_chat
    row = await said.at(turn.session, chat.id, turn.answered_id) if chat and turn.answered_id else None
    warning = re.match(r"warning:([0-9]{1,9}):", row.key) if row is not None else None
    if warning is not None:
        await presses.press(turn, f"{_VERBS[intent]}:{warning[1]}")
    else:
        await turn.reply(turn.say.gettext("I asked for nothing there, so nothing changes. /turns shows what is yours."))


async def _describes(turn: Turn) -> bool:
    """Whether an organiser says what there is, "12 pots in the yard, 30 litres", which is then shown before it is kept."""
    garden, member = turn.garden, turn.member
    if not turn.private or garden is None or member is None or turn.text.endswith("?"):
        return False
    return member.role is Role.ORGANISER and await places_dialogue.propose(turn, garden, member.person, turn.text)


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
