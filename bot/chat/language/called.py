"""What an organiser calls by hand: "cold tonight -3", "wind Friday 2pm 60 mph", "severe Friday 12:00 18:00"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum

from bot.chat.language import spans
from bot.chat.language.date_words import plain, words
from bot.chat.language.day_spans import Days, Part
from bot.chat.language.line_tokens import Wrong, find_hours
from bot.core.units import MS_PER_KN, MS_PER_MPH
from bot.core.warnings.assumed import Blow, ColdNight
from bot.core.warnings.safety import Closed
from bot.crops.find import fold
from bot.i18n import MS_PER_KMH, Say
from bot.services.calendar.written_hours import Hours

Expected = ColdNight | Blow | Closed

#: What stands where nothing is said. -2 C kills tender crops and spares hardy ones (PMC10202904, Table 2); gusts of
#: 50 mph are a gale's (from 43 kn; Met Office marine glossary, read via two copies).
PLANT_C, GUST_MS = -2.0, 50 * MS_PER_MPH
#: Hours of a day and of its parts, and how long a blow of which only the beginning is said lasts: common practice, no
#: source.
_FROM, _TO, _LASTS = time(8), time(20), timedelta(hours=4)
_PARTS = {
    Part.MORNING: (time(6), time(12)),
    Part.AFTERNOON: (time(12), time(18)),
    Part.EVENING: (time(18), time(23)),
    Part.NIGHT: (time(20), time(8)),
}
_NOON = time(12)
_COLD_C, _GUSTS_MS = (-25.0, 5.0), (9.0, 60.0)
_LONGEST, _FARTHEST = timedelta(hours=24), timedelta(days=8)

_SPEED = re.compile(r"(?<![\w.,:])(\d{1,3})\s?(mph|km/h|kmh|kph|km na h|m/s|kn|kt|kts|knots?)(?!\w)")
_BARE = re.compile(r"(?<![\w.,:/-])(\d{1,3})(?![\w:/]|[.,]\d)")
_DEGREES = re.compile(
    r"(?<![\w.,/-])([-+]\s?\d{1,2}(?:[.,]\d)?)(?![\w/])(?:\s?(?:°\s?c?|c\b|deg\w*|st\b|stop\w*))?"
    r"|\b(\d{1,2}(?:[.,]\d)?)\s?(?:°\s?c?|c\b|deg\w*|st\b|stop\w*)"
)
_MINUS = re.compile(r"\bminus\s+(?=\d)")
_MS = {"mph": MS_PER_MPH, "m/s": 1.0} | dict.fromkeys(("km/h", "kmh", "kph", "km na h"), MS_PER_KMH)


class Unclear(StrEnum):
    """Why nothing can be called."""

    WHAT = "what"
    PAST = "past"
    TOO_FAR = "too far"
    TEMPERATURE = "temperature"
    SPEED = "speed"
    HOURS = "hours"
    SEVERAL_DAYS = "several days"
    LEFT_OVER = "left over"
    NO_SUCH_DAY = "no such day"
    NO_SUCH_TIME = "no such time"


@dataclass(frozen=True, slots=True)
class NotSo:
    """why, and what was written."""

    why: Unclear
    value: str = ""


@dataclass(frozen=True, slots=True)
class _Written:
    """on: the day; part of it, or its hours, where they are said. rest: what else stands there."""

    on: date
    part: Part | None
    hours: tuple[Hours, ...]
    rest: str


def called(text: str, say: Say, now: datetime) -> Expected | NotSo:
    """What is expected; a day that is not named is today. All that is written is read, or asked about."""
    clear = _MINUS.sub("-", text.casefold().replace("\N{MINUS SIGN}", "-").replace("–", "-"))
    try:
        for voice in _voices(say):
            if _has(text, voice.pgettext("words for an official severe warning", "severe|official")):
                return _severe(_written(clear, say, now), say, now)
            if _has(text, voice.pgettext("words for wind", "wind|gale|storm|gust|gusts")):
                return _wind(clear, say, now)
            if _has(text, voice.pgettext("words for cold", "cold|frost|freeze|freezing")):
                return _cold(clear, say, now)
    except Wrong as wrong:
        return NotSo(_WRONG.get(wrong.code.value, Unclear.NO_SUCH_DAY), wrong.value)
    except _Several as several:
        return NotSo(Unclear.SEVERAL_DAYS, str(several))
    return NotSo(Unclear.WHAT)


_WRONG = {"no such time": Unclear.NO_SUCH_TIME, "past": Unclear.PAST}


class _Several(Exception):
    """More than one day; the text is what was written."""


def checked(expected: Expected, now: datetime) -> Expected | NotSo:
    """The same, unless it is past, too far, or no weather there is."""
    if isinstance(expected, ColdNight):
        begins_on, is_past = expected.evening_on, expected.evening_on < (now - timedelta(hours=12)).date()
    else:
        begins_on, is_past = expected.start_at.date(), expected.end_at <= now
    if is_past:
        return NotSo(Unclear.PAST)
    if begins_on - now.date() > _FARTHEST:
        return NotSo(Unclear.TOO_FAR)
    if isinstance(expected, ColdNight):
        return expected if _COLD_C[0] <= expected.plant_c <= _COLD_C[1] else NotSo(Unclear.TEMPERATURE)
    if not timedelta() < expected.end_at - expected.start_at <= _LONGEST:
        return NotSo(Unclear.HOURS)
    if isinstance(expected, Blow) and not _GUSTS_MS[0] <= expected.gust_ms <= _GUSTS_MS[1]:
        return NotSo(Unclear.SPEED)
    return expected


def _cold(clear: str, say: Say, now: datetime) -> Expected | NotSo:
    """Of a morning, or an hour before noon, the night is meant that ends with it."""
    found = _DEGREES.search(clear)
    written = _written(_blank(clear, found) if found else clear, say, now)
    left = _BARE.search(written.rest)
    if left:
        return NotSo(Unclear.LEFT_OVER, left[1])
    early = any(one.starts < _NOON for one in written.hours)
    ends_it = written.part is Part.MORNING or (early and written.part is None)
    evening_on = written.on - timedelta(days=1) if ends_it else written.on
    plant_c = float((found[1] or found[2]).replace(" ", "").replace(",", ".")) if found else PLANT_C
    return checked(ColdNight(evening_on, plant_c), now)


def _wind(clear: str, say: Say, now: datetime) -> Expected | NotSo:
    """In the unit that is written, else the garden's."""
    found = _SPEED.search(clear)
    written = _written(_blank(clear, found) if found else clear, say, now)
    bare = _BARE.search(written.rest)
    if found and bare:
        return NotSo(Unclear.LEFT_OVER, bare[1])
    gust_ms = GUST_MS
    if found:
        gust_ms = int(found[1]) * _MS.get(found[2], MS_PER_KN)
    elif bare:
        gust_ms = int(bare[1]) * _MS[say.wind_unit]
    return checked(Blow(*_from_to(written, say, now, lasts=_LASTS), gust_ms), now)


