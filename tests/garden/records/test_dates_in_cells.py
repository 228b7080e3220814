"""Dates, weekdays and hours, against the C library's rules for reading them and the published serial numbers."""

from __future__ import annotations

from datetime import date, datetime, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from bot.services.garden.records.problems import CellError
from bot.services.garden.records.sheet import Reading
from bot.services.garden.records.written_days import day, hour, month_comes_first, past_day, weekday
from bot.storage.models import Planting
from bot.storage.session import Database
from tests.garden.records.record_files import GARDEN, SAY, bring, said

READING = Reading(SAY, date(2026, 5, 4))
days = st.dates(date(1969, 1, 1), date(2068, 12, 31))


@settings(max_examples=60)
@given(
    days,
    st.sampled_from(
        ["%Y-%m-%d", "%d/%m/%Y", "%d.%m.%y", "%d-%m-%Y", "%d %B %Y", "%d-%b-%y", "%B %d, %Y", "%A %d %B %Y"]
    ),
)
def test_a_date_is_read_as_the_standard_library_reads_it(on: date, form: str) -> None:
    # POSIX strptime, by way of Python: %y from 69 on is of the last century, and days come first where we say so.
    written = on.strftime(form)
    assert day(written, READING) == datetime.strptime(written, form).date()  # noqa: DTZ007


@pytest.mark.parametrize(
    "written",
    [
        "2026-05-03",
        "3/5/2026",
        "3 May 2026",
        "3.5.26",
        "3rd May 2026",
        "3. 5. 2026",
        "3 maja 2026",
        "2026-05-03 00:00:00",
    ],
)
def test_the_third_of_may_is_known_however_it_is_written(written: str) -> None:
    assert day(written, READING) == date(2026, 5, 3)


def test_serial_numbers_are_the_published_ones() -> None:
    # Microsoft, "MONTH function", support.microsoft.com: 1 January 2008 is 39448; "Date systems in Excel", read via a
    # copy: 5 July 2011 is 40729 from 1900 and 39267 from 1904. ECMA-376 part 4, DATEVALUE, read via a copy: 1 February
    # 2006 is 38749, from 1904 37287. All read 2026-11-25.
    from_1904 = Reading(SAY, date(2026, 5, 4), date(1904, 1, 1))
    assert day("39448", READING) == date(2008, 1, 1)
    assert day(40729, READING) == day(39267.0, from_1904) == date(2011, 7, 5)
    assert day(38749.42, READING) == day("37287", from_1904) == date(2006, 2, 1)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("3 May", "'3 May' is not a whole date; write year, month and day: 2026-05-03"),
        ("5/13/2026", "'5/13/2026': there is no such month; the day comes first; write 2026-05-13"),
        ("31/4/2026", "'31/4/2026' is a day that does not exist"),
        ("next week", "'next week' is not a whole date; write year, month and day: 2026-05-03"),
        ("3 Toukokuu 2026", "'3 Toukokuu 2026' is not a whole date; write year, month and day: 2026-05-03"),
        ("2206-05-03", "2206-05-03 is not a likely day; the year must be from 1950 to 2100"),
        ("26", "'26' is not a whole date; write year, month and day: 2026-05-03"),
    ],
)
def test_a_date_that_cannot_be_told_says_what_to_write(written: str, said: str) -> None:
    with pytest.raises(CellError) as wrong:
        day(written, READING)
    assert str(wrong.value) == said


def test_what_has_happened_cannot_lie_ahead() -> None:
    assert past_day("2026-05-04", READING) == date(2026, 5, 4)
    with pytest.raises(CellError, match="2026-05-05 is in the future"):
        past_day("2026-05-05", READING)


@pytest.mark.parametrize("on", range(7))
def test_weekdays_are_read_by_name_whole_or_short(on: int) -> None:
    # 4 May 2026 is a Monday, by the standard library.
    named = date(2026, 5, 4 + on)
    assert {weekday(named.strftime(form), READING) for form in ("%A", "%a")} == {named.weekday()}


def test_a_weekday_s_number_is_refused_since_weeks_begin_differently() -> None:
    with pytest.raises(CellError, match="'1' is not a weekday"):
        weekday("1", READING)


@pytest.mark.parametrize(
    ("written", "expected"), [("9", 9), (9.0, 9), ("14:00", 14), ("09:00:00", 9), (time(18), 18), ("24", 24)]
)
def test_hours_are_whole(written: str | float | time, expected: int) -> None:
    assert hour(written, READING) == expected


@pytest.mark.parametrize("written", ["9:30", "25", "noon", time(9, 30)])
def test_an_hour_that_is_not_whole_is_refused(written: str | time) -> None:
    with pytest.raises(CellError, match="is not a whole hour; write one such as 9 or 14:00"):
        hour(written, READING)


async def test_days_of_the_united_states_are_told_by_their_column_and_said_to_be(database: Database) -> None:
    plantings = (
        "crop,place,count,stage,sown_on,planted_on\n"
        "Peas,Bed 1,3,growing,3/4/2026,3/4/2026\nKale,Bed 1,3,growing,4/21/2026,21/4/2026\n"
    )
    report = await bring(database, garden=GARDEN, places="name,kind\nBed 1,open bed\n", plantings=plantings)
    assert said(report) == []
    assert report.remarks == ("plantings.csv: the month comes first in the column sown_on",)
    async with database.begin() as session:
        rows = {row.crop: row for row in await session.scalars(select(Planting))}
    assert (rows["pea"].sown_on, rows["kale"].sown_on) == (date(2026, 3, 4), date(2026, 4, 21))
    assert (rows["pea"].planted_on, rows["kale"].planted_on) == (date(2026, 4, 3), date(2026, 4, 21))


def test_a_column_that_speaks_both_ways_is_read_day_first() -> None:
    assert month_comes_first(["4/21/2026", "3/4/2026", None])
    assert not month_comes_first(["3/4/2026", None, date(2026, 1, 1)])
    assert not month_comes_first(["4/21/2026", "21/4/2026"])
