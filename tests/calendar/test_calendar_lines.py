"""Entries as people write them. The days are those of the calendar for 2026; weekdays checked with Python's calendar."""

from __future__ import annotations

import calendar
from datetime import date, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.chat.calendar.entry_lines import MOST_LINES, Mistake, Written, read_lines
from bot.chat.language.line_tokens import Mistaken, Note
from bot.core.calendar.entry import EntryKind, first_occurrences
from bot.crops.loader import load
from bot.i18n import say

ENGLISH, POLISH = say("en", "Europe/London"), say("pl", "Europe/Warsaw")
CROPS = load()
MONDAY = date(2026, 4, 20)


def good(text: str, today: date = MONDAY, voice: object = ENGLISH) -> Written:
    (read,) = read_lines(text, voice, CROPS, today)  # type: ignore[arg-type]
    assert isinstance(read, Written), read
    return read


def wrong(text: str, today: date = MONDAY) -> Mistake:
    (read,) = read_lines(text, ENGLISH, CROPS, today)
    assert isinstance(read, Mistake), read
    return read


@pytest.mark.parametrize(
    ("text", "first_on", "last_on", "title"),
    [
        ("12-20 May plant out runner beans", (5, 12), (5, 20), "plant out runner beans"),
        ("12th to 20th of May: plant out runner beans", (5, 12), (5, 20), "plant out runner beans"),
        ("May 12-20 plant out runner beans", (5, 12), (5, 20), "plant out runner beans"),
        ("plant out runner beans 12–20 May", (5, 12), (5, 20), "plant out runner beans"),
        ("1/5-14/5 harden off", (5, 1), (5, 14), "harden off"),
        ("28 April - 3 May chit", (4, 28), (5, 3), "chit"),
        ("3 May seed swap", (5, 3), (5, 3), "seed swap"),
        ("Sun 3 May seed swap", (5, 3), (5, 3), "seed swap"),
        ("Seed swap on the 3rd of May", (5, 3), (5, 3), "Seed swap"),
        ("2026-05-09 work day", (5, 9), (5, 9), "work day"),
        ("9.5.2026 work day", (5, 9), (5, 9), "work day"),
        ("9/5/26 work day", (5, 9), (5, 9), "work day"),
        ("mid May harden off tomatoes", (5, 11), (5, 20), "harden off tomatoes"),
        ("late May to early June: plant out squash", (5, 21), (6, 10), "plant out squash"),
        ("week of 4 May earth up potatoes", (5, 4), (5, 10), "earth up potatoes"),
        ("June to August: water the pots", (6, 1), (8, 31), "water the pots"),
        ("Saturday work day", (4, 25), (4, 25), "work day"),
        ("tomorrow mend the gate", (4, 21), (4, 21), "mend the gate"),
        ("first Saturday of May work day", (5, 2), (5, 2), "work day"),
        ("last Sunday of September supper", (9, 27), (9, 27), "supper"),
        ("12 and 13 May open garden", (5, 12), (5, 13), "open garden"),
        ("9/10 May open garden", (5, 9), (5, 10), "open garden"),
        ("- 3 May: seed swap", (5, 3), (5, 3), "seed swap"),
    ],
)
def test_days(text: str, first_on: tuple[int, int], last_on: tuple[int, int], title: str) -> None:
    entry = good(text).entry
    assert (entry.first_on, entry.last_on) == (date(2026, *first_on), date(2026, *last_on))
    assert (entry.title, entry.rrule) == (title, "")


@pytest.mark.parametrize(
    ("text", "starts", "ends"),
    [
        ("3 May seed swap 2pm-4pm", time(14), time(16)),
        ("3 May seed swap 2-4pm", time(14), time(16)),
        ("3 May seed swap 2-4", time(14), time(16)),
        ("3 May seed swap, 14:00 to 16:30", time(14), time(16, 30)),
        ("3 May work day 10-12", time(10), time(12)),
        ("3 May work day 10-2", time(10), time(14)),
        ("3 May 11-1pm work day", time(11), time(13)),
        ("3 May work day from 10 to noon", time(10), time(12)),
        ("3 May work day at 10", time(10), None),
        ("3 May moth night 20:00-02:00", time(20), time(2)),
        ("3 May plant 10-12 beans in pots", None, None),
    ],
)
def test_hours(text: str, starts: time | None, ends: time | None) -> None:
    entry = good(text).entry
    assert (entry.starts, entry.ends) == (starts, ends)
    assert entry.first_on == date(2026, 5, 3)


