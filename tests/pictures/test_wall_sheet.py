"""The sheet for the gate, read back with another library: one A4 page that says everything and when it was printed."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from bot.pictures import draw_wall
from bot.pictures.wall import Wall, caption
from tests.pictures.picture_samples import ARABIC, POLISH, WALL

MM_PER_PT = 25.4 / 72


def opened(wall: Wall) -> PdfReader:
    return PdfReader(BytesIO(draw_wall.draw(wall)))


def text_of(wall: Wall) -> str:
    return " ".join(opened(wall).pages[0].extract_text().split())


def test_it_is_one_page_of_a4() -> None:
    """ISO 216:2007: A4 is 210 mm by 297 mm."""
    reader = opened(WALL)
    [page] = reader.pages
    assert float(page.mediabox.width) * MM_PER_PT == pytest.approx(210, abs=0.1)
    assert float(page.mediabox.height) * MM_PER_PT == pytest.approx(297, abs=0.1)


def test_everything_on_it_can_be_read_and_searched() -> None:
    text = text_of(WALL)
    for line in (WALL.garden, *WALL.warnings, *WALL.jobs, *WALL.on_call, *WALL.calendar):
        assert line in text
    for heading in ("Warnings now", "This week's jobs", "On call", "Calendar, May 2026"):
        assert heading in text


def test_it_says_when_it_was_printed_and_that_the_forecast_may_have_changed() -> None:
    assert "Printed on 5 May 2026; the forecast may have changed." in text_of(WALL)
    assert "Printed on 5 May 2026; the forecast may have changed." in caption(WALL)


def test_its_fonts_come_with_it_and_its_language_is_named() -> None:
    reader = opened(replace(WALL, say=POLISH, garden="Zaułek Szczeciowy"))
    fonts = reader.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    for font in fonts.values():
        descriptor = font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
        assert "/FontFile2" in descriptor
    assert str(reader.root_object["/Lang"]) == "pl"
    assert "Zaułek Szczeciowy" in reader.pages[0].extract_text()


def test_parts_without_anything_say_so() -> None:
    text = text_of(replace(WALL, warnings=(), jobs=(), on_call=(), calendar=()))
    assert text.count("There were none when this was printed.") == 2
    assert "Nobody yet: ask an organiser." in text
    assert "Nothing planned yet." in text


def test_too_much_for_a_page_is_counted_and_warnings_stay() -> None:
    jobs = tuple(f"Job {number}: water the pots by the gate, dry as they are under the leaves" for number in range(60))
    full = replace(WALL, jobs=jobs, warnings=WALL.warnings * 3)
    [page] = opened(full).pages
    text = " ".join(page.extract_text().split())
    shown_n = sum(f"Job {number}:" in text for number in range(60))
    assert 20 < shown_n < 60
    assert f"And {60 - shown_n} more." in text
    assert text.count("cover by 20:15") == 3
    assert "Printed on 5 May 2026" in text


@pytest.mark.parametrize("lines_n", [2, 60])
def test_no_letter_is_smaller_than_11_points(lines_n: int) -> None:
    sizes: list[float] = []
    wall = replace(WALL, jobs=("Water the pots by the gate",) * lines_n)
    opened(wall).pages[0].extract_text(visitor_text=lambda _text, _cm, _tm, _font, size: sizes.append(size))
    assert min(sizes) >= 11


def test_the_same_sheet_is_the_same_file() -> None:
    assert draw_wall.draw(WALL) == draw_wall.draw(WALL)


def test_emoji_are_left_out_and_a_line_break_does_not_break_the_line() -> None:
    assert "Carry the trays back under glass" in text_of(replace(WALL, jobs=("Carry the trays\nback 🌱 under glass",)))


def test_right_to_left_text_is_set_and_can_be_read_back() -> None:
    text = text_of(replace(WALL, say=ARABIC, garden="حديقة الممر"))
    assert "حديقة" in text or "حديقة"[::-1] in text  # readers differ on the order in which they give it back
