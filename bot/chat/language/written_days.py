"""Days as people write them, the day before the month: "12-20 May", "1/5-14/5", "mid May", "week of 4 May", "Saturday".

Where no year is written, it is the coming one: the first in which the days are not over.
"""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, timedelta

from bot.chat.language.date_words import Words
from bot.chat.language.line_tokens import Mistaken, Note, Tokens, Wrong, beginnings

_YEARS = range(1950, 2101)
#: Letters of an ending that always belongs to its number; a longer one may stand apart, "20 числа".
_ENDING_N = 2
_DAY, _WEEK = timedelta(days=1), timedelta(days=7)
_LONGEST_WINTER = timedelta(
    days=180
)  # "28 December to 3 January" runs over the new year, "20 May to 3 April" is a slip


@dataclass(frozen=True, slots=True)
class Point:
    """A written day, before its year is known. end: the place after it. weekday: 0 is Monday, where one was written."""

    day: int
    month: int
    year: int | None
    end: int
    weekday: int | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """Days, both included. end: the place after them in the line."""

    first_on: date
    last_on: date
    end: int
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class Reader:
    """Reads days at a place in a line; None where none stand there. Raises Wrong for days that cannot be.

    dotted: whether "20.05" is a day, where no hours are written.
    """

    tokens: Tokens
    words: Words
    today: date
    dotted: bool = False

    def may_begin(self, at: int) -> bool:
        """Whether a day may begin here; most words begin none."""
        text = self.tokens.text(at)
        return text.isdecimal() or text in beginnings(self.words)

    def span(self, at: int) -> Span | None:
        """Days that can be nothing else: with a number, or a part of a month."""
        ways = (self._week_of, self._nth_weekday, self._days_of_month, self._points, self._parts)
        return next((found for way in ways if (found := way(at)) is not None), None)

    def months(self, at: int) -> Span | None:
        """ "May", "June to August": from the first day to the last."""
        first = self.month(at)
        if first is None:
            return None
        joint = self.tokens.phrase(first[2], self.words.to)
        last = self.month(joint) if joint is not None else None
        closing = last or first
        return self._to_end_of(Point(1, first[0], first[1], first[2]), closing[0], closing[1], closing[2], 0)

    def near(self, at: int) -> Span | None:
        """today, tomorrow, the day after it, or the coming weekday; "Thursday week" and "a week on Thursday" seven days on."""
        week = self.tokens.phrase(at, self.words.week_on)
        day = self._near(at if week is None else week)
        if day is None:
            return None
        end = self.tokens.phrase(day.end, self.words.week_after) if week is None else day.end
        if end is None:
            return day
        return Span(day.first_on + _WEEK, day.first_on + _WEEK, end)

    def _near(self, at: int) -> Span | None:
        relative = self.tokens.meaning(at, self.words.relative)
        if relative is not None:
            on = self.today + relative[0] * _DAY
            return Span(on, on, relative[1])
        weekday = self.tokens.meaning(at, self.words.weekdays)
        if weekday is None:
            return None
        next_n = 7 if at > 0 and self.tokens.text(at - 1) in self.words.coming else 0  # which is not today
        on = self.today + ((weekday[0] - self.today.weekday()) % 7 or next_n) * _DAY
        return Span(on, on, weekday[1])

    def point(self, at: int) -> Point | None:
        """One day: "Sat 9 May 2026", "9th of May", "May 9", "9/5", "2026-05-09"."""
        weekday = self.tokens.meaning(at, self.words.weekdays)
        start = self._past_fill(weekday[1], ",") if weekday else at
        found = self._iso(start) or self._in_digits(start) or self._day_month(start) or self._month_day(start)
        if found is None or weekday is None:
            return found
        return Point(found.day, found.month, found.year, found.end, weekday[0])

    def month(self, at: int) -> tuple[int, int | None, int] | None:
        """(month, year, place after)."""
        found = self.tokens.meaning(at, self.words.months)
        if found is None:
            return None
        year, end = self._year(found[1])
        return found[0], year, end

    def ordinal_weekday(self, at: int) -> tuple[int, int, int] | None:
        """(which: 1 to 4 or -1, weekday, place after) of "first Saturday"."""
        which = self.tokens.meaning(at, self.words.ordinals)
        weekday = self.tokens.meaning(which[1], self.words.weekdays) if which else None
        return (which[0], weekday[0], weekday[1]) if which and weekday else None

    def dated(self, first: Point, last: Point) -> Span:
        """The days on real dates: of the year written, else of the coming one; over the new year where they run so."""
        crosses = (first.month, first.day) > (last.month, last.day)
        written = last.year or (first.year + crosses if first.year else None)
        for year in [written] if written else self.years:
            first_on, last_on = _real(first, first.year or year - crosses), _real(last, year)
            if first_on and last_on and (written or last_on >= self.today):
                return self._sound(first, last, first_on, last_on, crosses)
        raise self._never(first, last, written)

    @property
    def years(self) -> tuple[int, int]:
        return self.today.year, self.today.year + 1

    def _sound(self, first: Point, last: Point, first_on: date, last_on: date, crosses: bool) -> Span:
        if last_on < first_on or (crosses and last_on - first_on > _LONGEST_WINTER):
            raise Wrong(Mistaken.BACKWARDS, f"{first.day}/{first.month}", f"{last.day}/{last.month}")
        for point, on in ((first, first_on), (last, last_on)):
            if point.weekday is not None and on.weekday() != point.weekday:
                raise Wrong(Mistaken.WRONG_WEEKDAY, on.isoformat())
        coming = first.year is None and last.year is None and first_on.year > self.today.year
        return Span(first_on, last_on, max(first.end, last.end), (Note.NEXT_YEAR,) if coming else ())

    def _never(self, first: Point, last: Point, year: int | None) -> Wrong:
        for point in (first, last):
            shown = f"{point.day}/{point.month}"
            if point.month > 12 >= point.day >= 1:
                return Wrong(Mistaken.MONTH_FIRST, shown, f"{point.month}/{point.day}")
            if all(_real(point, each) is None for each in ([point.year or year] if year else self.years)):
                return Wrong(Mistaken.NO_SUCH_DAY, shown)
        return Wrong(Mistaken.BACKWARDS, f"{first.day}/{first.month}", f"{last.day}/{last.month}")

    def _week_of(self, at: int) -> Span | None:
        start = self.tokens.phrase(at, self.words.week_of)
        point = self.point(self._past_fill(start)) if start is not None else None
        if point is None:
            return None
        span = self.dated(point, point)
        return Span(span.first_on, span.first_on + 6 * _DAY, span.end, span.notes)

    def _nth_weekday(self, at: int) -> Span | None:
        """ "first Saturday of May": one day."""
        found = self.ordinal_weekday(at)
        month = self.month(self._past_of(found[2])) if found else None
        if found is None or month is None:
            return None
        for year in [month[1]] if month[1] else self.years:
            on = _nth(found[0], found[1], month[0], year)
            if month[1] or on >= self.today:
                return Span(on, on, month[2], (Note.NEXT_YEAR,) if not month[1] and year > self.today.year else ())
        return None

    def _days_of_month(self, at: int) -> Span | None:
        """ "12-20 May", "12th to 20th of May", "May 12-20", "12 and 13 May", "12/13 May"."""
        weekday = self.tokens.meaning(at, self.words.weekdays)
        first = self.number(self._past_fill(weekday[1], ",") if weekday else at)
        if first is not None:
            before, end = self._counted_on(first)
            both = self.tokens.phrase(end, self.words.both) or self._past_slash(end)
            joint = both or self.tokens.phrase(end, self.words.to)
            last = self.point(self._past_fill(joint)) if joint is not None else None
            if last is None:
                return None
            start = Point(first[0], last.month, last.year, first[1], weekday[0] if weekday else None)
            if both and last.day - before != 1 and not self.is_among(at):
                raise Wrong(Mistaken.TWO_DATES, f"{last.day}/{last.month}")
            return self.dated(start, last)
        opening = self._month_day(at)
        joint = self.tokens.phrase(opening.end, self.words.to) if opening and opening.year is None else None
        until = self.number(joint) if joint is not None else None
        if opening is None or until is None or self.month(until[1]):
            return None
        year, end = self._year(until[1])
        return self.dated(opening, Point(until[0], opening.month, year, end))

    def _past_slash(self, at: int) -> int | None:
        """Between two days of one month, "9/10 May"; elsewhere a month in digits follows it."""
        return at + 1 if self.tokens.text(at) == "/" and self._day_month(at + 1) is not None else None

    def _counted_on(self, first: tuple[int, int]) -> tuple[int, int]:
        """The last of days counted one by one but for the last, "19, 20 and 21 May", and the place after it."""
        day, end = first
        while (joint := self.tokens.phrase(end, self.words.both | {","})) is not None:
            after = self.number(self._past_fill(joint))
            if after is None or after[0] != day + 1 or self.month(self._past_of(after[1])) is not None:
                break
            day, end = after
        return day, end

    def is_among(self, at: int) -> bool:
        """Whether "between" stands before it, "between the 11th and the 15th"."""
        before, own = at - 1, self.words
        while before >= 0 and self.tokens.text(before) in own.fill - own.among:
            before -= 1
        return before >= 0 and self.tokens.text(before) in own.among

    def _points(self, at: int) -> Span | None:
        """ "28 April - 3 May", "1/5-14/5", or one day alone."""
        first = self.point(at)
        if first is None:
            return None
        joint = self.tokens.phrase(first.end, self.words.to)
        last = self.point(self._past_fill(joint)) if joint is not None else None
        return self.dated(first, last or first)

    def _parts(self, at: int) -> Span | None:
        """ "mid May", "late May to early June", "mid to late May"."""
        first = self._part(at)
        if first is None:
            return None
        (first_day, first_last), month, end = first
        joint = self.tokens.phrase(end, self.words.to)
        last = self._part(joint) if joint is not None else None
        closing = (last[0][1], last[1], last[2]) if last else (first_last, month, end)
        opening = month or closing[1]
        if opening is None or closing[1] is None:
            return None
        first_point = Point(first_day, opening[0], opening[1], end)
        span = self._to_end_of(first_point, *closing[1][:2], closing[2], closing[0])
        return Span(span.first_on, span.last_on, span.end, (*span.notes, Note.PART))

    def _part(self, at: int) -> tuple[tuple[int, int], tuple[int, int | None] | None, int] | None:
        found = self.tokens.meaning(at, self.words.parts)
        if found is None:
            month = (
                self.month(at) if "-" not in self.words.until_after else None
            )  # as in Bengali: "of June the first week"
            after = self.tokens.meaning(month[2], self.words.parts) if month is not None else None
            return (after[0], month[:2], after[1]) if month is not None and after is not None else None
        start = found[1] + (self.tokens.text(found[1]) == "-")
        month = self.month(self._past_of(start))
        return (found[0], month[:2], month[2]) if month else (found[0], None, found[1])

    def _to_end_of(self, first: Point, month: int, year: int | None, end: int, day: int) -> Span:
        """From the first day to that day of the month; 0 is its last, which depends on the year."""
        for try_year in [year] if year else self.years:
            last_day = day or calendar.monthrange(try_year, month)[1]
            span = self.dated(first, Point(last_day, month, year, end))
            if span.last_on.year == try_year:
                return span
        return span

    def _iso(self, at: int) -> Point | None:
        tokens, year = self.tokens, self.tokens.number(at, (4,))
        month, day = tokens.number(at + 2), tokens.number(at + 4)
        dashed = tokens.text(at + 1) == tokens.text(at + 3) == "-" and tokens.joined(at + 1) and tokens.joined(at + 4)
        return Point(day, month, year, at + 5) if year and month and day and dashed else None

    def _in_digits(self, at: int) -> Point | None:
        """ "9/5", "9/5/26", "9.5.2026", "9-5-2026"; a dot or dash needs the year, for hours are written so too."""
        tokens, day, month, sign = self.tokens, self.tokens.number(at), self.tokens.number(at + 2), ""
        sign = tokens.text(at + 1)
        if day is None or month is None or sign not in ("/", ".", "-") or not tokens.joined(at + 2):
            return None
        again = tokens.text(at + 3) == sign and tokens.joined(at + 4)
        year = tokens.number(at + 4, (2, 4) if sign == "/" else (4,)) if again else None
        whole = self.dotted and sign == "." and len(tokens.text(at + 2)) == 2 and month <= 12
        if year is None and sign != "/" and not whole:
            return None
        if year is None and (tokens.meaning(at + 3, self.words.months) or (sign == "/" and 12 < day == month - 1)):
            return None  # two days: "9/10 May", "16/17"
        full = year if year is None or year > 99 else 2000 + year
        return Point(day, month, full, at + 3 if year is None else at + 5)

    def _day_month(self, at: int) -> Point | None:
        day = self.number(at)
        month = self.month(self._past_of(day[1])) if day else None
        return Point(day[0], month[0], month[1], month[2]) if day and month else None

    def _month_day(self, at: int) -> Point | None:
        month = self.tokens.meaning(at, self.words.months)
        day = self.number(self._past_fill(month[1])) if month else None
        if month is None or day is None:
            return None
        year, end = self._year(day[1])
        return Point(day[0], month[0], year, end)

    def number(self, at: int) -> tuple[int, int] | None:
        """A day's number with its ending: 9, 9th, "9-th", "9." before a month or in a list; or in words, "eleventh"."""
        tokens, day = self.tokens, self.tokens.number(at)
        if day is None:
            return tokens.meaning(at, self.words.days_told)
        if tokens.text(at + 1) == ":" and tokens.joined(at + 1):
            return None
        for end in (at + 1, at + 2 if tokens.text(at + 1) == "-" and tokens.joined(at + 1) else at):
            ending = tokens.text(end)
            if ending in self.words.suffixes and (tokens.joined(end) or len(ending) > _ENDING_N):
                return day, end + 1
        listed = tokens.text(at + 2) == "," or tokens.phrase(at + 2, self.words.both) is not None
        dotted = tokens.text(at + 1) == "." and (listed or tokens.meaning(at + 2, self.words.months))
        return day, at + (2 if dotted else 1)

    def _year(self, at: int) -> tuple[int | None, int]:
        place = at + (self.tokens.text(at) == "," and self.tokens.number(at + 1, (4,)) is not None)
        year = self.tokens.number(place, (4,))
        return (year, place + 1) if year in _YEARS else (None, at)

    def _past_fill(self, at: int, also: str = "") -> int:
        while self.tokens.text(at) in self.words.fill or (also and self.tokens.text(at) == also):
            at += 1
        return at

    def _past_of(self, at: int) -> int:
        return self.tokens.phrase(at, self.words.of) or at


def _real(point: Point, year: int) -> date | None:
    try:
        return date(year, point.month, point.day)
    except ValueError:
        return None


def _nth(which: int, weekday: int, month: int, year: int) -> date:
    """The first to fourth such weekday of a month, or its last."""
    days_n = calendar.monthrange(year, month)[1]
    days = [day for n in range(1, days_n + 1) if (day := date(year, month, n)).weekday() == weekday]
    return days[which - 1 if which > 0 else which]
