"""/help: what can be asked, a phone's screen at a time: what everybody needs first, the rest, what organisers do."""

from __future__ import annotations

from bot.chat import commands, rights
from bot.chat.html import bold, lines
from bot.chat.request import Request
from bot.chat.warnings.brief import fits
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say

WORD = "help"
#: What a member needs in most weeks.
_EVERYDAY = ("week", "out", "weather", "turns", "away", "wishes", "calendar", "me")
_LEFT_OUT = ("start", "help")
_ORGANISERS = "organisers"


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
    """page: "", "2" and so on for everybody, "organisers", "organisers2" and so on."""
    say, organises = request.say, request.member is not None and request.member.role is Role.ORGANISER
    theirs = organises and page.startswith(_ORGANISERS)
    pages = _pages(say, for_organisers=theirs)
    number = rights.whole(page.removeprefix(_ORGANISERS) if theirs else page) or 1
    number = number if 1 <= number <= len(pages) else 1
    others: list[Button] = [
        (label, f"help:{name}")
        for name, label, open_ in (
            ("", say.gettext("Main commands"), theirs or number > 1),
            (f"{_ORGANISERS if theirs else ''}{number + 1}", say.gettext("More commands"), number < len(pages)),
            (_ORGANISERS, say.gettext("Organiser commands"), organises and not (theirs and number == 1)),
        )
        if open_
    ]
    return pages[number - 1], [others]


def _pages(say: Say, *, for_organisers: bool) -> list[str]:
    """Every command of these people in order, as many on a page as a phone shows."""
    known = _of(Role.ORGANISER if for_organisers else Role.MEMBER)
    everyday_first = sorted(known, key=lambda one: one.WORD not in _EVERYDAY)
    left = [say.gettext("/{command}: {about}", command=one.WORD, about=one.about(say)) for one in everyday_first]
    found: list[str] = []
    while left:
        first, *last = _around(say, for_organisers=for_organisers, is_first=not found)
        n = 1
        while n < len(left) and fits(lines([bold(first), *left[: n + 1], *last])):
            n += 1
        found.append(lines([bold(first), *left[:n], *last]))
        left = left[n:]
    return found


def _around(say: Say, *, for_organisers: bool, is_first: bool) -> list[str]:
    """The first line of a page, then its last ones."""
    if for_organisers:
        return [say.gettext("For organisers:")]
    if not is_first:
        return [say.gettext("You can also ask me this:")]
    return [
        say.gettext("I help with the weather and the jobs of the week."),
        say.gettext("Or just write to me, for example: what should I do this week?"),
        say.gettext("In danger? Call 112 or your local emergency number."),
    ]


def _of(role: Role) -> list[commands.Command]:
    """The commands that are for this role alone, or for everybody."""
    return [one for one in commands.COMMANDS if one.WORD not in _LEFT_OUT and getattr(one, "FOR", Role.MEMBER) is role]
