"""Free text: what somebody wants who writes without a command."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable

from bot.chat import answering
from bot.chat.commands import duties, help, outdoors, outlook, start, week
from bot.chat.turn import Turn
from bot.crops.find import fold
from bot.i18n import Say

__all__ = ["answer"]

#: The longest message that is read; nobody asks for their week in more.
READ_N = 1000


async def answer(turn: Turn) -> None:
    """The first intent whose words are there; in private, what is not understood is said so, kindly."""
    text = turn.text
    if not text:
        return
    if len(text) > READ_N:
        if turn.private:
            await turn.reply(turn.say.gettext("That was too long for me. Please write it in a sentence or two."))
        return
    if turn.private and turn.garden is None and turn.choices:
        await start.choose(turn)
        return
    words = fold(text)
    for pattern, found in _intents(turn.say):
        if pattern and re.search(rf"\b(?:{pattern})\b", words):
            await found(turn)
            return
    if turn.private or _spoken_to(turn):
        await turn.reply(turn.say.gettext("I did not understand that. /help shows what you can ask me."))


def _intents(say: Say) -> tuple[tuple[str, Callable[[Turn], Awaitable[None]]], ...]:
    """Words of each intent, in the person's language and in English: alternatives parted by |."""

    def words(context: str, english: str) -> str:
        own = say.pgettext(context, english)
        return "|".join(fold(word) for word in dict.fromkeys(f"{english}|{own}".split("|")) if word)

    return (
        (
            words("words that ask for the week", "what should i do|what can i do|what to do|this week|my week|jobs"),
            week.answer,
        ),
        (words("words that ask what may go out", "go out yet|put out yet|plant out yet|harden off"), outdoors.answer),
        (words("words that ask for the weather", "weather|forecast|frost tonight|how cold|windy"), outlook.answer),
        (words("words that ask for my turns", "my turn|my turns|my duties|am i on"), duties.answer),
        (words("words that say yes", "i'll do it|i will|yes|i can do it|count me in"), answering.yes),
        (words("words that say no", "i can't|i cannot|no|not me|pass"), answering.no),
        (words("words that say done", "done|finished|all done|covered|brought in"), answering.done),
        (words("words that ask for help", "help|what can you do"), help.answer),
    )


def _spoken_to(turn: Turn) -> bool:
    """In a group: whether the message answers one of ours or names us."""
    message = turn.update.message
    if message is None:
        return False
    answered = message.reply_to_message
    named = f"@{turn.bot_name}" in (message.text or "")
    return named or bool(answered and answered.from_user and answered.from_user.username == turn.bot_name)
