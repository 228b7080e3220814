"""Repetition, against the examples of RFC 5545 (Desruisseaux 2009), section 3.8.5.3; date read 2026-11-25."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from bot.core.calendar.entry import Entry, EntryKind, Occurrence, RuleError, checked, first_occurrences, occurrences
from bot.services.calendar.ical_in import read_ical

NEW_YORK = ZoneInfo("America/New_York")


def repeating(rrule: str, first_on: date) -> Entry:
    return Entry("Work day", EntryKind.WORK, first_on, first_on, rrule=rrule, uid="one")


def days(entry: Entry, most: int = 20) -> list[date]:
    return [one.first_on for one in first_occurrences(entry, most)]


def test_daily_for_ten_times() -> None:
    entry = checked(repeating("FREQ=DAILY;COUNT=10", date(1997, 9, 2)))
    assert days(entry) == [date(1997, 9, day) for day in range(2, 12)]


def test_a_count_counts_the_first_time_too() -> None:
    assert len(days(checked(repeating("FREQ=DAILY;COUNT=10", date(1997, 9, 2))))) == 10


@pytest.mark.parametrize(("wkst", "august"), [("MO", [5, 10, 19, 24]), ("SU", [5, 17, 19, 31])])
def test_the_first_day_of_the_week_decides_what_every_other_week_is(wkst: str, august: list[int]) -> None:
    entry = checked(repeating(f"FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST={wkst}", date(1997, 8, 5)))
    assert days(entry) == [date(1997, 8, day) for day in august]


def test_the_first_friday_of_ten_months() -> None:
    entry = checked(repeating("FREQ=MONTHLY;COUNT=10;BYDAY=1FR", date(1997, 9, 5)))
    assert days(entry) == [
        date(1997, 9, 5), date(1997, 10, 3), date(1997, 11, 7), date(1997, 12, 5), date(1998, 1, 2),
        date(1998, 2, 6), date(1998, 3, 6), date(1998, 4, 3), date(1998, 5, 1), date(1998, 6, 5),
    ]  # fmt: skip


def test_daily_until_a_moment_in_utc_ends_by_the_local_clock() -> None:
    file = (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Teasel Lane//EN\r\nBEGIN:VEVENT\r\nUID:daily\r\n"
        "DTSTAMP:19970801T000000Z\r\nSUMMARY:Watering\r\nDTSTART;TZID=America/New_York:19970902T090000\r\n"
        "RRULE:FREQ=DAILY;UNTIL=19971224T000000Z\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    (entry,) = read_ical(file.encode(), NEW_YORK, date(1997, 8, 1)).entries
    found = days(entry, 200)
    assert (found[0], found[-1], len(found)) == (date(1997, 9, 2), date(1997, 12, 23), 113)


def test_a_first_day_out_of_step_moves_to_the_first_that_fits() -> None:
    entry = checked(repeating("FREQ=MONTHLY;BYDAY=1SA", date(2026, 4, 20)))
    assert entry.first_on == date(2026, 5, 2)
    assert days(entry, 1) == [date(2026, 5, 2)]


@pytest.mark.parametrize(
    "rrule",
    [
        "FREQ=HOURLY",
        "FREQ=DAILY;BYHOUR=9",
        "BYDAY=MO",
        "FREQ=WEEKLY;COUNT=3;UNTIL=20260601",
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=MONTHLY;BYDAY=MO;BYSETPOS=9",
        "FREQ=YEARLY;BYMONTH=13",
        "FREQ=DAILY;INTERVAL=7;BYDAY=MO",
        "FREQ=WEEKLY;COUNT=0",
        "FREQ=WEEKLY;INTERVAL=100000000000",
        "FREQ=WEEKLY;BYDAY=XX",
        "FREQ=WEEKLY;UNTIL=20250101",
        "nonsense",
    ],
)
def test_what_falls_on_no_day_or_on_hours_is_refused(rrule: str) -> None:
    with pytest.raises(RuleError):
        checked(repeating(rrule, date(2026, 5, 5)))


def test_an_entry_of_several_days_is_found_by_each_of_them() -> None:
    entry = Entry("Plant out", EntryKind.PLANT_OUT, date(2026, 5, 12), date(2026, 5, 20))
    for day in (11, 12, 16, 20, 21):
        on = date(2026, 5, day)
        assert bool(occurrences([entry], on, on)) is (12 <= day <= 20)


def test_a_skipped_time_falls_out() -> None:
    entry = Entry(
        "Watering", EntryKind.WATER, date(2026, 6, 2), date(2026, 6, 2),
        rrule="FREQ=WEEKLY;BYDAY=TU;UNTIL=20260630", skips=(date(2026, 6, 16),),
    )  # fmt: skip
    assert [day.day for day in days(entry)] == [2, 9, 23, 30]


def test_the_local_clock_stays_when_clocks_change() -> None:
    # Clocks in London went forward on 29 March 2026 (tz database, rule EU: last Sunday of March, 01:00 UTC).
    entry = Entry(
        "Work", EntryKind.WORK, date(2026, 3, 28), date(2026, 3, 28), time(10), time(12), "FREQ=WEEKLY;COUNT=2"
    )
    starts = [one.bounds(ZoneInfo("Europe/London"))[0] for one in first_occurrences(entry, 2)]
    assert starts == [datetime(2026, 3, 28, 10, tzinfo=UTC), datetime(2026, 4, 4, 9, tzinfo=UTC)]


def test_whole_days_are_as_long_as_the_clock_makes_them() -> None:
    entry = Entry("Open day", EntryKind.OTHER, date(2026, 3, 29), date(2026, 3, 29))
    start, end = Occurrence(entry, entry.first_on, entry.last_on).bounds(ZoneInfo("Europe/London"))
    assert (end - start).total_seconds() == 23 * 3600
