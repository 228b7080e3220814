"""Spreadsheets and calendars sent privately: a preview, a button, all or nothing; and a clear word for what is no sheet."""

from __future__ import annotations

import io
import json
import zipfile
from dataclasses import replace
from datetime import timedelta

import openpyxl
import pytest
from sqlalchemy import func, select

from bot.chat.wire.world import Message
from bot.services.people import personal_data
from bot.services.people.retention import tidy
from bot.storage.models import CalendarEntry, Errand, Garden, Member, Person, Place, Planting, Reading, Thermometer
from bot.storage.states import ErrandState
from tests.support.talk import MONDAY_AT, Talk

MEMBERS = "name;role;lift_kg\r\nZofia;member;7,5\r\nMiriam;organiser;10\r\n".encode("utf-8-sig")
PLACES = b"name,kind,shared\nNorth bed,bed,yes\n"
PLANTINGS = b"crop,place,count,stage\ncourgette,North bed,4,growing\n"
#: RFC 5545, section 3.6.1, with days of this season.
ICS = (
    b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//y//EN\r\nBEGIN:VEVENT\r\nUID:1@allotment\r\n"
    b"DTSTAMP:20260501T000000Z\r\nDTSTART;VALUE=DATE:20260516\r\nSUMMARY:Seed swap\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


async def people(talk: Talk) -> set[str]:
    async with talk.stage.app.database.begin() as session:
        return set(await session.scalars(select(Person.name).join(Member)))


async def places(talk: Talk) -> set[str]:
    async with talk.stage.app.database.begin() as session:
        return set(await session.scalars(select(Place.name)))


def labels(message: Message) -> set[str]:
    return {key["text"] for row in message.keyboard for key in row}


def packed(**files: bytes) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as out:
        for name, data in files.items():
            out.writestr(f"garden/{name}.csv", data)
    return stream.getvalue()


async def test_a_sheet_is_previewed_and_stored_only_by_its_button(talk: Talk) -> None:
    (preview,) = await talk.send_file("Miriam", "members.csv", MEMBERS)
    assert [one.replace("\u2060", "") for one in preview.edits] == ["I am reading members.csv …"]
    assert "Nothing is saved yet" in preview.text and "Zofia" in preview.text
    assert "Zofia" not in await people(talk)
    (stored,) = await talk.press("Miriam", preview, "Save the changes")
    assert "Saved" in stored.text and "Zofia" in await people(talk)


async def test_the_same_sheet_again_changes_nothing_and_offers_no_button_to_apply(talk: Talk) -> None:
    (preview,) = await talk.send_file("Miriam", "members.csv", MEMBERS)
    await talk.press("Miriam", preview, "Save the changes")
    (again,) = await talk.send_file("Miriam", "members.csv", MEMBERS)
    assert "know all of this already" in again.text
    assert labels(again) == {"Do not save"}


async def test_apply_pressed_twice_stores_once_and_says_so(talk: Talk) -> None:
    (preview,) = await talk.send_file("Miriam", "places.csv", PLACES)
    shown = replace(preview)  # a phone that was offline still shows the button
    await talk.press("Miriam", preview, "Save the changes")
    before = await places(talk)
    (said,) = await talk.press("Miriam", shown, "Save the changes")
    assert "nothing left to save" in said.text
    assert await places(talk) == before


async def test_files_one_after_the_other_are_read_together(talk: Talk) -> None:
    (alone,) = await talk.send_file("Miriam", "plantings.csv", PLANTINGS)
    assert "line 2" in alone.text and "North bed" in alone.text and labels(alone) == {"Do not save"}
    (both,) = await talk.send_file("Miriam", "places.csv", PLACES)
    assert "2 files so far" in both.text and "plantings: 1 new" in both.text
    await talk.press("Miriam", both, "Save the changes")
    assert "North bed" in await places(talk)


async def test_a_corrected_sheet_takes_the_place_of_the_first(talk: Talk) -> None:
    (wrong,) = await talk.send_file("Miriam", "places.csv", b"name,kind\nNorth bed,bedd\n")
    assert "bedd" in wrong.text and "line 2" in wrong.text
    (right,) = await talk.send_file("Miriam", "places.csv", PLACES)
    assert "places: 1 new" in right.text and "files so far" not in right.text


async def test_a_whole_garden_comes_as_a_zip_all_or_nothing(talk: Talk) -> None:
    bad = packed(places=PLACES, plantings=b"crop,place,count,stage\ncourgete,North bed,4,growing\n")
    (wrong,) = await talk.send_file("Miriam", "garden.zip", bad)
    assert "did you mean" in wrong.text and labels(wrong) == {"Do not save"}
    await talk.press("Miriam", wrong, "Do not save")
    assert "North bed" not in await places(talk)
    (preview,) = await talk.send_file("Miriam", "garden.zip", packed(places=PLACES, plantings=PLANTINGS))
    await talk.press("Miriam", preview, "Save the changes")
    async with talk.stage.app.database.begin() as session:
        query = select(Planting.count).join(Place, Place.id == Planting.place_id).where(Place.name == "North bed")
        assert (await session.scalars(query)).all() == [4]


async def test_what_another_organiser_changes_in_between_is_shown_before_anything_is_stored(talk: Talk) -> None:
    (preview,) = await talk.send_file("Miriam", "places.csv", PLACES)
    async with talk.stage.app.database.begin() as session:
        bed = await session.scalar(select(Place).order_by(Place.id).limit(1))
        assert bed is not None
        bed.shared = not bed.shared
    (anew,) = await talk.press("Miriam", preview, "Save the changes")
    assert "Something has changed since" in anew.text and "Save the changes" in labels(anew)
    assert "North bed" not in await places(talk)
    await talk.press("Miriam", anew, "Save the changes")
    assert "North bed" in await places(talk)


async def test_a_member_is_told_that_organisers_do_this_and_nothing_is_fetched(talk: Talk) -> None:
    (refused,) = await talk.send_file("Owen", "members.csv", MEMBERS)
    assert "one of the organisers" in refused.text
    async with talk.stage.app.database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(Errand)) == 0