def test_hours_over_midnight_end_on_the_next_day() -> None:
    assert good("3 May moth night 20:00-02:00").entry.last_on == date(2026, 5, 4)


def test_hours_on_several_days_are_hours_of_each_day() -> None:
    read = good("12-14 May watering 18-19")
    assert [(one.first_on.day, one.last_on.day) for one in first_occurrences(read.entry, 9)] == [
        (12, 12), (13, 13), (14, 14),
    ]  # fmt: skip
    assert Note.EACH_DAY in read.notes


def test_the_first_saturday_of_the_month_is_that_of_the_calendar() -> None:
    entry = good("first Saturday of the month work day 10-12").entry
    expected = [
        date(2026, month, next(week[calendar.SATURDAY] for week in calendar.monthcalendar(2026, month) if week[5]))
        for month in range(5, 13)
    ]
    assert [one.first_on for one in first_occurrences(entry, 8)] == expected
    assert (entry.title, entry.kind) == ("work day", EntryKind.WORK)


def test_every_tuesday_in_june_is_those_of_the_calendar() -> None:
    entry = good("every Tuesday in June watering evening").entry
    expected = [week[calendar.TUESDAY] for week in calendar.monthcalendar(2026, 6) if week[calendar.TUESDAY]]
    assert [one.first_on for one in first_occurrences(entry, 9)] == [date(2026, 6, day) for day in expected]
    assert entry.title == "watering evening"


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("Tuesdays and Thursdays in July watering 7pm-8pm", ["07-02", "07-07", "07-09", "07-14"]),
        ("every other Friday from 8 May until end of July: turn compost", ["05-08", "05-22", "06-05", "06-19"]),
        ("15th of every month committee 19:30", ["05-15", "06-15", "07-15", "08-15"]),
        ("every Tuesday 2 June - 16 June stretching", ["06-02", "06-09", "06-16"]),
        ("every day in July water", ["07-01", "07-02", "07-03", "07-04"]),
        ("every first Saturday work party", ["05-02", "06-06", "07-04", "08-01"]),
    ],
)
def test_what_repeats(text: str, days: list[str]) -> None:
    found = first_occurrences(good(text).entry, 4)
    assert [f"{one.first_on:%m-%d}" for one in found] == days


@pytest.mark.parametrize(
    ("text", "today", "first_on"),
    [
        ("12-20 May plant", date(2026, 5, 20), date(2026, 5, 12)),  # goes on
        ("12-20 May plant", date(2026, 5, 21), date(2027, 5, 12)),  # over: the coming one
        ("28 December - 3 January rest", date(2026, 11, 26), date(2026, 12, 28)),
        ("28 December - 3 January rest", date(2027, 1, 2), date(2026, 12, 28)),
        ("3 May 2028 jubilee", date(2026, 5, 4), date(2028, 5, 3)),
        ("late February sow", date(2027, 11, 1), date(2028, 2, 21)),
    ],
)
def test_without_a_year_the_coming_one_is_meant(text: str, today: date, first_on: date) -> None:
    assert good(text, today).entry.first_on == first_on


def test_late_february_ends_on_the_29th_in_a_leap_year() -> None:
    assert good("late February sow", date(2027, 11, 1)).entry.last_on == date(2028, 2, 29)


def test_a_reading_that_could_be_another_is_said() -> None:
    assert good("mid May harden off tomatoes").notes == (Note.PART,)
    assert good("Sow peas in March").notes == (Note.NEXT_YEAR,)
    assert good("3 May seed swap 2-4").notes == (Note.AFTERNOON,)
    assert good("every Friday tea").notes == (Note.NO_END,)


