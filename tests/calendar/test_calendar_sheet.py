"""The calendar from a spreadsheet, in the forms that spreadsheets write."""

from __future__ import annotations

from datetime import date, time

import pytest

from bot.core.calendar.entry import Entry, first_occurrences
from bot.crops.loader import load
from bot.i18n import say
from bot.services.calendar.csv_in import read_sheet

ENGLISH, CROPS, TODAY = say("en", "Europe/London"), load(), date(2026, 4, 20)


def entries(text: str, encoding: str = "utf-8") -> tuple[Entry, ...]:
    found = read_sheet("calendar.csv", text.encode(encoding), CROPS, ENGLISH, TODAY)
    assert found.problems == ()
    return found.entries


def problems(text: str) -> list[str]:
    return [str(one) for one in read_sheet("calendar.csv", text.encode(), CROPS, ENGLISH, TODAY).problems]


SHEET = (
    "date,until,time,title,crop\r\n"
    "2026-05-12,2026-05-20,,Plant out,runner beans\r\n"
    '03/05/2026,,2pm-4pm,"Seed swap, by the gate",\r\n'
)


def test_days_hours_title_and_crop() -> None:
    plant, swap = entries(SHEET)
    assert (plant.first_on, plant.last_on, plant.crop) == (date(2026, 5, 12), date(2026, 5, 20), "runner-bean")
    assert (swap.first_on, swap.starts, swap.ends) == (date(2026, 5, 3), time(14), time(16))
    assert swap.title == "Seed swap, by the gate"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_any_encoding_and_separator(encoding: str, separator: str) -> None:
    text = separator.join(["title", "date"]) + "\r\n" + separator.join(["Fête", "3 May 2026"]) + "\r\n"
    (entry,) = entries(text, encoding)
    assert (entry.title, entry.first_on) == ("Fête", date(2026, 5, 3))


def test_hours_over_several_days_are_of_each_day() -> None:
    (entry,) = entries("date;until;time;title\n12.05.2026;14.05.2026;18:00-19:00;Watering\n")
    assert [one.first_on.day for one in first_occurrences(entry, 9)] == [12, 13, 14]


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("date,title\n2026-13-01,Sow\n", ["line 2", "date"]),
        ("date,title\n2026-05-03,\n", ["line 2", "title"]),
        ("date,until,title\n2026-05-03,2026-05-01,Sow\n", ["line 2", "until"]),
        ("date,time,title\n2026-05-03,25-26,Sow\n", ["line 2", "time", "25-26"]),
        ("date,title,crop\n2026-05-03,Sow,triffids\n", ["line 2", "crop", "triffids"]),
        ("date,title,crop\n2026-05-03,Plant,beans\n", ["line 2", "crop", "runner-bean"]),
        ("day,title\n2026-05-03,Sow\n", ["line 1", "date"]),
        ("", ["calendar.csv", "empty"]),
        ("date,title\n2026-05-03," + "x" * 121 + "\n", ["line 2", "121"]),
    ],
)
def test_each_mistake_is_said_with_its_line_and_column(text: str, parts: list[str]) -> None:
    found = problems(text)
    assert found
    assert all(part in found[0] for part in parts)


def test_a_good_line_beside_a_bad_one_is_read() -> None:
    text = "date,title\nnever,Sow\n2026-05-03,Seed swap\n"
    found = read_sheet("calendar.csv", text.encode(), CROPS, ENGLISH, TODAY)
    assert ([entry.title for entry in found.entries], len(found.problems)) == (["Seed swap"], 1)
