"""What the chat app shows of the bot before anybody has written: what it is for, and its commands."""

from __future__ import annotations

import logging

from telegram import Bot
from telegram.error import TelegramError

from bot.chat.commands import COMMANDS
from bot.core.garden.snapshot import Role
from bot.i18n import LANGUAGES, say

_LOG = logging.getLogger(__name__)
_LONGEST = 256  # characters of a command's line, Bot API 10.0


async def introduce(bot: Bot) -> None:
    """In every language, the first one for all others; it is no harm if the platform does not take it just now."""
    try:
        for n, language in enumerate(LANGUAGES):
            voice, code = say(language, "UTC"), None if n == 0 else language
            listed = [
                (command.WORD, command.about(voice)[:_LONGEST])
                for command in COMMANDS
                if getattr(command, "FOR", Role.MEMBER) is Role.MEMBER or command.WORD == "setup"
            ]
            await bot.set_my_commands(listed, language_code=code)
            about = voice.gettext(
                "I help a group that shares a garden. I warn of cold and wind, ask people to help, and say "
                "what to do this week. To begin, add me to the group's chat, or press Start if I am there "
                "already."
            )
            await bot.set_my_description(about, language_code=code)
    except TelegramError as error:
        _LOG.warning("the commands could not be shown in the chat app (%s)", type(error).__name__)
