"""Every mistake of every file at once, each with file, line and column, and nothing stored."""

from __future__ import annotations

import pytest

from bot.storage.session import Database
from tests.garden.records.record_files import GARDEN, bring, bring_files, said, stored_rows

PLACES = "name,kind\nBed 1,open bed\n"


async def test_all_mistakes_of_all_files_are_said_at_once_and_nothing_is_stored(database: Database) -> None:
    report = await bring(
        database,
        garden="name,latitude,longitude,zone\nMallow End,152,-1.52,London\n",
        members="name,adult,lift_kg\nAda,perhaps,12\nBo,,3 cm\nADA,yes,\n",
        plots="name,holders\nPlot 1,Aida; Bo\n",
        places="name,kind,plot\nBed 1,open bed,Plot 1\nHouse,tunel,Plt 1\n",
        supports="place,kind,height_m,width_m\nBed 2,canes,2,1\n",
        plantings="crop,place,count,stage,sown_on\npeaz,Bed 1,2,sown,2026-05-30\npea,Bed 1,2.5,sown,\n",
    )
    assert said(report) == [
        "garden.csv line 2, column latitude: '152' is out of range; write a number from -90 to 90 °",
        "garden.csv line 2, column zone: 'London' is not a time zone; did you mean 'Europe/London'?",
        "members.csv line 2, column adult: write yes or no, not 'perhaps'",
        "members.csv line 3, column adult: is empty; it must be filled in",
        "members.csv line 3, column lift_kg: 'cm' is not the unit of this column; write the number in kg",
        "members.csv line 4: 'ADA' is also on line 2; keep one, or give them different names",
        "places.csv line 3, column kind: 'tunel' is not a kind of place; did you mean 'tunnel'?",
        "places.csv line 3, column plot: no plot is called 'Plt 1'; did you mean 'Plot 1'?",
        "plantings.csv line 2, column sown_on: 2026-05-30 is in the future; write when it happened, or leave it empty",
        "plantings.csv line 2, column crop: 'peaz' is not a crop; did you mean 'pea'?",
        "plantings.csv line 3, column count: '2.5' is not a whole number",
        "plots.csv line 2, column holders: no member is called 'Aida'; did you mean 'Ada'?",
        "supports.csv line 2, column place: no place is called 'Bed 2'; did you mean 'Bed 1'?",
    ]
    assert (report.stored, report.tallies, await stored_rows(database)) == (False, {}, 0)


@pytest.mark.parametrize(
    ("members", "problem"),
    [
        ("name,lift\nAda,3\n", "members.csv line 1: there is no column 'lift'; did you mean 'lift_kg'?"),
        ("name,Name\nAda,Bo\n", "members.csv line 1: the column name is there twice"),
        ("role\nmember\n", "members.csv line 1: the column name is missing"),
        ("name,role\n,member\n", "members.csv line 2, column name: is empty; it must be filled in"),
        ("", "members.csv: is empty; its first line must name the columns"),
        (
            f"name\n{'a' * 81}\n",
            f"members.csv line 2, column name: '{'a' * 39}…' is too long; use at most 80 characters",
        ),
        ("name\n" + "a\n" * 20_001, "members.csv: has more than 20000 lines"),
    ],
)
async def test_a_table_that_cannot_be_used_says_why(database: Database, members: str, problem: str) -> None:
    assert said(await bring(database, garden=GARDEN, members=members)) == [problem]
    assert await stored_rows(database) == 0


@pytest.mark.parametrize(
    "header", ["NAME,Lift KG,Mornings only", "name,lift_kg,mornings_only", " Name , Lift (kg),mornings-only,,"]
)
async def test_headers_are_known_whatever_their_case_and_spaces(database: Database, header: str) -> None:
    report = await bring(database, garden=GARDEN, members=f"{header}\nAda,12,yes\n")
    assert (said(report), report.tallies["members"].added) == ([], ("Ada",))


@pytest.mark.parametrize(
    ("crop", "problem"),
    [
        ("Beans", "'Beans' may mean different crops; write "),
        ("Cherry tomato Redcurrant", "'Cherry tomato Redcurrant' is not a crop; did you mean 'tomato'?"),
        ("tomatoe", "'tomatoe' is not a crop; did you mean 'tomato'?"),
        ("deadly nightshade", "'deadly nightshade' is not a crop that Gatepost knows; write its usual English name"),
    ],
)
async def test_a_crop_that_cannot_be_told_gets_a_suggestion(database: Database, crop: str, problem: str) -> None:
    plantings = f"crop,place,count,stage\n{crop},Bed 1,3,growing\n"
    report = await bring(database, garden=GARDEN, places=PLACES, plantings=plantings)
    assert len(report.problems) == 1
    assert said(report)[0].startswith(f"plantings.csv line 2, column crop: {problem}")


@pytest.mark.parametrize("crop", ["tomato", "Tomatoes", "cherry  tomatoes", "TOMATO"])
async def test_a_crop_is_known_by_key_name_or_alias(database: Database, crop: str) -> None:
    plantings = f"crop,place,count,stage\n{crop},Bed 1,3,growing\n"
    report = await bring(database, garden=GARDEN, places=PLACES, plantings=plantings)
    assert report.tallies["plantings"].added == ("tomato, Bed 1",)


