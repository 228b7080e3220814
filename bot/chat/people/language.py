"""/language: which language I speak with you, and, for organisers, with the group: one or two."""

from __future__ import annotations

from collections.abc import Iterable

from bot.chat import rights
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import LANGUAGES, Say, checked_by
from bot.storage.models import Garden

WORD = "language"
_A_ROW = 3


def about(say: Say) -> str:
    return say.gettext("the language I speak with you")


async def answer(request: Request) -> None:
    rows = buttons("lang:")
    if request.private and request.garden and request.member and request.member.role is Role.ORGANISER:
        rows.append([(request.say.gettext("The group's language"), f"glang:{request.garden.id}")])
    await request.reply(request.say.gettext("Which language should I use with you?"), rows)


def buttons(press: str, but: str = "") -> list[list[Button]]:
    """The languages, each by its own name. press: what the data of each begins with; but: one that is left out."""
    listed: list[Button] = [(name, f"{press}{code}") for code, name in LANGUAGES.items() if code != but]
    return [listed[n : n + _A_ROW] for n in range(0, len(listed), _A_ROW)]


async def press(request: Request, rest: str) -> None:
    """The group's languages: "garden id", or "garden id:code" of one to add or to take away; organisers only."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    garden, _, code = found
    if code and code not in LANGUAGES:
        await rights.stale(request)
        return
    if code:
        garden.language, garden.second_language = _with(garden, code)
    await request.change(_group(request.say, garden), _group_buttons(garden))


def _with(garden: Garden, code: str) -> tuple[str, str]:
    """A language that is spoken is taken away, unless it is the only one; another becomes the second."""
    spoken = [one for one in (garden.language, garden.second_language) if one]
    if code not in spoken:
        return garden.language, code
    left = [one for one in spoken if one != code] or spoken
    return left[0], ""


def _group(say: Say, garden: Garden) -> str:
    names = [LANGUAGES[one] for one in (garden.language, garden.second_language) if one]
    return lines([
        bold(say.gettext("In the group of {garden} I speak {languages}.",
                         garden=safe(garden.name), languages=say.and_list(names))),
        say.gettext("Tap one more language: then everything in the group comes in both. Tap it again to remove it."),
        unchecked(say, LANGUAGES),
    ])  # fmt: skip


def unchecked(say: Say, codes: Iterable[str]) -> str | None:
    """That nobody who grew up with a language has read what I say in it; None where somebody has."""
    names = [LANGUAGES[code] for code in codes if checked_by(code) is None]
    if not names:
        return None
    return say.gettext(
        "No native speaker has checked my texts in: {languages}. A caution may be wrong there, so keep "
        "English beside it if you can. Please tell me a better text: /wording",
        languages=say.and_list(names),
    )


def _group_buttons(garden: Garden) -> list[list[Button]]:
    spoken = (garden.language, garden.second_language)
    rows = buttons(f"glang:{garden.id}:")
    return [
        [(f"✓ {label}" if data.rpartition(":")[2] in spoken else label, data) for label, data in row] for row in rows
    ]
