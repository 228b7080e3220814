"""/help: what can be asked, in a few lines."""

from __future__ import annotations

from bot.chat import commands
from bot.chat.turn import Turn
from bot.chat.wording.html import bold, lines
from bot.core.garden import Role
from bot.i18n import Say

WORD = "help"


def about(say: Say) -> str:
    return say.gettext("what you can ask me")


async def answer(turn: Turn) -> None:
    say, role = turn.say, turn.member.role if turn.member else Role.MEMBER
    listed = [
        say.gettext("/{command}: {about}", command=command.WORD, about=command.about(say))
        for command in commands.COMMANDS
        if command.WORD != "start" and getattr(command, "FOR", Role.MEMBER) in (Role.MEMBER, role)
    ]
    await turn.reply(
        lines(
            [
                bold(say.gettext("I help the garden group with the weather and the week's work.")),
                *listed,
                say.gettext("Or just write to me, for example: what should I do this week?"),
            ]
        )
    )