async def test_the_same_batch_twice_is_asked_to_be_told_apart(database: Database) -> None:
    plantings = "crop,place,count,stage,batch\nPeas,Bed 1,3,growing,\npea,bed 1,4,sown,\npea,Bed 1,4,sown,second\n"
    report = await bring(database, garden=GARDEN, places=PLACES, plantings=plantings)
    assert said(report) == [
        "plantings.csv line 3: 'pea' is also on line 2, with the same place; give each batch its own name"
    ]


async def test_days_and_hours_follow_each_other(database: Database) -> None:
    report = await bring(
        database,
        garden=GARDEN,
        members="name\nAda\n",
        places=PLACES,
        plantings="crop,place,count,stage,sown_on,planted_on\npea,Bed 1,3,growing,2026-04-02,2026-03-02\n",
        free_times="member,weekday,from,to\nAda,Mon,14,9\nAda,Tue,9,9\n",
        aways="member,from,to\nAda,2026-08-09,2026-08-02\nAda,2026-09-02,2026-09-02\n",
    )
    assert said(report) == [
        "plantings.csv line 2, column planted_on: must come after sown_on; look at both",
        "free_times.csv line 2, column to: must come after from; look at both",
        "free_times.csv line 3, column to: must come after from; look at both",
        "aways.csv line 2, column to: must come after from; look at both",
    ]


async def test_a_garden_must_be_given_once(database: Database) -> None:
    assert said(await bring(database, members="name\nAda\n")) == [
        "garden.csv: is missing; it gives the name and the location of the garden"
    ]
    assert said(await bring(database, garden=GARDEN + "Other,1,2,UTC\n")) == [
        "garden.csv: has 2 gardens; leave only one"
    ]


async def test_a_table_in_two_files_and_a_file_nearly_named_like_one_are_problems(database: Database) -> None:
    files = {
        "garden.csv": GARDEN,
        "members.csv": "name\nAda\n",
        "Members (1).csv": "name\nBo\n",
        "plantngs.csv": "crop\n",
    }
    report = await bring_files(database, {name: text.encode() for name, text in files.items()})
    assert said(report) == [
        "members.csv: has members in it, and so has another file; send only one",
        "plantngs.csv: is not the name of a table; did you mean 'plantings'?",
    ]


async def test_a_broken_file_does_not_make_every_name_unknown(database: Database) -> None:
    supports = "place,kind,height_m,width_m\nBed 1,canes,2,1\n"
    report = await bring(database, garden=GARDEN, places="nam,kind\nBed 1,open bed\n", supports=supports)
    assert said(report) == [
        "places.csv line 1: there is no column 'nam'; did you mean 'name'?",
        "places.csv line 1: the column name is missing",
    ]


async def test_a_message_holds_no_more_of_a_value_than_fits(database: Database) -> None:
    report = await bring(database, garden=GARDEN, members=f"name,role\nAda,{'x' * 5000}\n")
    assert len(said(report)[0]) < 150


async def test_columns_of_somebodys_own_are_left_out_and_said_to_be(database: Database) -> None:
    members = "name,phone,role,notes\nAda,0123 456,member,likes beans,and a cell more\n"
    report = await bring(database, garden=GARDEN, members=members)
    assert said(report) == []
    assert report.tallies["members"].added == ("Ada",)
    assert report.skipped == (
        "members.csv, column phone", "members.csv, column notes", "members.csv, a column without a name",
    )  # fmt: skip


async def test_a_slip_in_the_header_does_not_hide_what_is_wrong_in_the_rows(database: Database) -> None:
    places = "name,kind,lenght_m,width_m\nBed 1,open bed,4,1.2\nHouse,tunel,4,wide\n"
    assert said(await bring(database, garden=GARDEN, places=places)) == [
        "places.csv line 1: there is no column 'lenght_m'; did you mean 'length_m'?",
        "places.csv line 3, column kind: 'tunel' is not a kind of place; did you mean 'tunnel'?",
        "places.csv line 3, column width_m: 'wide' is not a number; write digits, such as 12 or 1.5",
    ]


@pytest.mark.parametrize(("length", "width", "asked"), [("400", "120", True), ("4", "1.2", False), ("30", "8", False)])
async def test_a_bed_as_large_as_a_field_is_asked_about(
    database: Database, length: str, width: str, asked: bool
) -> None:
    places = f"name,kind,length_m,width_m\nBed 1,open bed,{length},{width}\n"
    report = await bring(database, garden=GARDEN, places=places)
    assert [("did you mean centimetres?" in text) for text in said(report)] == [True] * asked


async def test_one_plant_without_a_rule_does_not_keep_a_garden_out(database: Database) -> None:
    plantings = "crop,place,count,stage\nYacon,Bed 1,3,growing\nTomatoes,Bed 1,2,growing\nyacons,Bed 1,1,sown\n"
    report = await bring(
        database, garden=GARDEN, places=PLACES, plantings=plantings.replace("yacons,Bed 1,1,sown\n", "")
    )
    assert said(report) == []
    assert report.unknown == ("Yacon",)
    assert report.tallies["plantings"].added == ("own-yacon, Bed 1", "tomato, Bed 1")


async def test_a_sheet_of_notes_is_left_alone_and_said_to_be(database: Database) -> None:
    report = await bring(database, garden=GARDEN, places=PLACES, notes="call the council\n", Phone="x\n")
    assert (said(report), report.skipped) == ([], ("Phone.csv", "notes.csv"))