@pytest.mark.parametrize(
    ("text", "code", "value"),
    [
        ("work day", Mistaken.NO_DATE, ""),
        ("move pots into the sun", Mistaken.NO_DATE, ""),
        ("3 May", Mistaken.NO_TITLE, ""),
        ("31 June lift garlic", Mistaken.NO_SUCH_DAY, "31/6"),
        ("5/13 sow peas", Mistaken.MONTH_FIRST, "5/13"),
        ("20-12 May weed", Mistaken.BACKWARDS, "20/5"),
        ("20 May - 3 April weed", Mistaken.BACKWARDS, "20/5"),
        ("Sunday 9 May market", Mistaken.WRONG_WEEKDAY, "2026-05-09"),
        ("3 May swap 25:00", Mistaken.NO_SUCH_TIME, "25:00"),
        ("12 and 19 May work day", Mistaken.TWO_DATES, "19/5"),
        ("3 May and 10 May seed swap", Mistaken.TWO_DATES, "10/5"),
        ("Saturday and Sunday watering", Mistaken.TWO_DATES, "sunday"),
        ("3 May 2025 old", Mistaken.PAST, "2025-05-03"),
        ("every Tuesday from 3 June until 5 June x", Mistaken.NEVER, ""),
        ("3 May " + "x" * 121, Mistaken.LONG_TITLE, "121"),
    ],
)
def test_mistakes_are_told_apart(text: str, code: Mistaken, value: str) -> None:
    found = wrong(text)
    assert (found.code, found.value) == (code, value)


def test_the_9th_of_may_2026_is_a_saturday() -> None:
    assert calendar.weekday(2026, 5, 9) == calendar.SATURDAY
    assert good("Saturday 9 May market").entry.first_on == date(2026, 5, 9)


def test_each_line_is_read_by_itself_and_keeps_its_number() -> None:
    read = read_lines("3 May seed swap\n\nnonsense\n10 May supper", ENGLISH, CROPS, MONDAY)
    assert [(one.line, isinstance(one, Written)) for one in read] == [(1, True), (3, False), (4, True)]


def test_too_many_lines_are_not_dropped_unsaid() -> None:
    read = read_lines("3 May seed swap\n" * (MOST_LINES + 5), ENGLISH, CROPS, MONDAY)
    assert len(read) == MOST_LINES + 1
    last = read[-1]
    assert isinstance(last, Mistake)
    assert (last.code, last.line) == (Mistaken.TOO_MANY, MOST_LINES + 1)


@pytest.mark.parametrize(
    ("text", "kind", "crop"),
    [
        ("12-20 May plant out runner beans", EntryKind.PLANT_OUT, "runner-bean"),
        ("1 April sow parsnips", EntryKind.SOW, "parsnip"),
        ("1 May harden off tomatoes", EntryKind.HARDEN_OFF, "tomato"),
        ("1 July lift garlic", EntryKind.HARVEST, "garlic"),
        ("1 July plant beans", EntryKind.PLANT, None),  # several kinds of beans
        ("1 July committee", EntryKind.OTHER, None),
    ],
)
def test_the_title_tells_the_work_and_the_crop(text: str, kind: EntryKind, crop: str | None) -> None:
    entry = good(text).entry
    assert (entry.kind, entry.crop) == (kind, crop)


@pytest.mark.parametrize(
    ("text", "first_on", "last_on"),
    [
        ("12-20 maja wysadzanie fasoli", date(2026, 5, 12), date(2026, 5, 20)),  # CLDR 48, pl: maja, genitive
        ("niedziela, 3 maja wymiana nasion", date(2026, 5, 3), date(2026, 5, 3)),
        ("3 May seed swap", date(2026, 5, 3), date(2026, 5, 3)),
    ],
)
def test_months_and_weekdays_are_read_in_the_members_language_and_in_english(
    text: str, first_on: date, last_on: date
) -> None:
    entry = good(text, voice=POLISH).entry
    assert (entry.first_on, entry.last_on) == (first_on, last_on)


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200) | st.from_regex(r"[0-9/ .:\-a-y]{0,40} (May|June|every|Sat|first|mid) ?[0-9a-z \-]{0,20}"))
def test_nothing_that_is_written_breaks_it(text: str) -> None:
    for read in read_lines(text, ENGLISH, CROPS, MONDAY):
        if isinstance(read, Written):
            assert read.entry.first_on <= read.entry.last_on
            assert 0 < len(read.entry.title) <= 120


@settings(max_examples=80, deadline=None)
@given(
    st.dates(MONDAY, date(2027, 4, 19)),
    st.sampled_from(["%-d %B", "%-d %b", "%-d/%-m", "%B %-d", "%Y-%m-%d", "%a %-d %B"]),
)
def test_every_day_of_the_coming_year_is_read_as_it_is_written(on: date, form: str) -> None:
    entry = good(f"{on.strftime(form)} work day").entry
    assert (entry.first_on, entry.last_on, entry.title) == (on, on, "work day")
