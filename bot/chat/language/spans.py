"""Days and spans of days as people write them, read in one place for everything that hears them.

"tomorrow", "9 May", "9-12 May", "until 12 May", "from Friday till the 10th", "next week", "this weekend", "3 days".
What stands in a date alone is read by `written_days`; here it is found in a text, put beside today, and joined.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from functools import partial

from bot.chat.language.date_words import words
from bot.chat.language.day_numbers import (
    MONTH_N,
    after_in,
    at_unit,
    bare_day,
    dashed,
    day_count,
    is_all,
    is_bare,
    is_ordinal,
    leads_ordinal,
    letters,
    month_end,
    opened,
    part_of,
    past_fill,
    slashed,
    under_way,
    weekday_number,
    whole_month,
    with_part,
)
from bot.chat.language.day_spans import Days, Free, Part, Read
from bot.chat.language.last_day import day_before_home, days_n, last_day, lasting, stretch, to_the_end_of
from bot.chat.language.line_tokens import Mistaken, Note, Tokens, Wrong
from bot.chat.language.written_days import Reader, Span
from bot.i18n import Say

_DAY = timedelta(days=1)
_SATURDAY = 5
#: Words between the day of leaving and the day of coming back.
_GOING_N = 4
_FORTNIGHT = timedelta(days=14)


def coming(text: str, say: Say, today: date, *, bare: bool = True) -> Days | None:
    """The first days in a text that are to come; None where there are none. Raises Wrong for days that cannot be.

    bare: whether a number after "from" or "to" is a day of the month; where hours are written it is one of them.
    """
    reader = Reader(Tokens(text), words(say), today, dotted=bare)
    return next(found_in(reader, partial(_span, bare=bare), lambda start, end: True), None)


def in_year(text: str, say: Say, today: date, free: Free) -> tuple[int, int] | None:
    """(month, day) of a day of any year. Raises Wrong."""
    reader = Reader(Tokens(text), words(say), today)
    for at in range(len(reader.tokens.all)):
        point = reader.point(at)
        if point is not None and free(*letters(reader, at, point.end)):
            reader.dated(replace(point, year=None, weekday=None), replace(point, year=None, weekday=None))
            return point.month, point.day
    return None


def near(reader: Reader, at: int) -> Span | None:
    """ "tomorrow", "Friday to Sunday", "next week", "this weekend": days that are told from today."""
    found = stretch(reader, at) or (_from(reader, at, told=False, bare=False) if reader.near(at) is not None else None)
    return Span(found.first_on, found.last_on, found.end) if found is not None else None


def without(text: str, days: Days) -> str:
    """The text with its days blanked, as long as before."""
    return text[: days.start] + " " * (days.end - days.start) + text[days.end :]


def found_in(reader: Reader, read: Callable[[Reader, int], Read | None], free: Free) -> Iterator[Days]:
    alone: Days | None = None
    for at in range(len(reader.tokens.all)):
        if not reader.may_begin(at):
            continue
        found = read(reader, at)
        if found is not None:
            if not free(*letters(reader, at, found.end)):
                continue
            start, end, part = with_part(reader, opened(reader, at), found.end)
            yield Days(
                found.first_on, found.last_on, *letters(reader, start, end), part,
                found.sure, found.named, found.next_year, found.open_end,
            )  # fmt: skip
        elif alone is None and (part_at := reader.tokens.meaning(at, reader.words.hours)) is not None:
            place = letters(reader, at, part_at[1])
            if free(*place):
                alone = Days(reader.today, reader.today, *place, Part(part_at[0]), named=False)
    if alone is not None:
        yield alone


# -- to come


def _span(reader: Reader, at: int, *, bare: bool) -> Read | None:
    read = _told_after(reader, _span_here(reader, at, bare=bare))
    joint = reader.tokens.phrase(read.end, reader.words.beside) if read is not None else None
    opened = reader.tokens.meaning(at, reader.words.stretches)
    if read is not None and joint is not None and opened is not None and _is_next(reader, joint):
        if opened[0] != 0:
            raise Wrong(Mistaken.TWO_DATES, reader.tokens.text(joint))  # "this weekend or next"
        return replace(read, last_on=read.last_on + 7 * _DAY, end=past_fill(reader, joint))  # "this week or next"
    after = reader.tokens.meaning(read.end, reader.words.stretches) if read is not None else None
    if read is None or after is None or after[0] > 1 or reader.tokens.meaning(at, reader.words.weekdays) is None:
        return read
    if after[0] == 0:  # "Thurs or Fri this week"
        return replace(read, end=after[1])
    monday = reader.today + (7 - reader.today.weekday()) * _DAY  # "Mon to Wed next week"
    first_on = monday + read.first_on.weekday() * _DAY
    return replace(read, first_on=first_on, last_on=first_on + (read.last_on - read.first_on), end=after[1])


def _told_after(reader: Reader, read: Read | None) -> Read | None:
    """Until a day, or the day before it, where the word for "until" or "back" stands after it, as in Bengali; also with a
    first day before both, "leave Saturday, Tuesday back".
    """
    tokens, own = reader.tokens, reader.words
    if read is None or read.first_on != read.last_on or read.first_on < reader.today:
        return read
    until = tokens.phrase(read.end, own.until_after)
    if until is not None:
        return replace(read, first_on=reader.today, end=until, open_end=False)
    back = tokens.phrase(read.end, own.back_after)
    if back is not None:
        return Read(reader.today, read.last_on - _DAY, back) if read.first_on > reader.today else None
    for start in range(read.end, read.end + _GOING_N) if own.back_after else ():
        last = last_day(reader, start, read.first_on, bare=False)
        back = tokens.phrase(last[1], own.back_after) if last is not None else None
        if last is not None and back is not None and last[0] > read.first_on:
            return replace(read, last_on=last[0] - _DAY, end=back, open_end=False)
    return read


def _is_next(reader: Reader, at: int) -> bool:
    """Whether "next" stands there alone, or "the next one"."""
    end = past_fill(reader, at)
    return end > at and reader.tokens.text(end) in ("", ".", ",", "!", "one")


def _span_here(reader: Reader, at: int, *, bare: bool) -> Read | None:
    tokens, own = reader.tokens, reader.words
    until = tokens.phrase(at, own.until)
    ends_before = tokens.phrase(at, own.until_begins)
    if ends_before is not None and (until_then := _begins(reader, ends_before)) is not None:
        return until_then
    week = stretch(reader, until) if until is not None else None
    if week is not None:  # "until the end of next week"
        return Read(reader.today, week.last_on, week.end)
    unit = tokens.meaning(at_unit(reader, until), own.units) if until is not None else None
    if unit is not None and unit[0] == MONTH_N:  # "until the end of the month"
        return Read(reader.today, month_end(reader.today), unit[1])
    if unit is not None and unit[0] == 7:
        return Read(reader.today, reader.today + (6 - reader.today.weekday()) * _DAY, unit[1])
    beyond = tokens.phrase(until, own.after) if until is not None else None
    if beyond is not None:  # "until after the weekend"
        whole = stretch(reader, beyond)
        over = (whole.last_on, whole.end) if whole is not None else last_day(reader, beyond, reader.today, bare=bare)
        return Read(reader.today, *over) if over is not None else None
    if until is not None:
        until_on = last_day(reader, until, reader.today, bare=bare)
        if until_on is not None:
            return Read(reader.today, *until_on)
    back = _back(reader, at)
    week_back = stretch(reader, back) if back is not None else None
    if week_back is not None and week_back.first_on > reader.today:  # "back next week"
        return Read(reader.today, week_back.first_on - _DAY, week_back.end)
    if back is not None:
        home = day_before_home(reader, back, reader.today, bare=bare)
        if home is not None and home[0] >= reader.today:
            return Read(reader.today, *home)
        ahead = tokens.phrase(back, own.ahead)
        counted = day_count(reader, ahead) if ahead is not None else None
        if counted is not None and counted[0] > 1:  # "back in a week"
            return Read(reader.today, reader.today + (counted[0] - 1) * _DAY, counted[1])
    of_week = tokens.phrase(at, own.week_of)
    week_at = past_fill(reader, of_week) if of_week is not None else at
    begins = bare_day(reader, week_at, reader.today) if of_week is not None and is_ordinal(reader, week_at) else None
    if begins is not None:  # "the week of the 18th"
        return Read(begins[0], begins[0] + 6 * _DAY, begins[1])
    after = tokens.phrase(at, own.after)
    last = last_day(reader, after, reader.today, bare=False) if after is not None else None
    if last is not None and last[0] >= reader.today:  # "after the 20th"
        return Read(last[0] + _DAY, last[0] + _DAY, last[1], open_end=True)
    part = part_of(reader, at)
    if part is not None:
        return part
    since = tokens.phrase(at, own.since)
    start = at if since is None else since
    return (
        _longer(reader, stretch(reader, at))
        or whole_month(reader, at)
        or days_n(reader, at)
        or _from(reader, past_fill(reader, start), told=since is not None, bare=bare)
    )


def _back(reader: Reader, at: int) -> int | None:
    """The place after "back on"; of a plain "home" only after a comma or an "and", "off on Saturday, home Monday"."""
    found = reader.tokens.phrase(at, reader.words.back)
    if found is None and at > 0 and reader.tokens.text(at - 1) in reader.words.beside:
        return reader.tokens.phrase(at, reader.words.home)
    return found


def _longer(reader: Reader, read: Read | None) -> Read | None:
    """ "This weekend through Tuesday"."""
    joint = reader.tokens.phrase(read.end, reader.words.to) if read is not None else None
    if read is None or joint is None:
        return read
    last = last_day(reader, joint, read.last_on, bare=False)
    return replace(read, last_on=last[0], end=last[1]) if last is not None and last[0] > read.last_on else read


def _begins(reader: Reader, at: int) -> Read | None:
    """ "Until June", "until next week": it is over when that begins."""
    start = past_fill(reader, at)
    month = reader.months(start) if reader.point(start) is None else None  # "until June 5"
    found = stretch(reader, at) if month is None else Read(month.first_on, month.last_on, month.end)
    if found is None or found.first_on <= reader.today:
        return None
    return Read(reader.today, found.first_on - _DAY, found.end)


def _beside(reader: Reader, read: Read) -> Read:
    """With the days right after it that are named one by one: "Fri, Sat and Sun"."""
    while True:
        joint = reader.tokens.phrase(read.end, reader.words.beside)
        at = past_fill(reader, read.end if joint is None else joint)
        after = replace(reader, today=read.last_on + _DAY)
        point = after.point(at)
        if point is not None and point.weekday is None and joint is None:
            return read
        told = reader.tokens.meaning(at, reader.words.relative)
        if told is not None:
            on = reader.today + told[0] * _DAY
            found: Span | None = Span(on, on, told[1])
        else:
            found = after.dated(point, point) if point is not None else after.near(at)
        if found is None:
            joined = joint is not None and bool(reader.words.day_before) and after.tokens.number(at) is not None
            number = bare_day(after, at, read.last_on + _DAY) if joined or is_ordinal(after, at) else None
            found = Span(number[0], number[0], number[1]) if number is not None else None
        if found is None or found.first_on != read.last_on + _DAY or found.last_on != found.first_on:
            return read
        read = replace(read, last_on=found.last_on, end=found.end)


def _from(reader: Reader, at: int, *, told: bool, bare: bool) -> Read | None:
    """One day, or several with a month, and how far they go from there. told: after "from"."""
    tokens, own = reader.tokens, reader.words
    first = (
        reader.span(at)
        or weekday_number(reader, at)
        or reader.near(at)
        or (reader.months(at) if told or is_all(reader, at) or after_in(reader, at) else None)
    )
    if first is None:
        if bare and (pair := slashed(reader, at)) is not None:
            return Read(*pair)
        alone = (
            (told and bare) or is_ordinal(reader, at) or (bare and (dashed(reader, at) or leads_ordinal(reader, at)))
        )
        number = bare_day(reader, at, reader.today) if alone else None
        if number is None:
            return None
        begun = under_way(reader, *number)
        first = Span(begun, begun, number[1])
    first_on, last_on, end = first.first_on, first.last_on, first.end
    is_next = at > 0 and tokens.text(at - 1) in own.coming and tokens.meaning(at, own.weekdays) is not None
    in_week = 0 < (first_on - reader.today).days <= 6 - reader.today.weekday()
    if is_next and first_on == last_on and in_week:  # "next Thursday", said on a Tuesday
        first_on = last_on = first_on + 7 * _DAY
    read = Read(first_on, last_on, end, next_year=Note.NEXT_YEAR in first.notes, open_end=told)
    if first_on != last_on:
        both = tokens.phrase(end, own.both)
        second_month = reader.months(both) if both is not None and reader.months(at) is not None else None
        if second_month is not None and second_month.first_on == last_on + _DAY:  # "July and August"
            read = replace(read, last_on=second_month.last_on, end=second_month.end)
        return replace(read, open_end=False)
    part = tokens.meaning(end, own.hours)  # "Friday evening until Monday"
    end = part[1] if part is not None and tokens.phrase(part[1], own.to) is not None else end
    joint = tokens.phrase(end, own.to)
    if told and joint is None and reader.is_among(at):
        joint = tokens.phrase(end, own.both)
    back = _back(reader, end + (tokens.text(end) == ","))
    if joint is None and back is not None:
        home = day_before_home(reader, back, first_on, bare=bare)
        if home is not None and home[0] >= first_on:
            return replace(read, last_on=home[0], end=home[1], open_end=False)
    last = (
        last_day(reader, joint, first_on, bare=bare and (tokens.text(end).isalpha() or dashed(reader, at)))
        if joint is not None
        else None
    ) or to_the_end_of(reader, end, first_on)
    if (
        last is not None
        and last[0] - first_on > _FORTNIGHT
        and reader.near(at) is not None
        and is_bare(reader, last[1] - 1)
    ):
        raise Wrong(Mistaken.NO_DATE)  # "Thursday until 5": an hour
    if last is not None:
        return replace(read, last_on=last[0], end=last[1], open_end=False)
    opening = reader.point(at) if joint is None else None
    second = reader.point(end) if opening is not None and opening.year == first_on.year else None
    if second is not None and second.year is not None:  # "2026-05-08 2026-05-15"
        return replace(read, last_on=reader.dated(second, second).last_on, end=second.end, open_end=False)
    days = lasting(reader, end) or (lasting(reader, joint) if joint is not None else None)
    if days is not None:
        return replace(read, last_on=first_on + (days[0] - 1) * _DAY, end=days[1], open_end=False)
    more = _beside(reader, read) if bare else read
    return replace(more, open_end=False) if more.last_on != read.last_on else read
