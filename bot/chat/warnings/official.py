"""/official: where official warnings come from, and the areas by which they name this garden's place.

Official warnings in the words of whoever issued them: named, linked, cut where they are long, and never changed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from html import escape
from typing import Any
from urllib.parse import urlsplit

from bot.chat import rights
from bot.chat.html import bold, lines, ours, safe
from bot.chat.request import Request
from bot.core.garden.snapshot import Role
from bot.core.warnings.official import closes
from bot.forecasts.cap import address_problem
from bot.i18n import Say
from bot.services.warnings import official
from bot.services.warnings.official import Told
from bot.storage.models import Garden, OfficialWarning, WarningFeed

#: Their own words are long; the link has all of them.
_HEADLINE_N, _WORDS_N = 200, 400


def message(say: Say, told: Told, now: datetime) -> str:
    """What the group, or a member, is told of it."""
    warning = told.warning
    words = _words(warning, say.language)
    if told.what == "off":
        return lines(
            [
                bold(say.gettext("Called off by {issuer}: {event}.", issuer=_issuer(words), event=_event(words))),
                say.gettext("This official warning is over. Our own warnings have not changed."),
                _link(say, words),
            ]
        )
    first = {"event": _event(words), "hours": _hours(say, warning, now)}
    if told.what == "changed":
        head = say.gettext("Official warning, changed: {event}, {hours}.", **first)
    else:
        head = say.gettext("Official warning: {event}, {hours}.", **first)
    return lines(
        [
            bold(head),
            safe(words["headline"], _HEADLINE_N) if words["headline"] else None,
            say.gettext("Nobody goes to the garden for a job in these hours.") if closes(warning.severity) else None,
            safe(words["instruction"] or words["description"], _WORDS_N) or None,
            say.gettext("Issued by {issuer}.", issuer=_issuer(words)),
            _link(say, words),
        ]
    )


def line(say: Say, warning: OfficialWarning, now: datetime) -> str:
    """One warning that holds, in a line, the slight ones too."""
    words = _words(warning, say.language)
    return say.gettext(
        "Official warning: {event}, {hours} ({issuer}).",
        event=_event(words),
        hours=_hours(say, warning, now),
        issuer=_issuer(words),
    )


def about_feeds(say: Say, feeds: Sequence[WarningFeed], now: datetime) -> list[str]:
    """Where official warnings come from here, and how that goes."""
    found = []
    for feed in feeds:
        address = ours(feed.url, 200)
        if feed.garden_id is None:
            found.append(say.gettext("From the people who run me, for every garden: {address}", address=address))
        else:
            found.append(say.gettext("From: {address}", address=address))
        if feed.failures:
            found.append(say.gettext("There is a problem with it: {why}", why=ours(feed.note, 150)))
        elif feed.answered_at is not None:
            moment = _moment(say, feed.answered_at, now)
            found.append(say.gettext("It last worked: {moment}.", moment=moment))
        else:
            found.append(say.gettext("I will try it within a few minutes."))
        if feed.codes:
            codes = ", ".join(f"{name} {value}" for name, value in feed.codes)
            found.append(say.gettext("Areas of this garden: {codes}", codes=safe(codes, 200)))
    return found


def _words(warning: OfficialWarning, language: str) -> Mapping[str, Any]:
    """The file's words in this language, else in English, else its first."""
    for wanted in (language, "en"):
        for words in warning.words:
            if str(words["language"]).casefold().split("-")[0] == wanted.casefold().split("-")[0]:
                return words
    return warning.words[0]


def _event(words: Mapping[str, Any]) -> str:
    return safe(str(words["event"]) or "–", 80)


def _issuer(words: Mapping[str, Any]) -> str:
    return safe(str(words["issuer"]) or "–", 100)


def _link(say: Say, words: Mapping[str, Any]) -> str | None:
    """A link to the issuer's page, where the file names one."""
    address = str(words["web"])
    try:
        parts = urlsplit(address)
        good = parts.scheme in ("http", "https") and bool(parts.hostname) and address.isascii()
    except ValueError:
        good = False
    if not good:
        return None
    page = f'<a href="{escape(address[:500])}">{ours(parts.hostname or "", 60)}</a>'
    return say.gettext("Full text: {page}", page=page)


def _hours(say: Say, warning: OfficialWarning, now: datetime) -> str:
    start, end = _moment(say, warning.starts_at, now), _moment(say, warning.ends_at, now)
    if warning.starts_at <= now:
        return say.gettext("now, until {end}", end=end)
    return say.gettext("from {start} until {end}", start=start, end=end)


def _moment(say: Say, at: datetime, now: datetime) -> str:
    local = say.local(at)
    if local.date() == say.local(now).date():
        return say.clock(at)
    return say.gettext("{time} on {day}", time=say.clock(at), day=say.day(local.date()))


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
            *([line(say, one, request.now) for one in holding] or [say.gettext("There is none now.")]),
            *about_feeds(say, feeds, request.now),
            say.gettext("While a severe warning lasts, nobody goes out. Slight warnings are only in /weather."),
        ]
    )
