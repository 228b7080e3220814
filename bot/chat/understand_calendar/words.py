"""The words of dates in a member's language and in English: months and weekdays by CLDR, the rest from the catalogue."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from babel import Locale

from bot.i18n import Say, say

__all__ = ["Words", "plain", "words"]

_LETTERS = str.maketrans({"ł": "l", "ø": "o", "đ": "d", "æ": "a", "œ": "o", "ß": "s", "’": "'"})


@dataclass(frozen=True, slots=True)
class Words:
    """Each maps a phrase, as `plain` leaves it, to what it means; of bare sets only that it is there.

    ordinals: 1 to 4, -1 for the last. parts: (first, last) day of a month, 0 for its end. plurals: of weekdays.
    """

    months: dict[str, int]
    weekdays: dict[str, int]
    plurals: dict[str, int]
    ordinals: dict[str, int]
    parts: dict[str, tuple[int, int]]
    every: frozenset[str]
    every_other: frozenset[str]
    every_day: frozenset[str]
    of_every_month: frozenset[str]
    every_month_on: frozenset[str]
    every_year: frozenset[str]
    week_of: frozenset[str]
    today: frozenset[str]
    tomorrow: frozenset[str]
    until: frozenset[str]
    to: frozenset[str]
    both: frozenset[str]
    since: frozenset[str]
    of: frozenset[str]
    fill: frozenset[str]
    at: frozenset[str]
    noon: frozenset[str]
    midnight: frozenset[str]
    suffixes: frozenset[str]


def plain(text: str) -> str:
    """Lower case without accents, sign for sign: as long as the text, so that places in one are places in the other."""
    return "".join(_bare(sign) for sign in text)


def words(voice: Say) -> Words:
    return _words(voice.language, str(voice.zone))


@cache
def _words(language: str, zone: str) -> Words:
    voice = say(language, zone)
    seven = _numbered(voice.pgettext("calendar", "mondays;tuesdays;wednesdays;thursdays;fridays;saturdays;sundays"),
                      "mondays;tuesdays;wednesdays;thursdays;fridays;saturdays;sundays")  # fmt: skip
    counted = _numbered(voice.pgettext("calendar", "first|1st;second|2nd;third|3rd;fourth|4th;last"),
                        "first|1st;second|2nd;third|3rd;fourth|4th;last")  # fmt: skip
    thirds = _numbered(voice.pgettext("calendar", "early|beginning of|start of;mid|middle of|mid-;late|end of"),
                       "early|beginning of|start of;mid|middle of|mid-;late|end of")  # fmt: skip
    return Words(
        months=_named(language, "months", 0),
        weekdays=_named(language, "days", 0),
        plurals=seven,
        ordinals={phrase: -1 if n == 4 else n + 1 for phrase, n in counted.items()},
        parts={phrase: ((1, 10), (11, 20), (21, 0))[n] for phrase, n in thirds.items()},
        every=_set(voice.pgettext("calendar", "every|each"), "every|each"),
        every_other=_set(voice.pgettext("calendar", "every other|every second"), "every other|every second"),
        every_day=_set(voice.pgettext("calendar", "every day|each day|daily"), "every day|each day|daily"),
        of_every_month=_set(
            voice.pgettext("calendar", "of the month|of every month|of each month|every month|each month|monthly"),
            "of the month|of every month|of each month|every month|each month|monthly",
        ),
        every_month_on=_set(voice.pgettext("calendar", "every month on the|every month on|monthly on the"),
                            "every month on the|every month on|monthly on the"),
        every_year=_set(voice.pgettext("calendar", "every year|each year|yearly"), "every year|each year|yearly"),
        week_of=_set(voice.pgettext("calendar", "week of|week from|week commencing|week beginning|w/c"),
                     "week of|week from|week commencing|week beginning|w/c"),
        today=_set(voice.pgettext("calendar", "today"), "today"),
        tomorrow=_set(voice.pgettext("calendar", "tomorrow"), "tomorrow"),
        until=_set(voice.pgettext("calendar", "until the end of|until end of|until|till|to|through"),
                   "until the end of|until end of|until|till|to|through"),
        to=_set(voice.pgettext("calendar", "to|until|till|through"), "to|until|till|through|-|–|—"),
        both=_set(voice.pgettext("calendar", "and"), "and|&"),
        since=_set(voice.pgettext("calendar", "from|starting|between"), "from|starting|between"),
        of=_set(voice.pgettext("calendar", "of|in"), "of|in"),
        fill=_set(voice.pgettext("calendar", "on|in|the|from|at|between|this|next|coming"), "on|in|the|from|at|between|this|next|coming"),
        at=_set(voice.pgettext("calendar", "at|from|between"), "at|from|between"),
        noon=_set(voice.pgettext("calendar", "noon|midday"), "noon|midday"),
        midnight=_set(voice.pgettext("calendar", "midnight"), "midnight"),
        suffixes=_set(voice.pgettext("calendar", "st|nd|rd|th"), "st|nd|rd|th"),
    )  # fmt: skip


def _bare(sign: str) -> str:
    lower = sign.lower()[:1].translate(_LETTERS)
    return (unicodedata.normalize("NFKD", lower)[:1] or sign) if lower.isalpha() else lower


def _set(*lists: str) -> frozenset[str]:
    return frozenset(plain(phrase.strip()) for each in lists for phrase in each.split("|"))


def _numbered(*lists: str) -> dict[str, int]:
    return {phrase: n for each in lists for n, phrases in enumerate(each.split(";")) for phrase in _set(phrases)}


def _named(language: str, what: str, least: int) -> dict[str, int]:
    """Names of months (1-12) or weekdays (0 is Monday), whole and short, alone or inside a date."""
    found: dict[str, int] = {}
    for each in ("en", language):
        names = getattr(Locale.parse(each), what)
        for context in ("format", "stand-alone"):
            for width in ("abbreviated", "wide"):
                found |= {plain(name).rstrip("."): n for n, name in names[context][width].items()}
    return found | ({"sept": 9} if what == "months" else _short_days())


def _short_days() -> dict[str, int]:
    """How English also writes its weekdays; CLDR has only three letters."""
    return _numbered_all("tues", 1) | _numbered_all("weds", 2) | _numbered_all("thur|thurs", 3)


def _numbered_all(phrases: str, n: int) -> dict[str, int]:
    return dict.fromkeys(_set(phrases), n)


def longest_first(phrases: Iterable[str]) -> list[str]:
    return sorted(phrases, key=len, reverse=True)
