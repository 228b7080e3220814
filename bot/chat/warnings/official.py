"""/official: where official warnings come from, and the areas by which they name this garden's place."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.html import bold, lines
from bot.chat.request import Request
from bot.chat.warnings import official_words as wording
from bot.core.garden.snapshot import Role
from bot.forecasts.warning_feeds import address_problem
from bot.i18n import Say
from bot.services.warnings import official
from bot.storage.models import Garden

WORD = "official"
FOR = Role.ORGANISER
_MOST_CODES = 20


def about(say: Say) -> str:
    return say.gettext("see official weather warnings and where they come from")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    garden, _ = found
    words = request.text.partition(" ")[2].split()
    if not words:
        await request.whisper(await _shown(request, garden))
    elif words[0].casefold() == "off":
        await official.name_feed(request.session, garden, None, request.now)
        await request.whisper(
            request.say.gettext("All right. This garden has no feed of official warnings of its own.")
        )
    elif words[0].casefold() == "area":
        await request.whisper(await _areas(request, garden, words[1:]))
    else:
        await request.whisper(await _named(request, garden, words))


async def _named(request: Request, garden: Garden, words: list[str]) -> str:
    say, address = request.say, words[0]
    if len(words) > 1 or address_problem(address) is not None:
        return say.gettext(
            "I need one address that begins with https://. It is a feed (Atom or RSS) of warnings in the CAP "
            "format, from your country's weather service."
        )
    await official.name_feed(request.session, garden, address, request.now)
    return say.gettext("Thank you. I will try it within a few minutes. See if it works: /official")


async def _areas(request: Request, garden: Garden, words: list[str]) -> str:
    """Pairs of a system's name and an area's value in it; none takes them away."""
    say = request.say
    feeds = await official.feeds_of(request.session, garden.id)
    own = next((feed for feed in feeds if feed.garden_id == garden.id), None)
    if own is None:
        return say.gettext("Please name the feed first: /official https://…")
    if len(words) % 2 or len(words) > 2 * _MOST_CODES:
        return say.gettext("Write the system and the area in it, for example: /official area EMMA_ID NL009")
    own.codes = [[name[:40], value[:40]] for name, value in zip(words[::2], words[1::2], strict=True)]
    return await _shown(request, garden)


async def _shown(request: Request, garden: Garden) -> str:
    say = request.say
    feeds = await official.feeds_of(request.session, garden.id)
    holding = await official.in_force(request.session, garden.id)
    if not feeds:
        return lines(
            [
                bold(say.gettext("I do not read official warnings for this garden yet.")),
                say.gettext("Send me the address of a feed: /official https://…"),
                say.gettext("Until then, send them by hand: /warn severe tomorrow 12:00 18:00"),
            ]
        )
    return lines(
        [
            bold(say.gettext("Official warnings for this garden:")),
            *([wording.line(say, one, request.now) for one in holding] or [say.gettext("There is none now.")]),
            *wording.about_feeds(say, feeds, request.now),
            say.gettext("While a severe warning lasts, nobody goes out. Slight warnings are only in /weather."),
        ]
    )
