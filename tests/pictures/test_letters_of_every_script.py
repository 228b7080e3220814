"""No box instead of a letter, letters in the shapes of their script, and names and numbers in their place."""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
import uharfbuzz as hb
from babel import Locale
from babel.messages.pofile import read_po
from bidi import get_display
from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from bot.i18n import LANGUAGES, locale, say
from bot.pictures import draw_wall
from bot.pictures.looks import LIGHT
from bot.pictures.sheet import BOLD, GAP, REGULAR, WIDTH, Sheet, carried, plain, runs
from tests.open_data import ROOT
from tests.pictures.picture_samples import WALL
from tests.pictures.reading import RIGHT_TO_LEFT

SIZE = 96
_FINE = 4
# Words with letters in all four positions, a ligature of lam and alif, doubled letters with marks; conjuncts, a vowel
# sign before its letter, reph. Ordinary words.
WORDS = ["الطماطم", "البطاطس", "الملفوف", "سبانخ", "خسّ", "لا", "ضفدع", "غطِّ",
         "টমেটো", "স্ট্রবেরি", "কার্তিক", "কৃষ্ণচূড়া", "বাঁধাকপি"]  # fmt: skip


@pytest.mark.parametrize("font", [REGULAR, BOLD])
@pytest.mark.parametrize("language", LANGUAGES)
def test_the_fonts_have_every_letter_of_every_language(language: str, font: Path) -> None:
    """Unicode CLDR, as babel carries it: the names of months, days, languages and countries; and all that we say."""
    locale(language)  # as the program does, before the plain language's names, which babel shares (Portugal, Brazil)
    found = Locale.parse(language)
    said = [*found.languages.values(), *found.territories.values(), *LANGUAGES.values()]
    for names in (found.months, found.days):
        said += [str(name) for context in names.values() for width in context.values() for name in width.values()]
    path = ROOT / "locales" / language / "LC_MESSAGES" / "gatepost.po"
    if path.is_file():
        with path.open("rb") as file:
            said += [text for message in read_po(file) for text in _texts(message.string)]
    letters = {sign for text in said for sign in text if sign.isalpha() or sign.isdigit()}
    has = _letters_of(font)
    assert len(letters) > 40 and not [sign for sign in letters if ord(sign) not in has]


def _letters_of(path: Path) -> set[int]:
    with TTFont(path, lazy=True) as font:
        return set(font.getBestCmap())


def _texts(string: object) -> tuple[str, ...]:
    return tuple(string) if isinstance(string, (list, tuple)) else (str(string or ""),)


def test_a_letter_of_no_font_of_ours_is_shown_in_latin_and_no_box() -> None:
    assert plain("王偉 🌱 Ola") == "WangWei Ola"
    has = _letters_of(REGULAR)
    for name in ("สมชาย", "አበበ", "ქართული", "Ola ★ ♞", "한국"):
        assert plain(name) and all(ord(sign) in has for sign in plain(name))


@RIGHT_TO_LEFT
@pytest.mark.parametrize("word", WORDS)
def test_letters_have_the_shapes_that_harfbuzz_gives_them(word: str) -> None:
    """Drawn beside the outlines of HarfBuzz's own glyphs at HarfBuzz's own places, asked without Pillow and Raqm."""
    ours, theirs, alone = _drawn(word), _shaped([word]), _shaped(list(word))
    assert _alike(ours, theirs) > 0.95
    assert _alike(ours, alone) < 0.8  # each letter by itself is something else


def _drawn(word: str) -> Image.Image:
    leftward = any("\u0600" <= sign < "\u0700" for sign in word)
    sheet = Sheet(LIGHT, right_to_left=leftward)
    sheet.text(GAP, 60, word, SIZE)
    return _cut(sheet._image.reduce(2).convert("L").point(lambda grey: 255 if grey < 128 else 0))


