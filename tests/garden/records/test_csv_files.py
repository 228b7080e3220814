"""CSV as spreadsheets save it: encodings, separators, quotes and line ends (RFC 4180 for the last two)."""

from __future__ import annotations

import pytest

from bot.i18n import say
from bot.services.garden.records.columns import column_names
from bot.services.garden.records.files import read_csv
from bot.services.garden.records.problems import Problems
from bot.services.garden.records.sheet import Sheet, table_name
from tests.garden.records.record_files import SAY

MEMBERS = "name;lift_kg;skills\r\nZoë;12,5;first-aid\r\nJosé;0;\r\n"
NAMES = [("name", "lift_kg", "skills"), ("Zoë", "12,5", "first-aid"), ("José", "0", None)]


def sheet(data: bytes, table: str = "members") -> Sheet:
    problems = Problems(SAY)
    read = read_csv(f"{table}.csv", data, column_names(table), problems)
    assert read is not None, problems.found
    return read


def cells(data: bytes, table: str = "members") -> list[tuple[object, ...]]:
    return [line.cells for line in sheet(data, table).lines]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"])
def test_every_encoding_that_spreadsheets_save_is_read(encoding: str) -> None:
    assert cells(MEMBERS.encode(encoding)) == NAMES


def test_utf_8_is_told_from_windows_1252_by_its_letters() -> None:
    assert cells("name\nŁucja\n".encode())[1] == ("Łucja",)
    assert cells("name\nBjörn €5\n".encode("cp1252"))[1] == ("Björn €5",)


@pytest.mark.parametrize("name", ["Łucja Żak", "Michał", "Rafał Ćwik", "Wąs"])
def test_windows_1250_is_told_from_windows_1252_by_signs_within_words(name: str) -> None:
    # Code pages of the Unicode Consortium: 0xB3 is "ł" in Windows-1250, "³" in Windows-1252; 0xB9 "ą" and "¹".
    assert cells(f"name\n{name}\n".encode("cp1250"))[1] == (name,)


@pytest.mark.parametrize("name", ["2 m³ compost", "£5", "Zoë Åström", "¿Qué?"])
def test_signs_that_stand_alone_are_those_of_windows_1252(name: str) -> None:
    assert cells(f"name\n{name}\n".encode("cp1252"))[1] == (name,)


def test_whoever_reads_polish_wrote_it_in_windows_1250() -> None:
    problems = Problems(say("pl", "UTC"))
    read = read_csv("members.csv", "name\nKasię Śliwę\n".encode("cp1250"), column_names("members"), problems)
    assert read is not None and read.lines[1].cells == ("Kasię Śliwę",)


def test_letters_of_no_encoding_are_a_problem() -> None:
    problems = Problems(SAY)
    assert read_csv("members.csv", b"name\n\x81\x8d\xff\n", column_names("members"), problems) is None
    assert [str(each) for each in problems.found] == [
        "members.csv: has letters that I cannot read; save it as CSV UTF-8"
    ]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_the_separator_is_told_from_the_header(separator: str) -> None:
    text = (
        separator.join(("name", "latitude", "longitude", "zone"))
        + "\n"
        + separator.join(('"A, B; C"', "1", "2", "UTC"))
    )
    assert cells(text.encode(), "garden")[1] == ("A, B; C", "1", "2", "UTC")


def test_a_separator_inside_the_header_s_words_does_not_mislead() -> None:
    assert cells(b'Name;"Lift, kg, at most, please"\nAda;3\n')[1] == ("Ada", "3")


def test_the_line_that_a_spreadsheet_writes_about_its_separator_is_obeyed_and_counted() -> None:
    read = sheet(b"sep=;\r\nname;skills\r\nAda;a,b\r\n")
    assert [(line.number, line.cells) for line in read.lines] == [(2, ("name", "skills")), (3, ("Ada", "a,b"))]


def test_quotes_are_read_as_in_rfc_4180() -> None:
    # RFC 4180 section 2, rules 6 and 7: the quoted cells and "b""bb" of its examples.
    assert cells(b'name,skills,plots\r\n"aaa","b\r\nbb","ccc"\r\n"aaa","b""bb","ccc"\r\n')[1:] == [
        ("aaa", "b\r\nbb", "ccc"),
        ("aaa", 'b"bb', "ccc"),
    ]


def test_lines_are_counted_as_the_file_has_them() -> None:
    read = sheet(b'\nname,skills\n\n"a","b\nc"\n\nd,e\n')
    assert [line.number for line in read.lines] == [2, 4, 7]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end_is_read(end: str) -> None:
    assert cells(end.join(("name", "Ada", "Bo")).encode()) == [("name",), ("Ada",), ("Bo",)]


def test_a_quotation_mark_left_open_is_a_problem_with_its_line() -> None:
    problems = Problems(SAY)
    assert read_csv("members.csv", b'name\nAda\n"Bo\nCy\n', column_names("members"), problems) is None
    assert [(each.file, each.line) for each in problems.found] == [("members.csv", 3)]


def test_an_apostrophe_before_a_formula_is_taken_off_and_others_stay() -> None:
    assert cells(b"name\n'=1+1\n''-x\n'tis\n") == [("name",), ("=1+1",), ("'-x",), ("'tis",)]


@pytest.mark.parametrize(
    "title",
    ["free_times", "Free times", "FREE-TIMES", "Mallow End - free_times", "free_times (1)", "A - B - Free Times (12)"],
)
def test_a_table_is_known_however_its_file_is_called(title: str) -> None:
    assert table_name(title) == "free_times"


def test_problems_can_be_told_in_another_language() -> None:
    polish = Problems(say("pl", "Europe/Warsaw"))
    assert read_csv("members.csv", b"\xff\xfe\x00", column_names("members"), polish) is None
    assert polish.found[0].text.startswith("members.csv")
