"""/learned: what this garden's thermometers have taught, how sure that is, and starting again."""

from __future__ import annotations

from collections.abc import Mapping

from bot.chat import rights
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.core.garden.snapshot import Role
from bot.core.weather.ground import NightKind
from bot.i18n import Say
from bot.services.weather import readings

WORD = "learned"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("what I learnt from the garden's thermometers")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    garden, _ = found
    say = request.say
    today = say.local(request.now).date()
    known = await readings.summary(request.session, garden, today)
    places = await readings.places(request.session, garden, today)
    named = {one.id: one.name for one in await readings.thermometers(request.session, garden.id)}
    texts = [
        bold(say.gettext("How this garden is different from the forecast:")),
        *(_line(say, kind, line) for kind, line in known.items()),
        say.gettext(
            "I learn only from a thermometer in the open, in the shade, 1 to 2\u00a0m up. Send me its readings."
        ),
        *(text for one, lines_ in places.items() for text in _place(say, named[one], lines_)),
    ]
    await request.reply(lines(texts), [[(say.gettext("Start learning again"), f"unlearn:{garden.id}")]])


def _place(say: Say, name: str, known: Mapping[NightKind, readings.Line]) -> list[str]:
    title = say.gettext("{thermometer}: how its place is different from what I expect:", thermometer=safe(name, 40))
    return [bold(title), *(_line(say, kind, line) for kind, line in known.items())]


def _line(say: Say, kind: NightKind, line: readings.Line) -> str:
    name = say.gettext("Clear nights without wind") if kind is NightKind.RADIATION else say.gettext("All other nights")
    if not line.count:
        return say.gettext("{nights}: no reading yet.", nights=name)
    words = {"nights": name, "offset": say.celsius_exact(abs(line.offset_c)), "sd": say.celsius_exact(line.offset_sd_c)}
    if line.offset_c < 0:
        return say.ngettext(
            "{nights}: {offset} colder (give or take {sd}), from {n} reading.",
            "{nights}: {offset} colder (give or take {sd}), from {n} readings.",
            line.count,
            **words,
        )
    return say.ngettext(
        "{nights}: {offset} warmer (give or take {sd}), from {n} reading.",
        "{nights}: {offset} warmer (give or take {sd}), from {n} readings.",
        line.count,
        **words,
    )


async def forget(request: Request, rest: str) -> None:
    """Start again from the prior; pressed twice, it is the same."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    await readings.forget(request.session, found[0])
    await request.reply(
        request.say.gettext(
            "I forgot what I learnt. I start again with your next readings. The old readings stay in the records."
        )
    )
