"""/help: what can be asked, a phone's screen at a time: what everybody needs, the rest, and what organisers do."""

from __future__ import annotations

from bot.chat import commands
from bot.chat.html import bold, lines
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say

WORD = "help"
#: What a member needs in most weeks.
_EVERYDAY = ("week", "out", "weather", "turns", "away", "wishes", "calendar", "me")
_LEFT_OUT = ("start", "help")


def about(say: Say) -> str:
    return say.gettext("what you can ask me")


async def answer(request: Request) -> None:
    text, buttons = _page(request, "")
    await request.reply(text, buttons)


async def press(request: Request, rest: str) -> None:
    """Another page, in the place of the one shown."""
    text, buttons = _page(request, rest)
    await request.change(text, buttons)


def _page(request: Request, page: str) -> tuple[str, list[list[Button]]]:
    say, organises = request.say, request.member is not None and request.member.role is Role.ORGANISER
    if page == "more":
        first = say.gettext("You can also ask me this:")
        shown = [one for one in _of(Role.MEMBER) if one.WORD not in _EVERYDAY]
    elif page == "organisers" and organises:
        first, shown = say.gettext("For organisers:"), _of(Role.ORGANISER)
    else:
        page, first = "", say.gettext("I help the garden group with the weather and the week's work.")
        shown = [one for one in _of(Role.MEMBER) if one.WORD in _EVERYDAY]
    listed = [say.gettext("/{command}: {about}", command=one.WORD, about=one.about(say)) for one in shown]
    ask = say.gettext("Or just write to me, for example: what should I do this week?") if not page else None
    danger = say.gettext("In danger? Call 112 or your local emergency number.") if not page else None
    others: list[Button] = [
        (label, f"help:{name}")
        for name, label, open_ in (
            ("", say.gettext("Main commands"), True),
            ("more", say.gettext("More commands"), True),
            ("organisers", say.gettext("Organiser commands"), organises),
        )
        if open_ and name != page
    ]
    return lines([bold(first), *listed, ask, danger]), [others]


def _of(role: Role) -> list[commands.Command]:
    """The commands that are for this role alone, or for everybody."""
    return [one for one in commands.COMMANDS if one.WORD not in _LEFT_OUT and getattr(one, "FOR", Role.MEMBER) is role]
