"""Sets the sheet for the gate on one A4 page, in black, as large as it fits. Only the worker process may import this."""

from __future__ import annotations

import textwrap
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, time
from functools import cache
from typing import cast

from fpdf import FPDF
from fpdf.fonts import TTFFont

from bot.pictures.looks import more
from bot.pictures.sheet import BOLD, REGULAR, plain
from bot.pictures.wall import Section, Wall, footer, sections

_EDGE_MM = 16.0
_WIDTH_MM = 210.0 - 2 * _EDGE_MM
_FOOT_MM = 276.0  # where the footer begins
_TITLE_PT, _FOOTER_PT = 26.0, 11.0
_SIZES_PT = (22.0, 19.0, 16.5, 14.5, 12.5, 11.0)  # the least is still read standing before the gate
_MM_PER_PT = 25.4 / 72.0
_LEADING = 1.3
_HEADING = 1.2  # of the size of the lines below it
_FRAME_MM = 3.0
#: fpdf2 sets what stands in one font as one script, by its first letter. The scripts of joined syllables have vowel signs
#: that stand before their letter, so they are set apart, with the joiners that stand within their words.
_LETTERS: dict[str, list[tuple[int, int]]] = {
    "sheet": [(0x0000, 0x08FF), (0x0E00, 0x200B), (0x200E, 0xFFFF)],
    "syllables": [(0x0900, 0x0DFF), (0x200C, 0x200D)],
}
_MOST_LINE = 240  # characters, so that a page holds at least one line of each part


def draw(wall: Wall) -> bytes:
    """The page as PDF: the largest letters with which all fits, else the smallest and the longest parts cut short."""
    parts = tuple(replace(part, lines=tuple(map(_short, part.lines))) for part in sections(wall))
    with closing(_Page(wall)) as page:
        size_pt = next((size_pt for size_pt in _SIZES_PT if page.fits(parts, size_pt)), _SIZES_PT[-1])
        kept = [len(part.lines) for part in parts]
        shown = parts
        while not page.fits(shown, size_pt):
            kept[_longest(parts, kept)] -= 1
            shown = tuple(_cut(wall, part, kept_n) for part, kept_n in zip(parts, kept, strict=True))
        return page.pdf(shown, size_pt)


def _short(line: str) -> str:
    return textwrap.shorten(plain(line), _MOST_LINE, placeholder="…")


def _longest(parts: tuple[Section, ...], kept: list[int]) -> int:
    """Which part to cut next: the one with most lines; a warning only when every other is down to one line."""
    return max(range(len(parts)), key=lambda index: (kept[index] > 1, not parts[index].framed, kept[index]))


def _cut(wall: Wall, part: Section, kept_n: int) -> Section:
    left_out_n = len(part.lines) - kept_n
    return replace(part, lines=part.lines[:kept_n], rest=more(wall.say, left_out_n)) if left_out_n else part


