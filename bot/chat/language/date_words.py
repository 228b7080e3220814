"""The words of dates in a member's language and in English: months and weekdays by CLDR, the rest from the catalogue."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache

from bot.i18n import Say, locale, say

_NUMBERED = (
    "months",
    "weekdays",
    "plurals",
    "ordinals",
    "parts",
    "relative",
    "stretches",
    "units",
    "numbers",
    "hours",
    "days_told",
    "beside_hour",
    "clock_units",
)
#: Lists that only some languages have; "-" in the others.
_IN_SOME = ("until_after", "back_after", "day_before", "either_way", "clock_ends")
#: First and last day of early, mid and late, and of the first to the last week of a month; 0 is its end.
_PARTS = ((1, 10), (11, 20), (21, 0), (1, 7), (8, 14), (15, 21), (22, 0), (1, 14), (15, 0))
_LETTERS = str.maketrans({"ł": "l", "ø": "o", "đ": "d", "æ": "a", "œ": "o", "ß": "s", "’": "'"})


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """Phrases as `plain` leaves them, by what they mean; one of each language, told apart by being it.

    ordinals: 1 to 4, -1 for the last. parts: (first, last) day of a month, 0 for its end. plurals: of weekdays.
    relative: days from today. stretches: 0 this week, 1 next week, 2 this weekend, 3 next weekend, 4 last week, 5 the week
    after the next, 6 next month, 7 the weekend after the next, 8 this month. units: days that each lasts. numbers: written
    out. hours: 0 morning, 1 afternoon, 2 evening, 3 night. coming: next, before a weekday. week_on, week_after: seven
    days after the weekday that follows, or stands before. late: on the day that somebody is back.
    beside_hour: minutes from the hour that follows. clock_units: minutes that each lasts. home: back, after a comma or an
    "and". either_way: of what was done, days before today. clock_ends: grown onto an hour. after: from the day after the
    one that follows. days_told: days of a month in words.
    """

    months: dict[str, int]
    weekdays: dict[str, int]
    plurals: dict[str, int]
    ordinals: dict[str, int]
    parts: dict[str, tuple[int, int]]
    relative: dict[str, int]
    stretches: dict[str, int]
    units: dict[str, int]
    numbers: dict[str, int]
    days_told: dict[str, int]
    hours: dict[str, int]
    every: frozenset[str]
    every_other: frozenset[str]
    every_day: frozenset[str]
    of_every_month: frozenset[str]
    every_month_on: frozenset[str]
    every_year: frozenset[str]
    week_of: frozenset[str]
    week_on: frozenset[str]
    week_after: frozenset[str]
    coming: frozenset[str]
    ago: frozenset[str]
    ahead: frozenset[str]
    lasting: frozenset[str]
    until: frozenset[str]
    until_begins: frozenset[str]
    until_after: frozenset[str]
    to: frozenset[str]
    both: frozenset[str]
    since: frozenset[str]
    of: frozenset[str]
    fill: frozenset[str]
    whole: frozenset[str]
    rest: frozenset[str]
    back: frozenset[str]
    back_after: frozenset[str]
    home: frozenset[str]
    after: frozenset[str]
    late: frozenset[str]
    beside: frozenset[str]
    among: frozenset[str]
    at: frozenset[str]
    noon: frozenset[str]
    midnight: frozenset[str]
    beside_hour: dict[str, int]
    clock_units: dict[str, int]
    suffixes: frozenset[str]
    day_before: frozenset[str]
    either_way: frozenset[str]
    clock_ends: frozenset[str]


def plain(text: str) -> str:
    """Lower case without accents, sign for sign: as long as the text, so that places in one are places in the other."""
    return "".join(_bare(sign) for sign in text)


def words(voice: Say) -> Words:
    return _words(voice.language)


@cache
def _words(language: str) -> Words:
    heard = [_phrases(say(each, "UTC")) for each in ("en", language)]
    sets = {name: _set(*(each[name] for each in heard)) for name in heard[0] if name not in _NUMBERED}
    sets |= {name: sets[name] - {"-"} for name in _IN_SOME}
    listed = {name: _numbered(*(each[name] for each in heard)) for name in _NUMBERED}
    return Words(
        months=_named(language, "months") | {"sept": 9} | {name: n + 1 for name, n in listed["months"].items()},
        weekdays=_named(language, "days") | listed["weekdays"],
        plurals=listed["plurals"],
        ordinals={phrase: -1 if n == 4 else n + 1 for phrase, n in listed["ordinals"].items()},
        parts={phrase: _PARTS[n] for phrase, n in listed["parts"].items()},
        relative={phrase: n - 2 for phrase, n in listed["relative"].items()},
        stretches=listed["stretches"],
        units={phrase: (1, 7, 14, 30)[n] for phrase, n in listed["units"].items()},
        numbers={phrase: n + 1 for phrase, n in listed["numbers"].items()},
        days_told={phrase: n + 1 for phrase, n in listed["days_told"].items()},
        hours=listed["hours"],
        beside_hour={phrase: (30, 15, -15, -30)[n] for phrase, n in listed["beside_hour"].items() if phrase != "-"},
        clock_units={phrase: (1, 60)[n] for phrase, n in listed["clock_units"].items()},
        **sets,
    )


def _phrases(voice: Say) -> dict[str, str]:
    """What people write, in one language: phrases of the same meaning parted by |, in order by ;."""
    return {
        # Beside CLDR's: short forms, and such as stand after "on".
        "weekdays": voice.pgettext("calendar", "mon;tue|tues;wed|weds;thu|thur|thurs;fri;sat;sun"),
        # Beside CLDR's: other cases, as they stand after "in".
        "months": voice.pgettext("calendar", "jan;feb;mar;apr;may;jun|june;jul|july;aug;sep;oct;nov;dec"),
        "plurals": voice.pgettext("calendar", "mondays;tuesdays;wednesdays;thursdays;fridays;saturdays;sundays"),
        "ordinals": voice.pgettext("calendar", "first|1st;second|2nd;third|3rd;fourth|4th;last"),
        "parts": voice.pgettext(
            "calendar",
            "early|beginning of|start of;mid|middle of;late|end of;first week of|first week in|1st week of|1st week in;"
            "second week of|second week in|2nd week of|2nd week in;"
            "third week of|third week in|3rd week of|3rd week in;last week of|last week in;"
            "first two weeks of|first two weeks in|first 2 weeks of|first fortnight of|first half of;"
            "last two weeks of|last two weeks in|last 2 weeks of|second half of|last fortnight of",
        ),
        "every": voice.pgettext("calendar", "every|each"),
        "every_other": voice.pgettext("calendar", "every other|every second|every two weeks on"),
        "every_day": voice.pgettext("calendar", "every day|each day|daily"),
        "of_every_month": voice.pgettext("calendar", "of the month|of every month|of each month|every month|monthly"),
        "every_month_on": voice.pgettext("calendar", "every month on the|every month on|monthly on the"),
        "every_year": voice.pgettext("calendar", "every year on|every year|each year|yearly on|yearly"),
        "week_of": voice.pgettext("calendar", "week of|week from|week commencing|week beginning|w/c"),
        "relative": voice.pgettext(
            "calendar",
            "the day before yesterday|day before yesterday|the day before yday|day before yday;yesterday|yday|ystd|"
            "yest|yestday|yesterdays|last night;"
            "today|tonight|just now|2day|2nite;tomorrow|tmrw|tmw|tomo|2moro|tomoz;the day after tomorrow|"
            "day after tomorrow",
        ),
        "stretches": voice.pgettext(
            "calendar",
            "this week|rest of the week|this wk|rest of the wk|all week|all this week|all wk;next week|"
            "the coming week|all next week|next wk|"
            "nxt week|nxt wk|all next wk;this weekend|the weekend|at the weekend|weekend|this wkend|this wknd|"
            "the wkend|at the wkend|wkend|wknd|long weekend|the long weekend;next weekend|next wkend|next wknd|"
            "nxt weekend|nxt wkend|nxt wknd;"
            "last week;the week after next|week after next|the week after;next month|the coming month;"
            "the weekend after next|weekend after next;this month|rest of the month|the rest of the month|"
            "all month|the whole month|the whole of this month",
        ),
        "units": voice.pgettext(
            "calendar", "day|days|night|nights;week|weeks|wk|wks;fortnight|fortnights;month|months"
        ),
        "numbers": voice.pgettext(
            "calendar", "a|one;two|a couple of|couple of|a couple|couple;three;four;five;six;seven;eight;nine;ten"
        ),
        # With "of the month" where the word alone is often something else than a day.
        "days_told": voice.pgettext(
            "days of a month in words, from the 1st to the 31st",
            "first of the month;second of the month;third of the month;fourth of the month;fifth of the month;"
            "sixth of the month;seventh of the month;eighth of the month;ninth of the month;tenth of the month;"
            "eleventh;twelfth;thirteenth;fourteenth;fifteenth;sixteenth;seventeenth;eighteenth;nineteenth;twentieth;"
            "twenty first|twenty-first;twenty second|twenty-second;twenty third|twenty-third;twenty fourth|"
            "twenty-fourth;"
            "twenty fifth|twenty-fifth;twenty sixth|twenty-sixth;twenty seventh|twenty-seventh;"
            "twenty eighth|twenty-eighth;twenty ninth|twenty-ninth;thirtieth;thirty first|thirty-first",
        ),
        "hours": voice.pgettext(
            "calendar",
            "this morning|in the morning|morning;this afternoon|in the afternoon|afternoon;"
            "this evening|in the evening|evening;tonight|last night|at night|overnight|night",
        ),
        "week_on": voice.pgettext(
            "calendar: seven days after the weekday that follows", "a week on|week on|a week this"
        ),
        "week_after": voice.pgettext("calendar: seven days after the weekday before it", "week|wk"),
        "late": voice.pgettext("calendar: late on the day that somebody is back", "late|late on|late at night"),
        "coming": voice.pgettext("calendar: next, before a weekday", "next|nxt"),
        "ago": voice.pgettext("calendar", "ago"),
        "ahead": voice.pgettext("calendar", "in"),
        "lasting": voice.pgettext("calendar", "for|then|then for|for about|for the next|for another"),
        "until": voice.pgettext(
            "calendar",
            "until the end of|until end of|to the end of|to end of|till the end of|till end of|til the end of|til end of|"
            "through the end of|until|till|til|untill|up to|to|through|thru",
        ),
        "until_begins": voice.pgettext("until, before a month", "until|till|til"),
        "until_after": voice.pgettext("calendar: until, after the day, where it stands there; else -", "-"),
        "back_after": voice.pgettext("calendar: coming back, after the day, where it stands there; else -", "-"),
        "whole": voice.pgettext("calendar", "all|all of|the whole of|whole of|whole|throughout|most of|all through"),
        "rest": voice.pgettext("calendar", "rest of|the rest of|remainder of"),
        "back": voice.pgettext(
            "calendar",
            "back on|back by|back early|back|return|back home|back again|returning on|returning|return on|home on|"
            "home again on|home again|home by|home late on|home late|before|not before|back till|back until|"
            "back til|free again from|free again on|available again from|around again from|here again from|"
            "come again on|coming again on|coming back on|come back on",
        ),
        "home": voice.pgettext("calendar: back home, after a comma, before a day", "home|then home"),
        "after": voice.pgettext("calendar: after, before a day", "after|from after"),
        "beside": voice.pgettext("calendar", "and|&|,|or|/|and also|plus"),
        "among": voice.pgettext("calendar", "between"),
        "to": voice.pgettext(
            "calendar",
            "to|until|till|til|untill|through|thru|and ends on|and ends|ends on|ending on|ending|finishing on|-|–|—",
        ),
        "both": voice.pgettext("calendar", "and|&"),
        "since": voice.pgettext("calendar", "from|starting|starting on|starting from|leaving|leaving on|as of|between"),
        "of": voice.pgettext("calendar", "of|in|during"),
        "fill": voice.pgettext(
            "calendar", "on|in|the|from|at|between|this|next|coming|following|during|least|about|around"
        ),
        "at": voice.pgettext("calendar", "at|from|between"),
        "noon": voice.pgettext("calendar", "noon|midday"),
        "midnight": voice.pgettext("calendar", "midnight"),
        "beside_hour": voice.pgettext(
            "calendar: before an hour: half past; a quarter past; a quarter to; half to; - where nobody says so",
            "half past|half;quarter past|a quarter past;quarter to|a quarter to;-",
        ),
        "clock_units": voice.pgettext("calendar: minutes; hours", "minute|minutes|min|mins;hour|hours|hr|hrs"),
        "suffixes": voice.pgettext("calendar", "st|nd|rd|th"),
        "day_before": voice.pgettext("calendar: day, before its number, where it makes that an ordinal; else -", "-"),
        "either_way": voice.pgettext("calendar: as many days ago, of what was done, as ahead otherwise; else -", "-"),
        "clock_ends": voice.pgettext("calendar: what grows onto an hour in figures; else -", "-"),
    }


def _bare(sign: str) -> str:
    lower = sign.lower()[:1].translate(_LETTERS)
    return (unicodedata.normalize("NFKD", lower)[:1] or sign) if lower.isalpha() else lower


def _set(*lists: str) -> frozenset[str]:
    return frozenset(plain(phrase.strip()) for each in lists for phrase in each.split("|"))


def _numbered(*lists: str) -> dict[str, int]:
    return {phrase: n for each in lists for n, phrases in enumerate(each.split(";")) for phrase in _set(phrases)}


def _named(language: str, what: str) -> dict[str, int]:
    """Names of months (1-12) or weekdays (0 is Monday), whole and short, alone or inside a date."""
    found: dict[str, int] = {}
    for each in ("en", language):
        names = getattr(locale(each), what)
        for context in ("format", "stand-alone"):
            for width in ("abbreviated", "wide"):
                found |= {plain(name).rstrip("."): n for n, name in names[context][width].items()}
    return found