def _severe(written: _Written, say: Say, now: datetime) -> Expected | NotSo:
    left = _BARE.search(written.rest)
    if left:
        return NotSo(Unclear.LEFT_OVER, left[1])
    return checked(Closed(*_from_to(written, say, now, lasts=None)), now)


def _written(clear: str, say: Say, now: datetime) -> _Written:
    """Raises Wrong for days and hours that cannot be, and _Several."""
    today = say.local(now).date()
    days = spans.coming(clear, say, today, bare=False)
    if days is None:
        days = Days(today, today, 0, 0)
    rest = spans.without(clear, days)
    again = spans.coming(rest, say, today, bare=False)
    if days.first_on != days.last_on or (again is not None and again.named):
        raise _Several(clear[days.start : days.end].strip() or str(days.first_on))
    own, hours = words(say), list[Hours]()
    while len(hours) < 2 and (found := find_hours(plain(rest), days.start, own)) is not None:
        hours.append(found[0])
        rest = rest[: found[1]] + " " * (found[2] - found[1]) + rest[found[2] :]
    part = days.part or (again.part if again is not None else None)
    return _Written(days.first_on, part, tuple(hours), rest)


def _voices(say: Say) -> Iterator[Say]:
    """People mix their own language with English."""
    yield say
    if say.language != "en":
        yield replace(say, language="en")


def _has(text: str, alternatives: str) -> bool:
    pattern = "|".join(re.escape(fold(word)) for word in alternatives.split("|"))
    # Not \b: the vowel signs with which words of some scripts end are no letters to it.
    return re.search(rf"(?<!\w)(?:{pattern})(?!\w)", fold(text)) is not None


def _blank(text: str, found: re.Match[str]) -> str:
    return text[: found.start()] + " " * (found.end() - found.start()) + text[found.end() :]


def _from_to(written: _Written, say: Say, now: datetime, *, lasts: timedelta | None) -> tuple[datetime, datetime]:
    """From and to, aware UTC. lasts: how long, when only the beginning is said; else to the end of the day's hours."""
    first, last = _PARTS[written.part] if written.part else (_FROM, _TO)
    ends: time | None = last
    if written.hours:
        first = written.hours[0].starts
        ends = written.hours[1].starts if len(written.hours) > 1 else written.hours[0].ends
    start_at = datetime.combine(written.on, first, say.zone).astimezone(UTC)
    if ends is not None:
        end_at = datetime.combine(written.on, ends, say.zone).astimezone(UTC)
        return start_at, end_at + timedelta(days=1) if end_at <= start_at else end_at
    if lasts is not None:
        return start_at, start_at + lasts
    end_at = datetime.combine(written.on, _TO, say.zone).astimezone(UTC)
    return start_at, end_at if end_at > start_at else start_at + _LASTS