class _Outline(BasePen):  # type: ignore[misc]
    """Polygons of an outline, curves as many short lines."""

    def __init__(self) -> None:
        super().__init__(None)
        self.polygons: list[list[tuple[float, float]]] = []

    def _moveTo(self, at: tuple[float, float]) -> None:
        self.polygons.append([at])

    def _lineTo(self, at: tuple[float, float]) -> None:
        self.polygons[-1].append(at)

    def _curveToOne(self, one: tuple[float, float], two: tuple[float, float], end: tuple[float, float]) -> None:
        start = self.polygons[-1][-1]
        for n in range(1, 9):
            t = n / 8
            a, b, c, d = (1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3
            self.polygons[-1].append(
                (
                    a * start[0] + b * one[0] + c * two[0] + d * end[0],
                    a * start[1] + b * one[1] + c * two[1] + d * end[1],
                )
            )


def _shaped(pieces: list[str]) -> Image.Image:
    """Text as HarfBuzz sets it, each piece by itself, the first at the side where reading begins."""
    font = hb.Font(hb.Face(hb.Blob.from_file_path(str(REGULAR))))
    image, at = Image.new("L", (WIDTH * 2 * _FINE, 400 * _FINE)), 100.0
    leftward = any("\u0600" <= sign < "\u0700" for piece in pieces for sign in piece)
    for piece in reversed(pieces) if leftward else pieces:
        buffer = hb.Buffer()
        buffer.add_str(piece)
        buffer.guess_segment_properties()
        hb.shape(font, buffer)
        for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
            pen = _Outline()
            font.draw_glyph_with_pen(info.codepoint, pen)
            scale = SIZE * _FINE / font.face.upem
            layer = Image.new("1", image.size)
            for polygon in pen.polygons:
                points = [
                    ((at + place.x_offset + x) * scale, 200 * _FINE - (place.y_offset + y) * scale) for x, y in polygon
                ]
                if len(points) > 2:
                    inner = Image.new("1", image.size)
                    ImageDraw.Draw(inner).polygon(points, 1)
                    layer = ImageChops.logical_xor(layer, inner)  # a hole lies within its outline
            image.paste(255, mask=layer)
            at += place.x_advance
    return _cut(image.reduce(_FINE).point(lambda grey: 255 if grey > 127 else 0))


def _cut(image: Image.Image) -> Image.Image:
    return image.crop(image.getbbox())


def _alike(one: Image.Image, other: Image.Image) -> float:
    """How much of the ink of either lies on the ink of the other, or a pixel beside it; 0 where they differ in size."""
    if any(abs(a - b) > 2 for a, b in zip(one.size, other.size, strict=True)):
        return 0.0
    whole = (max(one.width, other.width) + 4, max(one.height, other.height) + 4)
    first, second = (Image.new("L", whole) for _ in "12")
    first.paste(one, (2, 2))
    second.paste(other, (2, 2))
    return min(_covered(first, second), _covered(second, first))


def _covered(ink: Image.Image, by: Image.Image) -> float:
    both = ImageChops.darker(ink, by.filter(ImageFilter.MaxFilter(3)))
    return both.histogram()[255] / ink.histogram()[255]


signs = st.text("aZбب টש5−7%°()،,.: ", max_size=9)
isolated = st.builds("{}\u2068{}\u2069{}".format, signs, signs, signs)


@settings(max_examples=300)
@given(st.lists(isolated, min_size=1, max_size=3).map("".join), st.booleans())
def test_each_stretch_lies_where_the_unicode_algorithm_puts_it(line: str, right_to_left: bool) -> None:
    """UAX #9, by another implementation of it: the Rust crate unicode-bidi, as python-bidi carries it."""
    theirs = get_display(line, base_dir="R" if right_to_left else "L")
    ours = "".join(text[::-1] if leftward else text for text, leftward in runs(line, right_to_left=right_to_left))
    assert _unmirrored(ours) == _unmirrored(theirs)


def _unmirrored(text: str) -> str:
    """Without isolates; brackets are turned round where they are drawn, not here."""
    return text.translate(
        {0x2066: None, 0x2067: None, 0x2068: None, 0x2069: None, ord("("): "|", ord(")"): "|"}
    ).strip()


@RIGHT_TO_LEFT
def test_a_minus_sign_and_a_latin_name_stay_whole_in_arabic() -> None:
    line = "ليلة \u2068الثلاثاء، 5 مايو\u2069: \u2068−3 °C\u2069، \u2068Bed 5 (north)\u2069."
    shown = [text for text, _ in runs(line, right_to_left=True)]
    assert "−3 °C" in shown and "Bed 5 (north)" in shown
    assert shown.index("Bed 5 (north)") < shown.index("−3 °C")  # the later lies further left


def test_what_is_isolated_on_two_lines_is_isolated_on_each() -> None:
    lines = carried(["ب: \u2068Bed 5", "(north)\u2069, ب"])
    assert lines == ["ب: \u2066Bed 5\u2069", "\u2066(north)\u2069, ب"]
    assert runs(lines[1], right_to_left=True)[-1] == ("(north)", False)


@RIGHT_TO_LEFT
def test_lines_of_arabic_do_not_run_over_the_edge_and_lie_at_the_right() -> None:
    sheet = Sheet(LIGHT, right_to_left=True)
    sheet.paragraph(GAP, GAP, " ".join(WORDS[:8] * 4 + ["\u2068Bed 5 (north)\u2069"] * 4), 30, WIDTH - 2 * GAP)
    assert len(sheet.texts) > 2
    assert all(box.left >= GAP - 1 and box.right == pytest.approx(WIDTH - GAP) for box in sheet.texts)
    assert not any(one.overlaps(other) for one, other in pairwise(sheet.texts))


def test_bengali_beside_latin_keeps_its_shapes_on_the_sheet() -> None:
    """As wide as HarfBuzz sets each script by itself; vowel signs that were left behind their letters are wider."""
    with closing(draw_wall._Page(replace(WALL, say=say("bn", "UTC")))) as page:
        page._pdf.set_font("sheet", "", 20)
        for word in WORDS[8:]:
            found = page._pdf.get_string_width(f"Bed 5: {word}")
            wanted = sum(_advance(piece) for piece in ("Bed 5: ", word)) * 20 * 25.4 / 72
            assert found == pytest.approx(wanted, rel=0.01)


def _advance(piece: str) -> float:
    """In the size of the font."""
    font = hb.Font(hb.Face(hb.Blob.from_file_path(str(REGULAR))))
    buffer = hb.Buffer()
    buffer.add_str(piece)
    buffer.guess_segment_properties()
    hb.shape(font, buffer)
    return float(sum(place.x_advance for place in buffer.glyph_positions) / font.face.upem)
