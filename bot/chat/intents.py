"""Free text: what somebody wants who writes without a command."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from dataclasses import replace

from bot.chat import answering, laying_out, noting, rights, setting_up
from bot.chat.commands import calloff, duties, help, outdoors, outlook, start, week
from bot.chat.turn import Turn
from bot.chat.understand.fire import fire
from bot.chat.wording import signs
from bot.core.garden import Role
from bot.crops.find import fold
from bot.i18n import Say

__all__ = ["answer"]

#: The longest message that is read; nobody asks for their week in more.
READ_N = 1000


Intent = Callable[[Turn], Awaitable[None]]


async def answer(turn: Turn) -> None:
    """The first intent whose words are there; in private, what is not understood is said so, kindly."""
    text = turn.text
    # Said whatever else the message is: nobody may be left to light a heater because a sentence was not understood.
    burning = fire(text[:READ_N], turn.say, to_us=turn.private or _spoken_to(turn))
    if burning:
        await turn.reply(signs.heat(turn.say))
    if turn.private and len(text) <= READ_N and await setting_up.heard(turn):
        return
    if not text:
        return
    if len(text) > READ_N:
        if turn.private:
            await turn.reply(turn.say.gettext("That was too long for me. Please write it in a sentence or two."))
        return
    if (turn.private or _spoken_to(turn)) and turn.garden is None and turn.choices:
        await rights.choose(turn)
        return
    if await calloff.reason(turn):
        return
    if await noting.note(turn) or burning:
        return
    words = fold(text)
    intent = _meant(turn.say, words)
    if intent is not None:
        await intent(turn)
        return
    if await _describes(turn):
        return
    if turn.private and turn.member is None:
        await start.answer(turn)  # which says how to come in
        return
    if turn.private or _spoken_to(turn):
        await turn.reply(turn.say.gettext("I did not understand that. /help shows what you can ask me."))


async def _describes(turn: Turn) -> bool:
    """Whether an organiser says what there is, "12 pots in the yard, 30 litres", which is then shown before it is kept."""
    garden, member = turn.garden, turn.member
    if not turn.private or garden is None or member is None or turn.text.endswith("?"):
        return False
    return member.role is Role.ORGANISER and await laying_out.propose(turn, garden, member.person, turn.text)


def _meant(say: Say, words: str) -> Intent | None:
    for voice in _voices(say):
        for alternatives, intent in _answers(voice):
            # Only the whole message is an answer: "no" stands in many a sentence.
            if re.fullmatch(rf"(?:{_pattern(alternatives)})[\s.!,]*", words):
                return intent
    for voice in _voices(say):
        for alternatives, intent in _questions(voice):
            if re.search(rf"\b(?:{_pattern(alternatives)})\b", words):
                return intent
    return None


def _pattern(words: str) -> str:
    """Alternatives parted by |, as a pattern for folded text."""
    return "|".join(re.escape(fold(word)) for word in words.split("|"))


def _voices(say: Say) -> tuple[Say, ...]:
    """People mix their own language with English."""
    return (say,) if say.language == "en" else (say, replace(say, language="en"))


def _answers(say: Say) -> tuple[tuple[str, Intent], ...]:
    return (
        (
            say.pgettext(
                "words that say yes", "i'll do it|i will do it|i will|yes|yes please|ok|i can do it|i can|count me in"
            ),
            answering.yes,
        ),
        (
            say.pgettext(
                "words that say no", "i can't|i cannot|i can not|no|no sorry|sorry no|not me|pass|sorry i can't"
            ),
            answering.no,
        ),
        (
            say.pgettext("words that say done", "done|all done|it's done|finished|covered|all covered|brought in"),
            answering.done,
        ),
        (
            say.pgettext(
                "words that ask for another pair of hands",
                "i need help|need help|i need a hand|need a hand|more hands|more hands please",
            ),
            answering.need,
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
            outlook.answer,
        ),
        (say.pgettext("words that ask for my turns", "my turn|my turns|my duties|am i on"), duties.answer),
        (say.pgettext("words that ask for help", "help|what can you do"), help.answer),
    )


def _spoken_to(turn: Turn) -> bool:
    """In a group: whether the message answers one of ours or names us."""
    message = turn.update.message
    if message is None:
        return False
    answered = message.reply_to_message
    named = f"@{turn.bot_name}" in (message.text or "")
    return named or bool(answered and answered.from_user and answered.from_user.username == turn.bot_name)
