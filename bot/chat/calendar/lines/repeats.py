"""What repeats, as people write it: "first Saturday of the month", "every Tuesday in June", "every other Friday"."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from bot.chat.calendar.lines.mistakes import Note
from bot.chat.calendar.lines.written_days import Reader
from bot.core.calendar.entry import WEEKDAYS

__all__ = ["Repeat", "repeat"]


@dataclass(frozen=True, slots=True)
class Repeat:
    """rrule: an RRULE value, UNTIL included. first_on: from when on, which need not be a day that the rule falls on."""

    rrule: str
    first_on: date
    end: int
    notes: tuple[Note, ...]


def repeat(reader: Reader, at: int) -> Repeat | None:
    """The repetition at this place of the line, with its beginning and end where they follow."""
    ways = (_monthly, _on_weekdays, _daily, _on_day_of_month, _yearly)
    found = next((found for way in ways if (found := way(reader, at)) is not None), None)
    if found is None:
        return None
    rule, end, known_on = found
    first_on, until, end = _bounds(reader, end)
    begins = known_on or max(first_on or reader.today, reader.today)
    notes = () if until else (Note.NO_END,)
    return Repeat(f"{rule};UNTIL={until:%Y%m%d}" if until else rule, begins, end, notes)


_Found = tuple[str, int, date | None]


def _monthly(reader: Reader, at: int) -> _Found | None:
    tokens, words = reader.tokens, reader.words
    every = tokens.phrase(at, words.every)
    nth = reader.ordinal_weekday(at if every is None else every)
    if nth is None:
        return None
    which, weekday, end = nth
    closing = tokens.phrase(end, words.of_every_month)
    if every is None and closing is None:
        return None
    return f"FREQ=MONTHLY;BYDAY={which}{WEEKDAYS[weekday]}", closing or end, None


def _on_weekdays(reader: Reader, at: int) -> _Found | None:
    tokens, words = reader.tokens, reader.words
    other = tokens.phrase(at, words.every_other)
    start = other if other is not None else tokens.phrase(at, words.every)
    named = words.plurals if start is None else words.weekdays | words.plurals
    days: list[int] = []
    end = at if start is None else start
    while (found := tokens.meaning(end, named)) is not None:
        days.append(found[0])
        end = found[1]
        joint = tokens.phrase(end, words.both | {","})
        if joint is None or tokens.meaning(joint, named) is None:
            break
        end = joint
    if not days:
        return None
    listed = ",".join(WEEKDAYS[day] for day in sorted(set(days)))
    return f"FREQ=WEEKLY{';INTERVAL=2' if other is not None else ''};BYDAY={listed}", end, None


def _daily(reader: Reader, at: int) -> _Found | None:
    end = reader.tokens.phrase(at, reader.words.every_day)
    return ("FREQ=DAILY", end, None) if end is not None else None


def _on_day_of_month(reader: Reader, at: int) -> _Found | None:
    """ "every month on the 15th", "15th of every month"."""
    tokens, words = reader.tokens, reader.words
    opening = tokens.phrase(at, words.every_month_on)
    day = reader.number(at if opening is None else opening)
    if day is None or not 1 <= day[0] <= 31:
        return None
    end = day[1] if opening is not None else tokens.phrase(day[1], words.of_every_month)
    return (f"FREQ=MONTHLY;BYMONTHDAY={day[0]}", end, None) if end is not None else None


def _yearly(reader: Reader, at: int) -> _Found | None:
    """ "every year on 1 May", "1 May every year"."""
    opening = reader.tokens.phrase(at, reader.words.every_year)
    point = reader.point(at if opening is None else opening)
    end = point.end if point and opening is not None else None
    if point and opening is None:
        end = reader.tokens.phrase(point.end, reader.words.every_year)
    return ("FREQ=YEARLY", end, reader.dated(point, point).first_on) if point and end is not None else None


def _bounds(reader: Reader, at: int) -> tuple[date | None, date | None, int]:
    """(first, last, place after) of "in June", "from 3 May until 20 June", "May to September"."""
    tokens, words = reader.tokens, reader.words
    inside = tokens.phrase(at, words.of | words.since) or at
    both = reader.months(inside) or (reader.span(inside) if inside != at or tokens.number(at) is not None else None)
    if both is not None and (both.first_on != both.last_on or tokens.phrase(at, words.of) is not None):
        return both.first_on, both.last_on, both.end
    first_on, end = (both.first_on, both.end) if both is not None and inside != at else (None, at)
    closing = tokens.phrase(end, words.until)
    last = (reader.months(closing) or reader.span(closing)) if closing is not None else None
    return (first_on, last.last_on, last.end) if last else (first_on, None, end)