async def test_an_organiser_who_is_one_no_longer_applies_nothing(talk: Talk) -> None:
    (preview,) = await talk.send_file("Miriam", "places.csv", PLACES)
    async with talk.stage.app.database.begin() as session:
        miriam = (await session.scalars(select(Member).join(Person).where(Person.name == "Miriam"))).one()
        miriam.role = type(miriam.role).MEMBER
    said = await talk.press("Miriam", preview, "Save the changes")
    assert "organisers" in said[-1].text and "North bed" not in await places(talk)


async def test_files_that_would_leave_nobody_in_charge_are_refused(talk: Talk) -> None:
    async with talk.stage.app.database.begin() as session:
        query = select(Person.name).join(Member).where(Member.role == "organiser")
        chiefs = list(await session.scalars(query))
    sheet = "name,role\n" + "".join(f"{name},member\n" for name in chiefs)
    (preview,) = await talk.send_file("Miriam", "members.csv", sheet.encode())
    (said,) = await talk.press("Miriam", preview, "Save the changes")
    assert "would have no organiser" in said.text


def workbook() -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "places"
    for line in (("name", "kind"), ("North bed", "bed")):
        sheet.append(line)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


@pytest.mark.parametrize("name", ["garden.xlsx", "places.csv", "places"])
async def test_a_workbook_is_known_by_its_content_whatever_it_is_called(talk: Talk, name: str) -> None:
    (preview,) = await talk.send_file("Miriam", name, workbook())
    assert "places: 1 new" in preview.text


async def test_a_csv_called_xlsx_or_txt_is_read_as_what_it_is(talk: Talk) -> None:
    for name in ("places.xlsx", "places.txt"):
        (preview,) = await talk.send_file("Miriam", name, PLACES)
        assert "places: 1 new" in preview.text
        await talk.press("Miriam", preview, "Do not save")


#: A compound file's first bytes ([MS-CFB] 2.2) and the name of the stream of a protected workbook ([MS-OFFCRYPTO]).
OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)
LOCKED = OLD + "EncryptedPackage".encode("utf-16-le") + bytes(100)


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("members.xlsx", LOCKED, "password"),
        ("members.xls", OLD, "old kind"),
        ("plan.pdf", b"%PDF-1.7\n", "a kind of file that I cannot read"),
        ("members.csv", b"", "is empty"),
        ("broken.zip", b"PK\x03\x04" + bytes(50), "is damaged"),
        ("notes.csv", b"when,what\n1,2\n", "did not read"),
        ("tasks-we-have.csv", b"when,what\n1,2\n", "must say what is in it"),
    ],
)
async def test_what_is_no_sheet_gets_a_clear_word(talk: Talk, name: str, data: bytes, words: str) -> None:
    (said,) = await talk.send_file("Miriam", name, data)
    assert words in said.text
    assert "Save the changes" not in labels(said)


