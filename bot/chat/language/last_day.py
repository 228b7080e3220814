"""Until when: the last day of days that somebody tells, by a date, a weekday, a stretch such as "next week", or so many days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from bot.chat.language.day_numbers import (
    bare_day,
    day_count,
    is_ordinal,
    month_end,
    past_fill,
    to_end_of,
    weekday_number,
)
from bot.chat.language.day_spans import Part, Read
from bot.chat.language.line_tokens import Mistaken, Wrong
from bot.chat.language.written_days import Reader

_DAY = timedelta(days=1)
_SATURDAY = 5


def to_the_end_of(reader: Reader, at: int, first_on: date) -> tuple[date, int] | None:
    until = reader.tokens.phrase(at, reader.words.until)
    week = stretch(reader, until) if until is not None else None
    return to_end_of(reader, at, first_on) if week is None else (week.last_on, week.end)


def last_day(reader: Reader, at: int, first_on: date, *, bare: bool) -> tuple[date, int] | None:
    """The last day of days that begin on first_on. bare: a number alone counts as a day of the month."""
    at = past_fill(reader, at)
    after = replace(reader, today=first_on)
    point = after.point(at)
    if point is not None:
        return after.dated(point, point).last_on, point.end
    numbered = weekday_number(after, at)
    if numbered is not None:
        return numbered.last_on, numbered.end
    relative = reader.tokens.meaning(at, reader.words.relative)
    if relative is not None:
        on = reader.today + relative[0] * _DAY
        if on < first_on:
            raise Wrong(Mistaken.BACKWARDS, first_on.isoformat(), on.isoformat())
        return on, relative[1]
    weekday = replace(reader, today=first_on + _DAY).near(at)
    if weekday is not None:
        return weekday.last_on, weekday.end
    found = stretch(reader, at)
    if found is not None:
        return found.last_on, found.end
    month = after.months(at) or after.span(at)  # the second: "the middle of June"
    if month is not None:
        return month.last_on, month.end
    return bare_day(reader, at, first_on) if bare or is_ordinal(reader, at) else None


def day_before_home(reader: Reader, at: int, first_on: date, *, bare: bool) -> tuple[date, int] | None:
    """The last day before somebody is back; the day of it where they come late on that, "back on Sunday night"."""
    tokens, own = reader.tokens, reader.words
    start = past_fill(reader, at)
    over = None if reader.point(start) is not None else reader.months(start) or reader.span(start)
    if (
        over is not None and over.first_on < over.last_on and over.first_on > first_on
    ):  # "back in June", "back mid June"
        return over.first_on - _DAY, over.end
    late = at if at > 0 and tokens.text(at - 1) in own.late else tokens.phrase(at, own.late)  # "home late Sunday"
    last = last_day(reader, at if late is None else late, first_on, bare=bare)
    if last is None:
        return None
    part = tokens.meaning(past_fill(reader, last[1]), own.hours)
    if part is not None and part[0] >= Part.EVENING.value:
        return last[0], part[1]
    late = tokens.phrase(last[1], own.late) if late is None else last[1]
    return (last[0] - _DAY, last[1]) if late is None else (last[0], late)


def stretch(reader: Reader, at: int) -> Read | None:
    found = reader.tokens.meaning(at, reader.words.stretches)
    if found is None or found[0] == 4:
        return None
    monday = reader.today - reader.today.weekday() * _DAY
    if found[0] == 5:
        return Read(monday + 14 * _DAY, monday + 20 * _DAY, found[1])
    if found[0] == 7:
        return Read(monday + 19 * _DAY, monday + 20 * _DAY, found[1])
    if found[0] == 8:
        return Read(reader.today, month_end(reader.today), found[1])
    if found[0] == 6:
        first_on = month_end(reader.today) + _DAY
        return Read(first_on, month_end(first_on), found[1])
    of = reader.tokens.phrase(found[1], reader.words.of) if found[0] == 2 else None
    day = last_day(reader, of, reader.today, bare=False) if of is not None else None
    if day is not None:
        saturday = day[0] + (_SATURDAY - day[0].weekday()) * _DAY
        return Read(saturday, saturday + _DAY, day[1])
    first_on = (
        reader.today,
        monday + 7 * _DAY,
        max(reader.today, monday + _SATURDAY * _DAY),
        monday + (_SATURDAY + 7) * _DAY,
    )[found[0]]
    last_on = monday + (6 if found[0] in (0, 2) else 13) * _DAY
    return Read(first_on, last_on, found[1])


def days_n(reader: Reader, at: int) -> Read | None:
    """ "3 days", "for a week": from today; "in 3 days": one day."""
    ahead = reader.tokens.phrase(at, reader.words.ahead)
    counted = day_count(reader, ahead) if ahead is not None else None
    if counted is not None:
        on = reader.today + counted[0] * _DAY
        return Read(on, on, counted[1])
    found = lasting(reader, at)
    if found is None or reader.near(at) or reader.months(at) or reader.span(at):  # "a week on Thursday"
        return None
    since = reader.tokens.phrase(found[1], reader.words.since)
    first = last_day(reader, since, reader.today, bare=False) if since is not None else None
    if first is not None:  # "2 weeks from Monday"
        return Read(first[0], first[0] + (found[0] - 1) * _DAY, first[1])
    return Read(reader.today, reader.today + (found[0] - 1) * _DAY, found[1], named=False)


def lasting(reader: Reader, at: int) -> tuple[int, int] | None:
    opening = reader.tokens.phrase(at, reader.words.lasting)
    return day_count(reader, at if opening is None else opening)
