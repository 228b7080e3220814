"""Small files that are made to cost much, and calendars at the ends of time: answered quickly, with what is wrong."""

from __future__ import annotations

import io
import time
import zipfile
from datetime import date
from zoneinfo import ZoneInfo

import openpyxl
import pytest

from bot.i18n import say
from bot.services.calendar.ical_in import read_ical
from bot.services.calendar.remarks import Remarked
from bot.services.garden.records.from_xlsx import read_xlsx
from bot.services.garden.records.problems import Problems

#: Minutes were spent before; a few seconds leave room for a busy machine.
SOON_S = 12.0
LONDON = ZoneInfo("Europe/London")


def workbook(rows: str) -> bytes:
    """A true workbook whose one sheet has these rows instead (ECMA-376, 18.3.1.73: a row with its cells)."""
    made = openpyxl.Workbook()
    made.worksheets[0].title = "plots"
    stream, out = io.BytesIO(), io.BytesIO()
    made.save(stream)
    with zipfile.ZipFile(stream) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
        for name in source.namelist():
            text = source.read(name)
            if name == "xl/worksheets/sheet1.xml":
                before, _, after = text.partition(b"</sheetData>")
                assert after, "openpyxl writes an empty sheet with both tags"
                text = before + rows.encode() + b"</sheetData>" + after
            packed.writestr(name, text)
    return out.getvalue()


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("<row><c><v>1</v></c></row>" * 600_000, "more cells than"),
        ("<row/>" * 1_000_000, "more than 20000 lines"),
        ("<row>" + "<c/>" * 2_000_000 + "</row>", "more cells than"),
    ],
    ids=["full rows", "empty rows", "one wide row"],
)
def test_a_small_workbook_that_unfolds_into_rows_without_end_is_refused_soon(rows: str, said: str) -> None:
    data, problems = workbook(rows), Problems(say("en", "UTC"))
    assert len(data) < 100_000
    began_s = time.process_time()
    assert read_xlsx("all.xlsx", data, problems) == {}
    assert time.process_time() - began_s < SOON_S
    assert said in " ".join(problem.text for problem in problems.found)


def event(*lines: str) -> bytes:
    body = "\r\n".join(("UID:a", "SUMMARY:Open day", *lines))
    head = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//EN\r\nBEGIN:VEVENT\r\nDTSTAMP:20260401T000000Z\r\n"
    return f"{head}{body}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n".encode()


#: RFC 5545: 3.3.4 (a date has four digits of year), 3.3.6 (a duration any number of them), 3.3.10.
@pytest.mark.parametrize("zone", [ZoneInfo("Europe/London"), ZoneInfo("Pacific/Auckland"), ZoneInfo("America/Adak")])
@pytest.mark.parametrize(
    "lines",
    [
        ("DTSTART:00010101T000000Z", "RRULE:FREQ=DAILY"),
        ("DTSTART:00010101T000000", "RRULE:FREQ=YEARLY"),
        ("DTSTART;VALUE=DATE:00010101", "RRULE:FREQ=WEEKLY;BYDAY=MO"),
        ("DTSTART:99991231T235959Z", "RRULE:FREQ=DAILY"),
        ("DTSTART:99991231T235959", "RRULE:FREQ=WEEKLY;COUNT=500"),
        ("DTSTART;VALUE=DATE:99991231", "RRULE:FREQ=YEARLY;INTERVAL=500"),
        ("DTSTART;VALUE=DATE:99991231", "DTEND;VALUE=DATE:00010101"),
        ("DTSTART:20260503T100000Z", "DURATION:P999999999D"),
        ("DTSTART;VALUE=DATE:20260503", "DURATION:P999999999D"),
        ("DTSTART;VALUE=DATE:20260503", "DURATION:-P999999999D"),
        ("DTSTART:20260503T100000", "DURATION:P99999999999999999999W"),
        ("DTSTART:20260503T100000", "DTEND:99991231T235959Z"),
        ("DTSTART:20260503T100000", "DTEND:00010101T000000Z"),
        ("DTSTART:20260503T100000Z", "RRULE:FREQ=DAILY;UNTIL=99991231T235959Z"),
        ("DTSTART:20260503T100000Z", "RRULE:FREQ=DAILY;UNTIL=00010101T000000Z"),
        ("DTSTART:20260503T100000", "RRULE:FREQ=DAILY", "EXDATE:00010101T000000Z,99991231T235959Z"),
        ("DTSTART:20260503T100000", "RRULE:FREQ=DAILY;INTERVAL=99999999999"),
    ],
)
def test_an_event_at_the_ends_of_time_is_left_out_or_taken_and_never_a_fault(
    lines: tuple[str, ...], zone: ZoneInfo
) -> None:
    began_s = time.process_time()
    found = read_ical(event(*lines), zone, date(2026, 4, 20))
    assert time.process_time() - began_s < 0.5
    assert len(found.entries) + sum(one.code is not Remarked.UNKEPT for one in found.remarks) >= 1
    for entry in found.entries:
        assert entry.last_on.year < 9999 or entry.first_on.year == 9999


def test_a_good_event_beside_a_bad_one_is_taken() -> None:
    good = "SUMMARY:Open day\r\nUID:b\r\nDTSTART;VALUE=DATE:20260628"
    data = event("DTSTART:20260503T100000Z", "DURATION:P999999999D").replace(
        b"END:VCALENDAR", f"BEGIN:VEVENT\r\nDTSTAMP:20260401T000000Z\r\n{good}\r\nEND:VEVENT\r\nEND:VCALENDAR".encode()
    )
    found = read_ical(data, LONDON, date(2026, 4, 20))
    assert [entry.first_on for entry in found.entries] == [date(2026, 6, 28)]