async def test_a_zip_bomb_is_refused_unopened(talk: Talk) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as out:
        out.writestr("members.csv", bytes(60_000_000))
    assert len(stream.getvalue()) < 100_000
    (said,) = await talk.send_file("Miriam", "garden.zip", stream.getvalue())
    assert "too many or too big files" in said.text


async def test_a_file_of_25_mb_is_refused_before_it_is_fetched(talk: Talk) -> None:
    (said,) = await talk.send_file("Miriam", "members.csv", bytes(25_000_000))
    assert "too big" in said.text and "10 MB" in said.text
    async with talk.stage.app.database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(Errand)) == 0


async def test_a_calendar_file_is_previewed_published_and_pinned_and_again_changes_nothing(talk: Talk) -> None:
    (preview,) = await talk.send_file("Miriam", "export.ics", ICS)
    assert "Seed swap" in preview.text and not talk.group()
    await talk.press("Miriam", preview, "Save the changes")
    (pinned,) = talk.group()
    assert "Seed swap" in pinned.text
    (again,) = await talk.send_file("Miriam", "export.ics", ICS)
    assert "as before" in again.text
    await talk.press("Miriam", again, "Save the changes")
    async with talk.stage.app.database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(CalendarEntry)) == 1


async def test_a_calendar_sheet_is_told_by_its_columns(talk: Talk) -> None:
    (preview,) = await talk.send_file("Miriam", "dates.csv", b"date;title\n16/5/2026;Seed swap\n")
    assert "Seed swap" in preview.text and "Save the changes" in labels(preview)


async def test_many_mistakes_come_as_a_file_too(talk: Talk) -> None:
    sheet = b"name,kind\n" + b"".join(b"Bed %d,bedd\n" % n for n in range(20))
    said = await talk.send_file("Miriam", "places.csv", sheet)
    text = next(one for one in said if one.kind == "text")
    file = next(one for one in said if one.kind == "document")
    assert "And 12 more." in text.text
    assert talk.stage.api.files[file.file_id or ""].decode("utf-8-sig").count("bedd") == 20


async def test_what_was_applied_or_dropped_is_not_kept(talk: Talk) -> None:
    (preview,) = await talk.send_file("Miriam", "places.csv", PLACES)
    await talk.press("Miriam", preview, "Save the changes")
    async with talk.stage.app.database.begin() as session:
        rows = (await session.scalars(select(Errand))).all()
    assert {row.state for row in rows} == {ErrandState.DONE} and all(row.data is None for row in rows)


async def test_a_file_that_nobody_applied_is_gone_after_a_week(talk: Talk) -> None:
    await talk.send_file("Miriam", "places.csv", PLACES)
    for days, left in ((6, 1), (8, 0)):
        async with talk.stage.app.database.begin() as session:
            await tidy(session, MONDAY_AT + timedelta(days=days))
            assert await session.scalar(select(func.count()).select_from(Errand)) == left


async def test_what_is_given_out_about_a_person_holds_no_file_that_names_others(talk: Talk) -> None:
    await talk.send_file("Miriam", "members.csv", MEMBERS)
    async with talk.stage.app.database.begin() as session:
        miriam = (await session.scalars(select(Person).where(Person.name == "Miriam"))).one()
        stored = await personal_data.export(session, miriam)
    assert stored["errands"][0]["data"] == f"{len(MEMBERS)} bytes"
    json.dumps(stored["errands"])


async def test_what_a_thermometer_logged_is_taken_at_once_and_a_second_time_changes_nothing(talk: Talk) -> None:
    """Invented: a week's mornings, written down by a logger in the demo's garden."""
    async with talk.stage.app.database.begin() as session:
        (garden_id,) = await session.scalars(select(Garden.id))
        session.add(Thermometer(garden_id=garden_id, name="Shed", height_m=1.5, shaded=True))
    log = b"time,thermometer,minimum\n" + b"".join(b"2026-04-%02d 07:00,shed,2.5\n" % day for day in range(20, 27))
    (told,) = await talk.send_file(
        "Miriam", "shed.csv", log + b"2026-04-27 07:00,attic,2.5\n2026-04-28 07:00,shed,cold\n"
    )
    assert "Shed: 7 nights." in told.text and not labels(told)
    assert "I don't know a thermometer “attic” here" in told.text and "line 10" in told.text
    async with talk.stage.app.database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(Reading)) == 7
    (again,) = await talk.send_file("Miriam", "shed.csv", log)
    assert "I already had 7." in again.text
    async with talk.stage.app.database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(Reading)) == 7
