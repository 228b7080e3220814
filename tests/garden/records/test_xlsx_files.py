"""Workbooks as spreadsheets save them, made with openpyxl, and read back from ours without it."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from sqlalchemy import select

from bot.services.garden.records.from_xlsx import export_xlsx, write_xlsx
from bot.storage.models import Garden, Planting
from bot.storage.session import Database
from tests.garden.records.record_files import bring, bring_files, said, stored_rows

Lines = list[list[Any]]

GARDEN: Lines = [["name", "latitude", "longitude", "zone"], ["Mallow End", 52.21, -1.52, "Europe/London"]]
TENTH = datetime(2026, 3, 10)
PLACES: Lines = [["name", "kind"], ["Bed 1", "open bed"]]
HEADER = ["crop", "place", "count", "stage", "sown_on", "height_cm"]


def book(sheets: Mapping[str, Lines], *, from_1904: bool = False) -> bytes:
    made = openpyxl.Workbook()
    if from_1904:
        made.epoch = CALENDAR_MAC_1904
    for name, lines in sheets.items():
        sheet = made.create_sheet(name)
        for line in lines:
            sheet.append(line)
    stream = io.BytesIO()
    made.save(stream)
    return stream.getvalue()


async def sown(database: Database) -> list[date | None]:
    async with database.begin() as session:
        return list(await session.scalars(select(Planting.sown_on).order_by(Planting.id)))


@pytest.mark.parametrize("from_1904", [False, True])
async def test_true_dates_are_read_in_both_date_systems(database: Database, from_1904: bool) -> None:
    lines: list[list[Any]] = [HEADER, ["pea", "Bed 1", 60, "growing", TENTH, 90.5]]
    data = book({"Garden": GARDEN, "Places": PLACES, "Plantings": lines}, from_1904=from_1904)
    assert said(await bring_files(database, {"all.xlsx": data})) == []
    assert await sown(database) == [date(2026, 3, 10)]


@pytest.mark.parametrize(("from_1904", "serial"), [(False, 40729), (True, 39267)])
async def test_a_date_left_as_a_number_counts_from_its_workbook_s_day(
    database: Database, from_1904: bool, serial: int
) -> None:
    # 5 July 2011 in each system: Microsoft, "Date systems in Excel", read via a copy, 2026-11-25.
    lines: list[list[Any]] = [HEADER, ["strawberry", "Bed 1", 60, "growing", serial, None]]
    data = book({"garden": GARDEN, "places": PLACES, "plantings": lines}, from_1904=from_1904)
    assert said(await bring_files(database, {"all.xlsx": data})) == []
    assert await sown(database) == [date(2011, 7, 5)]


async def test_a_problem_names_workbook_sheet_line_and_column(database: Database) -> None:
    data = book({"garden": GARDEN, "places": [["name", "kind"], [], ["Bed 1", "tunel"]]})
    assert said(await bring_files(database, {"all.xlsx": data})) == [
        "all.xlsx [places] line 3, column kind: 'tunel' is not a kind of place; did you mean 'tunnel'?"
    ]


async def test_a_workbook_of_one_sheet_is_called_like_its_file(database: Database) -> None:
    made = openpyxl.Workbook()
    for line in GARDEN:
        made.worksheets[0].append(line)
    stream = io.BytesIO()
    made.save(stream)
    report = await bring_files(database, {"Garden.xlsx": stream.getvalue()})
    assert (report.garden, report.stored) == ("Mallow End", True)


async def test_sheets_of_notes_are_left_alone_and_said_so(database: Database) -> None:
    data = book({"garden": GARDEN, "Ideas for the shed": [["paint it"]]})
    report = await bring_files(database, {"all.xlsx": data})
    assert report.skipped == ("all.xlsx [Ideas for the shed]",)
    assert report.stored


async def test_a_formula_that_nobody_worked_out_is_not_read_as_empty(database: Database) -> None:
    data = book({"garden": GARDEN, "places": [["name", "kind", "wet_kg"], ["Pot 1", "container", "=10+20"]]})
    assert said(await bring_files(database, {"all.xlsx": data})) == [
        "all.xlsx [places] line 2, column C: has a formula without a result; write the value itself"
    ]


@pytest.mark.parametrize(
    ("file", "data", "what"),
    [
        ("all.xlsx", b"PK not really", "cannot be opened; save it as .xlsx without a password, or as CSV"),
        (
            "all.xlsx",
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
            "cannot be opened; save it as .xlsx without a password, or as CSV",
        ),
        ("all.xls", b"", "is a kind of file that I cannot read; save it as .xlsx or CSV"),
        ("garden.csv", b" " * 10_000_001, "is bigger than 10 MB"),
    ],
)
async def test_a_file_that_cannot_be_read_says_what_to_do(
    database: Database, file: str, data: bytes, what: str
) -> None:
    assert said(await bring_files(database, {file: data})) == [f"{file}: {what}"]


async def test_a_damaged_workbook_is_a_problem_and_not_a_crash(database: Database) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        packed.writestr("xl/workbook.xml", "<workbook")
    assert said(await bring_files(database, {"all.xlsx": stream.getvalue()})) == [
        "all.xlsx: is damaged; save it again as .xlsx, or as CSV"
    ]


async def test_a_workbook_that_unpacks_to_something_monstrous_is_refused(database: Database) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", b" " * 100_000_001)
    report = await bring_files(database, {"all.xlsx": stream.getvalue()})
    assert said(report) == ["all.xlsx: cannot be opened; save it as .xlsx without a password, or as CSV"]


def test_nothing_that_we_write_is_a_formula() -> None:
    # Read from the XML of the file (ECMA-376 part 1, 18.3.1.40: a formula is an <f> element), not by our reader.
    data = write_xlsx({"members": [["name"], ["=1+1"], ["@x"], ["-2"]]})
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        tags = [element.tag for element in ElementTree.fromstring(packed.read("xl/worksheets/sheet1.xml")).iter()]
    assert not any(tag.endswith("}f") for tag in tags)
    assert [str(row[0]) for row in openpyxl.load_workbook(io.BytesIO(data)).worksheets[0].values] == [
        "name",
        "'=1+1",
        "'@x",
        "'-2",
    ]


async def test_an_exported_workbook_holds_true_numbers_and_dates_and_comes_back(database: Database) -> None:
    await bring(
        database,
        garden="name,latitude,longitude,zone\n=Mallow,52.21,-1.52,Europe/London\n",
        places="name,kind\nBed 1,open bed\n",
        plantings="crop,place,count,stage,sown_on\npea,Bed 1,60,growing,2026-03-10\n",
    )
    async with database.begin() as session:
        garden = (await session.scalars(select(Garden))).one()
        data = await export_xlsx(session, garden)
    values = openpyxl.load_workbook(io.BytesIO(data))
    assert values["garden"]["C2"].value == -1.52
    assert values["plantings"]["G2"].value == TENTH
    rows = await stored_rows(database)
    report = await bring_files(database, {"back.xlsx": data})
    assert (said(report), report.garden, await stored_rows(database)) == ([], "=Mallow", rows)
    assert all(not tally.added and not tally.changed for tally in report.tallies.values())