class _Page:
    """The page, and how high its parts would be on it. Dated by the day, so that the same sheet is the same file."""

    def __init__(self, wall: Wall) -> None:
        self._wall = wall
        self._mirrored = wall.say.right_to_left
        self._pdf = pdf = FPDF(format="A4")
        self._height_mm = cache(self._measured_mm)
        pdf.set_auto_page_break(False)
        pdf.set_margins(_EDGE_MM, _EDGE_MM, _EDGE_MM)
        pdf.c_margin = 0.0
        pdf.set_creation_date(datetime.combine(wall.printed_on, time(), UTC))
        pdf.set_title(wall.garden)
        pdf.set_lang(wall.say.language)
        for family, letters in _LETTERS.items():
            pdf.add_font(family, "", REGULAR, unicode_range=letters)
            pdf.add_font(family, "B", BOLD, unicode_range=letters)
        pdf.set_fallback_fonts(list(_LETTERS)[1:])
        pdf.set_font("sheet", "", _SIZES_PT[0])
        pdf.set_text_shaping(True, direction="rtl" if self._mirrored else "ltr")
        pdf.add_page()

    def fits(self, parts: tuple[Section, ...], size_pt: float) -> bool:
        title_mm = self._height_mm(plain(self._wall.garden), _TITLE_PT, True, 0.0)
        return _EDGE_MM + title_mm + sum(self._part_mm(part, size_pt) for part in parts) <= _FOOT_MM

    def pdf(self, parts: tuple[Section, ...], size_pt: float) -> bytes:
        self._line(plain(self._wall.garden), _TITLE_PT, bold=True)
        for part in parts:
            self._part(part, size_pt)
        self._pdf.set_y(_FOOT_MM + 4.0)
        self._line(footer(self._wall), _FOOTER_PT, bold=True)
        return bytes(self._pdf.output())

    def close(self) -> None:
        """The files of its letters, which the library leaves open."""
        for font in self._pdf.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()

    def _part_mm(self, part: Section, size_pt: float) -> float:
        around_mm = _above_mm(size_pt) + (_FRAME_MM if part.framed else 0.0)
        heading_mm = self._height_mm(part.heading, size_pt * _HEADING, True, 0.0)
        inset_mm = _inset_mm(part, size_pt)
        lines_mm = sum(self._height_mm(line, size_pt, part.framed, inset_mm) for line in part.lines)
        return (
            around_mm + heading_mm + lines_mm + (self._height_mm(part.rest, size_pt, False, 0.0) if part.rest else 0.0)
        )

    def _part(self, part: Section, size_pt: float) -> None:
        pdf = self._pdf
        pdf.set_y(pdf.get_y() + _above_mm(size_pt))
        top_mm = pdf.get_y()
        self._line(part.heading, size_pt * _HEADING, bold=True)
        for line in part.lines:
            self._line(line, size_pt, bold=part.framed, inset_mm=_inset_mm(part, size_pt))
        if part.rest:
            self._line(part.rest, size_pt)
        if part.framed:
            pdf.set_line_width(1.0)
            pdf.rect(_EDGE_MM - 4.0, top_mm - 1.5, _WIDTH_MM + 8.0, pdf.get_y() - top_mm + 3.0)
            pdf.set_y(pdf.get_y() + _FRAME_MM)

    def _line(self, words: str, size_pt: float, *, bold: bool = False, inset_mm: float = 0.0) -> None:
        """A line of text, wrapped; with an inset there is an empty square in it."""
        pdf, line_mm = self._pdf, size_pt * _MM_PER_PT * _LEADING
        if inset_mm:
            side_mm = size_pt * _MM_PER_PT * 0.8
            x_mm = _EDGE_MM + _WIDTH_MM - side_mm if self._mirrored else _EDGE_MM
            pdf.set_line_width(0.4)
            pdf.rect(x_mm, pdf.get_y() + (line_mm - side_mm) / 2, side_mm, side_mm)
        pdf.set_font("sheet", "B" if bold else "", size_pt)
        pdf.set_x(_EDGE_MM if self._mirrored else _EDGE_MM + inset_mm)
        align = "R" if self._mirrored else "L"
        pdf.multi_cell(_WIDTH_MM - inset_mm, line_mm, words, align=align, new_x="LMARGIN", new_y="NEXT")

    def _measured_mm(self, words: str, size_pt: float, bold: bool, inset_mm: float) -> float:
        self._pdf.set_font("sheet", "B" if bold else "", size_pt)
        lines = self._pdf.multi_cell(_WIDTH_MM - inset_mm, text=words, align="L", dry_run=True, output="LINES")
        return len(cast("list[str]", lines)) * size_pt * _MM_PER_PT * _LEADING


def _above_mm(size_pt: float) -> float:
    return 0.6 * size_pt * _MM_PER_PT


def _inset_mm(part: Section, size_pt: float) -> float:
    return size_pt * 0.6 if part.to_tick else 0.0
