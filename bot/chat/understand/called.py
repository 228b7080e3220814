"""What an organiser calls by hand: "cold tonight -3", "wind tomorrow 14:00 60 mph", "severe Friday 12:00 18:00"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum

from bot.chat.understand_calendar.words import words as date_words
from bot.core.assumed import Blow, ColdNight
from bot.core.closed import Closed
from bot.core.units import MS_PER_KN, MS_PER_MPH
from bot.crops.find import fold
from bot.i18n import MS_PER_KMH, Say

__all__ = ["Expected", "Unclear", "called", "checked"]

Expected = ColdNight | Blow | Closed

#: What stands where nothing is said. -2 C kills tender crops and spares hardy ones (PMC10202904, Table 2); gusts of
#: 50 mph are a gale's (from 43 kn; Met Office marine glossary, read via two copies).
PLANT_C, GUST_MS = -2.0, 50 * MS_PER_MPH
#: Hours of a day, and how long a blow of which only the beginning is said lasts: common practice, no source.
_FROM, _TO, _LASTS = time(8), time(20), timedelta(hours=4)
_COLD_C, _GUSTS_MS = (-25.0, 5.0), (9.0, 60.0)
_LONGEST, _FARTHEST = timedelta(hours=24), timedelta(days=8)

_CLOCK = re.compile(r"\b([01]?\d|2[0-3]):([0-5]\d)\b")
_ISO = re.compile(r"\b(\d{4}-\d{2}-\d{2})\b")
_SPEED = re.compile(r"\b(\d{1,3})\s?(mph|km/h|kmh|m/s|kn|knots)(?!\w)")
_BARE = re.compile(r"\b(\d{2,3})\b")
_DEGREES = re.compile(r"(?<!\w)([-+]\s?\d{1,2}(?:[.,]\d)?)|\b(\d{1,2}(?:[.,]\d)?)\s?(?:°|c\b|deg|stop)")
_MS = {"mph": MS_PER_MPH, "km/h": MS_PER_KMH, "kmh": MS_PER_KMH, "m/s": 1.0, "kn": MS_PER_KN, "knots": MS_PER_KN}


class Unclear(StrEnum):
    """Why nothing can be called."""

    WHAT = "what"
    PAST = "past"
    TOO_FAR = "too far"
    TEMPERATURE = "temperature"
    SPEED = "speed"
    HOURS = "hours"


def called(text: str, say: Say, now: datetime) -> Expected | Unclear:
    """What is expected; a day that is not named is today."""
    plain = text.casefold().replace("\N{MINUS SIGN}", "-").replace("–", "-")
    words = fold(text)
    on, rest = _day(plain, words, say, now)
    for voice in _voices(say):
        if _has(words, voice.pgettext("words for an official severe warning", "severe|official")):
            return checked(Closed(*_hours(rest, on, say, now, lasts=None)), now)
        if _has(words, voice.pgettext("words for wind", "wind|gale|storm|gust|gusts")):
            return checked(Blow(*_hours(rest, on, say, now, lasts=_LASTS), _gust_ms(rest, say)), now)
        if _has(words, voice.pgettext("words for cold", "cold|frost|freeze|freezing")):
            return checked(ColdNight(on, _plant_c(rest)), now)
    return Unclear.WHAT


def checked(expected: Expected, now: datetime) -> Expected | Unclear:
    """The same, unless it is past, too far, or no weather there is."""
    if isinstance(expected, ColdNight):
        begins_on, is_past = expected.evening_on, expected.evening_on < (now - timedelta(hours=12)).date()
    else:
        begins_on, is_past = expected.start_at.date(), expected.end_at <= now
    if is_past:
        return Unclear.PAST
    if begins_on - now.date() > _FARTHEST:
        return Unclear.TOO_FAR
    if isinstance(expected, ColdNight):
        return expected if _COLD_C[0] <= expected.plant_c <= _COLD_C[1] else Unclear.TEMPERATURE
    if not timedelta() < expected.end_at - expected.start_at <= _LONGEST:
        return Unclear.HOURS
    if isinstance(expected, Blow) and not _GUSTS_MS[0] <= expected.gust_ms <= _GUSTS_MS[1]:
        return Unclear.SPEED
    return expected


def _voices(say: Say) -> Iterator[Say]:
    """People mix their own language with English."""
    yield say
    if say.language != "en":
        yield replace(say, language="en")


def _has(words: str, alternatives: str) -> bool:
    pattern = "|".join(re.escape(fold(word)) for word in alternatives.split("|"))
    return re.search(rf"\b(?:{pattern})\b", words) is not None


def _day(plain: str, words: str, say: Say, now: datetime) -> tuple[date, str]:
    """The day, and the text without what named it in figures."""
    today = say.local(now).date()
    iso = _ISO.search(plain)
    if iso:
        try:
            return date.fromisoformat(iso[1]), plain.replace(iso[1], " ")
        except ValueError:
            return today, plain.replace(iso[1], " ")
    for voice in _voices(say):
        if _has(words, voice.pgettext("words for the day after tomorrow", "day after tomorrow")):
            return today + timedelta(days=2), plain
        if _has(words, voice.pgettext("words for tomorrow", "tomorrow")):
            return today + timedelta(days=1), plain
    weekday = next((number for name, number in date_words(say).weekdays.items() if _has(words, name)), None)
    return today if weekday is None else today + timedelta(days=(weekday - today.weekday()) % 7), plain


def _hours(rest: str, on: date, say: Say, now: datetime, *, lasts: timedelta | None) -> tuple[datetime, datetime]:
    """From and to, aware UTC. lasts: how long, when only the beginning is said; else to the end of the day's hours."""
    clocks = [time(int(found[1]), int(found[2])) for found in _CLOCK.finditer(rest)]
    start_at = datetime.combine(on, clocks[0] if clocks else _FROM, say.zone).astimezone(UTC)
    if len(clocks) > 1:
        end_at = datetime.combine(on, clocks[1], say.zone).astimezone(UTC)
        return start_at, end_at + timedelta(days=1) if end_at <= start_at else end_at
    if clocks and lasts is not None:
        return start_at, start_at + lasts
    end_at = datetime.combine(on, _TO, say.zone).astimezone(UTC)
    return start_at, end_at if end_at > start_at else start_at + _LASTS


def _gust_ms(rest: str, say: Say) -> float:
    """In the unit that is written, else the garden's."""
    rest = _CLOCK.sub(" ", rest)
    found = _SPEED.search(rest)
    if found:
        return int(found[1]) * _MS[found[2]]
    bare = _BARE.search(rest)
    return int(bare[1]) * _MS[say.wind_unit] if bare else GUST_MS


def _plant_c(rest: str) -> float:
    found = _DEGREES.search(rest.replace("minus ", "-"))
    return float((found[1] or found[2]).replace(" ", "").replace(",", ".")) if found else PLANT_C
