"""The sheet for the gate and the whole garden as files, asked for in the chat."""

from __future__ import annotations

import io
import zipfile

from pypdf import PdfReader

from bot.chat.season import wall
from bot.chat.warnings.told import Told
from bot.chat.wire.world import Message
from bot.i18n import say
from tests.support.talk import MONDAY_AT, Talk


def document(said: list[Message]) -> Message:
    (found,) = [one for one in said if one.kind == "document"]
    return found


def words(talk: Talk, sheet: Message) -> str:
    reader = PdfReader(io.BytesIO(talk.stage.api.files[sheet.file_id or ""]))
    assert len(reader.pages) == 1
    # A4 in points: 210 x 297 mm (ISO 216) at 72 points an inch of 25.4 mm.
    box = reader.pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (595, 842)
    return " ".join(reader.pages[0].extract_text().split())


async def test_a_member_gets_the_sheet_and_sees_that_it_goes_on(talk: Talk) -> None:
    said = await talk.write("Owen", "/wall")
    (word,) = [one for one in said if one.kind == "text"]
    assert word.edits == ["I am drawing the sheet for the gate. One moment …"]
    sheet = document(said)
    assert sheet.file_name == "gate-2026-05-04.pdf"
    assert "the forecast may have changed" in sheet.text
    text = words(talk, sheet)
    assert "Printed on 4 May 2026; the forecast may have changed." in text
    assert "This week's jobs" in text and "On call" in text and "Calendar, May 2026" in text


async def test_a_sheet_that_hangs_for_days_names_days_and_never_today(talk: Talk) -> None:
    await talk.stage.tick()
    text = words(talk, document(await talk.write("Miriam", "/wall"))).casefold()
    assert "night of tue 5 may" in text
    assert not {"today", "tonight", "tomorrow"} & set(
        text.replace(".", " ").replace(",", " ").replace(":", " ").split()
    )


async def test_the_calendar_of_the_month_is_on_it_and_nothing_of_the_next(talk: Talk) -> None:
    lines = "/calendar 16 May seed swap\n6 June summer picnic"
    preview = await talk.said("Miriam", lines)
    await talk.press("Miriam", preview, "Publish the entries")
    text = words(talk, document(await talk.write("Owen", "/wall")))
    assert "seed swap" in text.casefold() and "summer picnic" not in text.casefold()


async def test_the_whole_garden_comes_as_a_zip_that_can_be_sent_back(talk: Talk) -> None:
    said = await talk.write("Miriam", "/export")
    data = talk.stage.api.files[document(said).file_id or ""]
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        assert {"garden.csv", "members.csv", "places.csv", "plantings.csv"} <= set(packed.namelist())
    (back,) = await talk.send_file("Miriam", "garden.zip", data)
    assert "know all of this already" in back.text


async def test_records_that_name_people_are_not_given_to_members_nor_to_the_group(talk: Talk) -> None:
    assert "one of the organisers" in (await talk.said("Owen", "/export")).text
    (said,) = await talk.write("Miriam", "/export", group=True)
    assert "private chat" in said.text and said.kind == "text"


def test_without_a_forecast_the_sheet_says_so_instead_of_none() -> None:
    (line,) = wall.warnings(Told(say("en", "Europe/London"), {}, MONDAY_AT), (), has_forecast=False)
    assert "no weather forecast" in line
    assert wall.warnings(Told(say("en", "Europe/London"), {}, MONDAY_AT), (), has_forecast=True) == ()
