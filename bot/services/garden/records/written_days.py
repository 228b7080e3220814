"""Days, weekdays and hours as people write them, in the languages that Gatepost speaks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date, time, timedelta
from functools import cache

from babel import Locale

from bot.crops.find import fold
from bot.i18n import LANGUAGES, Say, locale
from bot.services.garden.records.problems import CellError, shown
from bot.services.garden.records.sheet import Raw, Reading

#: How export writes them, 0 is Monday.
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

_FIRST_YEAR, _LAST_YEAR = 1950, 2100
_MONTHS = 12
_PIVOT = 69  # two digits from here on are of the last century, as in POSIX strptime %y

_CLOCK = r"(?:[T ]\d{1,2}:\d{2}.*)?"
_YEAR_FIRST = re.compile(rf"(\d{{4}})([-/.])(\d{{1,2}})\2(\d{{1,2}}){_CLOCK}")
_DAY_FIRST = re.compile(rf"(\d{{1,2}})([-/. ])\s?(\d{{1,2}})\2\s?(\d{{4}}|\d{{2}})\.?{_CLOCK}")
_DAY_NAME = re.compile(r"(?:[^\W\d_]+\.?,? )?(\d{1,2})(?:st|nd|rd|th|\.)?[ -](?:of )?([^\W\d_]+)\.?,?[ -](\d{4}|\d{2})")
_NAME_DAY = re.compile(r"(?:[^\W\d_]+\.?, )?([^\W\d_]+)\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})")
_SERIAL = re.compile(r"\d{5}(?:[.,]\d+)?")
_HOUR = re.compile(r"(\d{1,2})(?:[:.]00){0,2}")


def day(raw: Raw, reading: Reading) -> date:
    """A day from 1950 to 2100."""
    say = reading.say
    found = _day(raw, say, reading)
    if not _FIRST_YEAR <= found.year <= _LAST_YEAR:
        raise CellError(
            say.gettext(
                "{day} is not a likely day; the year must be from {first} to {last}",
                day=found.isoformat(), first=_FIRST_YEAR, last=_LAST_YEAR,
            )
        )  # fmt: skip
    return found


def past_day(raw: Raw, reading: Reading) -> date:
    """A day on which something has happened."""
    found = day(raw, reading)
    if found > reading.last_on:
        raise CellError(
            reading.say.gettext(
                "{day} is in the future; write when it happened, or leave it empty", day=found.isoformat()
            )
        )
    return found


def weekday(raw: Raw, reading: Reading) -> int:
    """A weekday's name, whole or short; 0 is Monday."""
    say = reading.say
    found = _weekdays().get(fold(str(raw)))
    if found is None:
        raise CellError(
            say.gettext("'{value}' is not a weekday; write its name, such as Monday or Mon", value=shown(raw))
        )
    return found


def hour(raw: Raw, reading: Reading) -> int:
    """A whole hour of the day, 0 to 24."""
    say = reading.say
    text = raw.strftime("%H:%M:%S") if isinstance(raw, time) else str(raw).removesuffix(".0")
    written = _HOUR.fullmatch(text)
    if not written or int(written[1]) > 24:
        raise CellError(say.gettext("'{value}' is not a whole hour; write one such as 9 or 14:00", value=shown(raw)))
    return int(written[1])


def month_comes_first(cells: Iterable[Raw | None]) -> bool:
    """Whether a column's days are written month first: one can't be read otherwise, and none speaks against it."""
    written = [
        found for cell in cells if isinstance(cell, str) and (found := _DAY_FIRST.fullmatch(" ".join(cell.split())))
    ]
    return any(int(one[3]) > _MONTHS for one in written) and all(int(one[1]) <= _MONTHS for one in written)


def _day(raw: Raw, say: Say, reading: Reading) -> date:
    if isinstance(raw, date):
        return raw
    text = " ".join(str(raw).split())
    if not isinstance(raw, bool | time) and _SERIAL.fullmatch(text):
        return reading.day_zero + timedelta(days=int(text[:5]))
    for pattern, parts in _FORMS:
        if found := pattern.fullmatch(text):
            year, month, on = parts(found)
            if pattern is _DAY_FIRST and reading.month_first:
                month, on = on, month
            return _made(text, _year(year), _month(month, text, say), int(on), say)
    raise CellError(_no_day(text, say))


_FORMS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], tuple[str, str, str]]], ...] = (
    (_YEAR_FIRST, lambda found: (found[1], found[3], found[4])),
    (_DAY_FIRST, lambda found: (found[4], found[3], found[1])),
    (_DAY_NAME, lambda found: (found[3], found[2], found[1])),
    (_NAME_DAY, lambda found: (found[3], found[1], found[2])),
)


def _year(digits: str) -> int:
    year = int(digits)
    return year if len(digits) == 4 else year + (1900 if year >= _PIVOT else 2000)


def _month(word: str, text: str, say: Say) -> int:
    month = int(word) if word.isdecimal() else _months().get(fold(word), 0)
    if not month:
        raise CellError(_no_day(text, say))
    return month


def _made(text: str, year: int, month: int, on: int, say: Say) -> date:
    try:
        return date(year, month, on)
    except ValueError:
        if month > 12 >= on >= 1:
            likely = f"{year:04}-{on:02}-{month:02}"
            what = say.gettext("'{value}': there is no such month; the day comes first; write {likely}", value=shown(text),
                               likely=likely)  # fmt: skip
            raise CellError(what) from None
        raise CellError(say.gettext("'{value}' is a day that does not exist", value=shown(text))) from None


def _no_day(text: str, say: Say) -> str:
    return say.gettext("'{value}' is not a whole date; write year, month and day: 2026-05-03", value=shown(text))


@cache
def _months() -> dict[str, int]:
    return {fold(name): month for names in _named("months") for month, name in names.items()}


@cache
def _weekdays() -> dict[str, int]:
    return {fold(name): on for names in _named("days") for on, name in names.items()}


def _named(what: str) -> list[dict[int, str]]:
    """The names of months or days, whole and short, standing alone or inside a date, in every language."""
    locales = [each for language in LANGUAGES for each in (locale(language), Locale.parse(language))]
    return [
        dict(getattr(each, what)[context][width])
        for each in locales
        for context in ("format", "stand-alone")
        for width in ("abbreviated", "wide")
    ]
