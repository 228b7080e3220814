"""The iCalendar file by the rules of RFC 5545 (Desruisseaux 2009; read 2026-11-25), read back by another library."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta
from io import StringIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import vobject
from dateutil.tz import tzical
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.calendar.entry import Entry, EntryKind, first_occurrences
from bot.core.tasks.on_call import Week
from bot.services.calendar.ical_out import Listed, calendar_ics, rota_ics, timezone

LONDON = ZoneInfo("Europe/London")
CHANGED_AT = datetime(2026, 4, 20, 18, 30, tzinfo=UTC)
WORK = Entry(
    "Work day", EntryKind.WORK, date(2026, 5, 2), date(2026, 5, 2), time(10), time(12), "FREQ=MONTHLY;BYDAY=1SA",
    uid="1f0e2a5c-work",
)  # fmt: skip
SUMMER = Entry("Open garden", EntryKind.OTHER, date(2007, 6, 28), date(2007, 7, 8), uid="1f0e2a5c-open")


def written(*entries: Entry, sequence: int = 1, withdrawn: bool = False) -> bytes:
    data = calendar_ics("Teasel Lane", [Listed(each, sequence, CHANGED_AT, withdrawn) for each in entries], LONDON)
    assert data is not None
    return data


def unfolded(data: bytes) -> list[str]:
    """Section 3.1: CRLF and one space are a fold."""
    return data.replace(b"\r\n ", b"").decode().split("\r\n")


def events(data: bytes) -> list[Any]:
    return list(vobject.readOne(data.decode()).vevent_list)


def test_lines_end_with_crlf_and_hold_at_most_75_octets() -> None:
    data = written(Entry("Zażółć gęślą jaźń, " * 6, EntryKind.OTHER, date(2026, 5, 3), date(2026, 5, 3), uid="u"))
    assert data.endswith(b"\r\n")
    lines = data.removesuffix(b"\r\n").split(b"\r\n")
    assert all(len(line) <= 75 and b"\n" not in line and b"\r" not in line for line in lines)
    for line in lines:
        line.decode()  # a fold inside a letter's octets would fail here


def test_text_is_escaped_and_colons_are_not() -> None:
    entry = Entry("Beans; peas, kale: a\\b", EntryKind.OTHER, date(2026, 5, 3), date(2026, 5, 3), uid="u")
    assert "SUMMARY:Beans\\; peas\\, kale: a\\\\b" in unfolded(written(entry))  # section 3.3.11


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=120))
def test_another_library_reads_the_title_that_was_written(title: str) -> None:
    (event,) = events(written(Entry(title, EntryKind.OTHER, date(2026, 5, 3), date(2026, 5, 3), uid="u")))
    assert event.summary.value == title


def test_the_end_of_whole_days_is_exclusive() -> None:
    # Section 3.6.1: 28 June to 8 July 2007 inclusive has DTEND 20070709.
    lines = unfolded(written(SUMMER))
    assert "DTSTART;VALUE=DATE:20070628" in lines
    assert "DTEND;VALUE=DATE:20070709" in lines
    (event,) = events(written(SUMMER))
    assert (event.dtstart.value, event.dtend.value) == (date(2007, 6, 28), date(2007, 7, 9))


def test_what_a_calendar_and_an_event_must_have_is_there() -> None:
    lines = unfolded(written(WORK, SUMMER))
    assert sum(line.startswith("PRODID:") for line in lines) == 1  # section 3.6
    assert lines.count("VERSION:2.0") == 1
    for event in events(written(WORK, SUMMER)):
        assert all(len(event.contents[name]) == 1 for name in ("uid", "dtstamp", "dtstart"))  # section 3.6.1
        assert "duration" not in event.contents
    assert all(line.endswith("Z") for line in lines if line.startswith("DTSTAMP"))  # section 3.8.7.2
    assert "DTSTAMP:20260420T183000Z" in lines


def test_hours_are_those_of_the_garden_in_summer_and_winter() -> None:
    calendar = vobject.readOne(written(WORK).decode())
    zone = calendar.vtimezone.tzinfo  # as the file itself describes it
    every = [at.replace(tzinfo=zone) for at in calendar.vevent.getrruleset(addRDate=True)[:8]]
    assert [at.astimezone(UTC).hour for at in every] == [9, 9, 9, 9, 9, 9, 10, 10]  # British Summer Time to October
    assert [at.date() for at in every] == [one.first_on for one in first_occurrences(WORK, 8)]


@pytest.mark.parametrize(
    "name",
    [
        "Europe/London",
        "America/New_York",
        "Pacific/Auckland",
        "Africa/Casablanca",
        "Asia/Kolkata",
        "Australia/Lord_Howe",
    ],
)
def test_the_file_describes_the_zone_as_the_tz_database_does(name: str) -> None:
    zone = ZoneInfo(name)
    told = tzical(StringIO(timezone(zone, 2026, 2028).to_ical().decode())).get()
    hours = (datetime(2026, 1, 1, 0, 30, tzinfo=zone) + timedelta(hours=n * 5) for n in range(5 * 365 * 24 // 5))
    # Within an hour that the clock shows twice the two readers may choose differently.
    sure = (at for at in hours if at.replace(tzinfo=zone).utcoffset() == at.replace(tzinfo=zone, fold=1).utcoffset())
    assert all(at.replace(tzinfo=told).utcoffset() == at.replace(tzinfo=zone).utcoffset() for at in sure)


def test_the_rule_begins_with_how_often_and_ends_in_the_type_of_its_start() -> None:
    # Section 3.3.10: FREQ first; UNTIL in UTC where DTSTART is a time with a zone, a day where it is a day.
    until = "FREQ=WEEKLY;BYDAY=TU;UNTIL=20260630"
    timed = Entry("W", EntryKind.WATER, date(2026, 6, 2), date(2026, 6, 2), time(19), time(20), until, uid="t")
    whole = Entry("W", EntryKind.WATER, date(2026, 6, 2), date(2026, 6, 2), rrule=until, uid="w")
    rules = [line for line in unfolded(written(timed, whole)) if line.startswith("RRULE") and "YEARLY" not in line]
    assert all(rule.startswith("RRULE:FREQ=WEEKLY;") for rule in rules)
    assert "UNTIL=20260630T180000Z" in rules[0]
    assert "UNTIL=20260630;" in rules[1] + ";"
    for event in events(written(timed, whole)):
        assert [at.day for at in event.getrruleset(addRDate=True)] == [2, 9, 16, 23, 30]


def test_skipped_times_fall_out_in_other_calendars_too() -> None:
    for clock in (time(19), None):
        entry = Entry("W", EntryKind.WATER, date(2026, 6, 2), date(2026, 6, 2), clock, None,
                      "FREQ=WEEKLY;BYDAY=TU;UNTIL=20260630", (date(2026, 6, 16),), uid="t")  # fmt: skip
        (event,) = events(written(entry))
        assert [at.day for at in event.getrruleset(addRDate=True)] == [2, 9, 23, 30]


def test_a_withdrawn_entry_is_cancelled_under_the_same_uid_with_a_higher_sequence() -> None:
    (before,), (after,) = events(written(WORK, sequence=1)), events(written(WORK, sequence=2, withdrawn=True))
    assert before.uid.value == after.uid.value
    assert int(after.sequence.value) > int(before.sequence.value)
    assert (before.status.value, after.status.value) == ("CONFIRMED", "CANCELLED")


def test_a_calendar_without_entries_is_no_file() -> None:
    assert calendar_ics("Teasel Lane", [], LONDON) is None  # section 3.6: at least one component
    assert rota_ics("Teasel Lane", "lane", [], CHANGED_AT) is None


def rota(weeks: Iterable[tuple[date, str]], at: datetime, uid: str = "lane") -> list[Any]:
    data = rota_ics("Teasel Lane", uid, [(Week(monday, (1,)), words) for monday, words in weeks], at)
    assert data is not None
    return events(data)


def test_the_rota_gives_a_week_to_each_event_and_later_files_replace_it() -> None:
    mondays = [date(2026, 5, 4), date(2026, 5, 11)]
    first = rota([(mondays[0], "On call: Farah"), (mondays[1], "On call: Callum")], CHANGED_AT)
    assert [(one.dtstart.value, one.dtend.value) for one in first] == [
        (monday, monday + timedelta(days=7)) for monday in mondays
    ]
    later = rota([(mondays[0], "On call: Ines")], CHANGED_AT + timedelta(days=1))
    assert later[0].uid.value == first[0].uid.value != first[1].uid.value
    assert int(later[0].sequence.value) > int(first[0].sequence.value)


def test_the_rotas_of_two_gardens_never_share_a_uid() -> None:
    week = [(date(2026, 5, 4), "On call")]
    assert rota(week, CHANGED_AT)[0].uid.value != rota(week, CHANGED_AT, "other")[0].uid.value
