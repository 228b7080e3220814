"""Files as calendar programs export them, in the forms of RFC 5545 (Desruisseaux 2009; read 2026-11-25)."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.calendar.entry import Entry, EntryKind, first_occurrences
from bot.services.calendar.ical_in import Incoming, read_ical
from bot.services.calendar.ical_out import Listed, calendar_ics
from bot.services.calendar.remarks import MOST_EVENTS, Remarked

LONDON = ZoneInfo("Europe/London")
TODAY = date(2026, 4, 20)


def read(*events: str, around: str = "") -> Incoming:
    stamped = (f"BEGIN:VEVENT\nDTSTAMP:20260401T000000Z\n{event}\nEND:VEVENT\n" for event in events)
    file = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//Teasel Lane//EN\n{around}{''.join(stamped)}END:VCALENDAR\n"
    return read_ical(file.replace("\n", "\r\n").encode(), LONDON, TODAY)


def only(found: Incoming) -> Entry:
    (entry,) = found.entries
    return entry


def said(found: Incoming) -> list[Remarked]:
    return [remark.code for remark in found.remarks]


def test_whole_days_end_the_day_before_dtend() -> None:
    entry = only(read("UID:a\nSUMMARY:Open garden\nDTSTART;VALUE=DATE:20260628\nDTEND;VALUE=DATE:20260709"))
    assert (entry.first_on, entry.last_on, entry.starts) == (date(2026, 6, 28), date(2026, 7, 8), None)


def test_a_day_without_an_end_is_one_day() -> None:
    entry = only(read("UID:a\nSUMMARY:Sow\nDTSTART;VALUE=DATE:20260503"))
    assert (entry.first_on, entry.last_on) == (date(2026, 5, 3), date(2026, 5, 3))


def test_a_length_stands_for_an_end() -> None:
    assert only(read("UID:a\nSUMMARY:x\nDTSTART;VALUE=DATE:20260503\nDURATION:P3D")).last_on == date(2026, 5, 5)
    assert only(read("UID:a\nSUMMARY:x\nDTSTART:20260503T100000\nDURATION:PT1H30M")).ends == time(11, 30)


def test_folded_lines_and_escaped_signs_are_read_whole() -> None:
    # Section 3.1 folds within words, section 3.3.11 escapes.
    entry = only(
        read("UID:a\nSUMMARY:This is a lo\n ng description\n  that exists\\, here\nDTSTART;VALUE=DATE:20260503")
    )
    assert entry.title == "This is a long description that exists, here"


@pytest.mark.parametrize(
    ("start", "clock"),
    [
        ("DTSTART;TZID=Europe/London:20260503T140000", time(14)),
        ("DTSTART:20260503T130000Z", time(14)),
        ("DTSTART;TZID=Europe/Warsaw:20260503T150000", time(14)),
        ("DTSTART:20260503T140000", time(14)),
    ],
)
def test_hours_become_those_of_the_gardens_clock(start: str, clock: time) -> None:
    entry = only(read(f"UID:a\nSUMMARY:Seed swap\n{start}"))
    assert (entry.first_on, entry.starts, entry.ends) == (date(2026, 5, 3), clock, None)


def test_a_zone_that_nobody_knows_is_said() -> None:
    found = read("UID:a\nSUMMARY:Seed swap\nDTSTART;TZID=Teasel Time:20260503T140000")
    assert only(found).starts == time(14)
    assert [(one.code, one.detail) for one in found.remarks] == [(Remarked.OTHER_ZONE, "Teasel Time")]


def test_what_repeats_by_another_clock_is_said() -> None:
    found = read("UID:a\nSUMMARY:Meeting\nDTSTART:20260504T180000Z\nRRULE:FREQ=WEEKLY")
    assert only(found).starts == time(19)
    assert said(found) == [Remarked.OTHER_ZONE]


def test_simple_repetitions_are_kept_and_exceptions_fall_out() -> None:
    entry = only(
        read(
            "UID:a\nSUMMARY:Watering\nDTSTART;TZID=Europe/London:20260602T190000\n"
            "DTEND;TZID=Europe/London:20260602T200000\nRRULE:FREQ=WEEKLY;BYDAY=TU;UNTIL=20260630T180000Z\n"
            "EXDATE;TZID=Europe/London:20260616T190000"
        )
    )
    assert [one.first_on.day for one in first_occurrences(entry, 9)] == [2, 9, 23, 30]


@pytest.mark.parametrize(
    ("event", "code"),
    [
        ("UID:a\nSUMMARY:Hourly\nDTSTART:20260503T100000\nRRULE:FREQ=HOURLY", Remarked.RULE),
        ("UID:a\nSUMMARY:Odd\nDTSTART:20260503T100000\nRRULE:FREQ=WEEKLY;BYHOUR=9", Remarked.RULE),
        ("UID:a\nSUMMARY:Two\nDTSTART:20260503T100000\nRRULE:FREQ=WEEKLY\nRRULE:FREQ=DAILY", Remarked.RULE),
        ("UID:a\nSUMMARY:No day", Remarked.NO_START),
        ("UID:a\nSUMMARY:Broken\nDTSTART:tomorrow", Remarked.NO_START),
        ("UID:a\nDTSTART;VALUE=DATE:20260503", Remarked.NO_TITLE),
        ("UID:a\nSUMMARY:Back\nDTSTART:20260503T100000\nDTEND:20260503T090000", Remarked.BACKWARDS),
        ("UID:a\nSUMMARY:One\nDTSTART;VALUE=DATE:20260503\nRECURRENCE-ID;VALUE=DATE:20260502", Remarked.CHANGED_TIME),
    ],
)
def test_what_cannot_be_kept_is_left_out_and_said(event: str, code: Remarked) -> None:
    found = read(event)
    assert (found.entries, said(found)) == ((), [code])


def test_fields_and_parts_without_a_place_are_said_once() -> None:
    event = (
        "SUMMARY:Work\nDTSTART;VALUE=DATE:20260503\nLOCATION:Gate\nRDATE;VALUE=DATE:20260510\n"
        "BEGIN:VALARM\nACTION:DISPLAY\nDESCRIPTION:x\nTRIGGER:-PT1H\nEND:VALARM"
    )
    todo = "BEGIN:VTODO\nUID:t\nDTSTAMP:20260401T000000Z\nSUMMARY:x\nEND:VTODO\n"
    found = read(f"UID:a\n{event}", f"UID:b\n{event}", around=todo)
    assert len(found.entries) == 2
    assert [(one.code, one.detail) for one in found.remarks] == [
        (Remarked.COMPONENT, "VTODO"),
        (Remarked.UNKEPT, "LOCATION"),
        (Remarked.UNKEPT, "RDATE"),
        (Remarked.UNKEPT, "VALARM"),
    ]


def test_events_that_are_over_are_counted_and_what_goes_on_is_kept() -> None:
    old = "SUMMARY:Old\nDTSTART;VALUE=DATE:20250503"
    found = read(f"UID:a\n{old}", f"UID:b\n{old}", f"UID:c\n{old}\nRRULE:FREQ=YEARLY")
    assert only(found).uid == "c"
    assert [(one.code, one.detail) for one in found.remarks] == [(Remarked.PAST, "2")]


def test_cancelled_events_withdraw_what_is_there() -> None:
    found = read("UID:a\nSUMMARY:Off\nSTATUS:CANCELLED\nSEQUENCE:4\nDTSTART;VALUE=DATE:20260503")
    assert (found.entries, found.cancelled) == ((), ("a",))


def test_the_files_own_uid_and_sequence_are_kept() -> None:
    found = read("UID:Ab-1@example.org\nSEQUENCE:7\nSUMMARY:x\nDTSTART;VALUE=DATE:20260503")
    assert (only(found).uid, found.sequences) == ("Ab-1@example.org", {"Ab-1@example.org": 7})


@pytest.mark.parametrize("data", [b"", b"date;title\n", b"BEGIN:VCALENDAR\r\n", b"\xff\xfe\x00", b"x" * 2_000_000])
def test_anything_else_is_no_calendar(data: bytes) -> None:
    assert said(read_ical(data, LONDON, TODAY)) == [Remarked.NO_CALENDAR]


def test_a_huge_file_is_read_to_a_bound_that_is_said() -> None:
    found = read(*(f"UID:{n}\nSUMMARY:x\nDTSTART;VALUE=DATE:20260503" for n in range(MOST_EVENTS + 1)))
    assert len(found.entries) == MOST_EVENTS
    assert said(found) == [Remarked.TOO_MANY]


def test_a_file_that_another_library_writes_is_read() -> None:
    calendar = vobject.iCalendar()
    event = calendar.add("vevent")
    event.add("uid").value = "other"
    event.add("summary").value = "Seed swap, inside"
    event.add("dtstart").value = datetime(2026, 5, 3, 14, tzinfo=vobject.icalendar.utc)
    event.add("dtend").value = datetime(2026, 5, 3, 16, tzinfo=vobject.icalendar.utc)
    entry = only(read_ical(calendar.serialize().encode(), LONDON, TODAY))
    assert (entry.title, entry.starts, entry.ends) == ("Seed swap, inside", time(15), time(17))


RULES = st.sampled_from(
    ["", "FREQ=WEEKLY;BYDAY=SA", "FREQ=MONTHLY;BYDAY=1SA", "FREQ=DAILY;COUNT=4", "FREQ=WEEKLY;UNTIL=20260831"]
)


@settings(max_examples=60, deadline=None)
@given(st.dates(date(2026, 5, 1), date(2026, 7, 31)), st.integers(0, 20), st.none() | st.integers(0, 22), RULES)
def test_what_is_written_is_read_again(first_on: date, longer: int, hour: int | None, rrule: str) -> None:
    starts, ends = (None, None) if hour is None else (time(hour), time(hour + 1))
    last_on = date.fromordinal(first_on.toordinal() + longer)
    entry = Entry("Work day", EntryKind.OTHER, first_on, last_on, starts, ends, rrule, uid="u")
    data = calendar_ics("Teasel Lane", [Listed(entry, 1, datetime(2026, 4, 1, tzinfo=UTC))], LONDON)
    assert data is not None
    back = only(read_ical(data, LONDON, TODAY))
    assert [one.bounds(LONDON) for one in first_occurrences(back, 30)] == [
        one.bounds(LONDON) for one in first_occurrences(entry, 30)
    ]


def test_days_left_out_that_cannot_be_read_leave_the_event_out_and_are_said() -> None:
    """Without them people would come on a day on which nothing is; section 3.8.5.1."""
    found = read("UID:a\nSUMMARY:x\nDTSTART:20260628T100000Z\nRRULE:FREQ=WEEKLY;COUNT=5\nEXDATE:2026x705T100000Z")
    assert found.entries == () and said(found) == [Remarked.RULE]
    assert found.remarks[0].detail == "EXDATE"
