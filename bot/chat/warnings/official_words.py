"""Official warnings in the words of whoever issued them: named, linked, cut where they are long, and never changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from html import escape
from typing import Any
from urllib.parse import urlsplit

from bot.chat.html import bold, lines, ours, safe
from bot.core.warnings.official import closes
from bot.i18n import Say
from bot.services.warnings.official import Told
from bot.storage.models import OfficialWarning, WarningFeed

__all__ = ["about_feeds", "line", "message"]

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
