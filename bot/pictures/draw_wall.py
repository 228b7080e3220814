"""Sets the sheet for the gate on one A4 page, in black, as large as it fits. Only the worker process may import this."""

from __future__ import annotations

import textwrap
from dataclasses import replace
from datetime import UTC, datetime, time

from fpdf import FPDF

from bot.pictures.letters import BOLD, REGULAR, plain
from bot.pictures.season import more
from bot.pictures.wall import Section, Wall, footer, sections

__all__ = ["draw"]

_EDGE_MM = 16.0
_WIDTH_MM = 210.0 - 2 * _EDGE_MM
_FOOT_MM = 276.0  # where the footer begins
_SIZES_PT = (22.0, 19.0, 17.0, 15.5, 14.0, 13.0, 12.0, 11.0)  # the least is still read standing before the gate
_MM_PER_PT = 25.4 / 72.0
_LEADING = 1.3
_MOST_LINE = 240  # characters, so that a page holds at least one line of each part


def draw(wall: Wall) -> bytes:
    """The page as PDF: the largest letters with which all fits, else the smallest and the longest parts cut short."""
    parts = tuple(replace(part, lines=tuple(map(_short, part.lines))) for part in sections(wall))
    kept = {part.heading: len(part.lines) for part in parts}
    for size_pt in _SIZES_PT:
        page = _Page(wall, parts, kept, size_pt)
        if page.over_mm <= 0.0:
            return page.pdf()
    while page.over_mm > 0.0:
        least_mm = 3.0 * _SIZES_PT[-1] * _MM_PER_PT * _LEADING  # a line of text seldom wraps to more than three
        for _ in range(max(1, int(page.over_mm / least_mm))):
            kept[_longest(parts, kept).heading] -= 1
        page = _Page(wall, parts, kept, _SIZES_PT[-1])
    return page.pdf()


def _longest(parts: tuple[Section, ...], kept: dict[str, int]) -> Section:
    """The part to cut next: the one with most lines, a warning only when every other part is down to one line."""
    return max(parts, key=lambda part: (kept[part.heading] > 1, not part.framed, kept[part.heading]))


def _short(line: str) -> str:
    return textwrap.shorten(plain(line), _MOST_LINE, placeholder="…")


class _Page:
    """One try: the parts set in one size. kept: how many lines of a part, by heading. over_mm: too much, if positive."""

    def __init__(self, wall: Wall, parts: tuple[Section, ...], kept: dict[str, int], size_pt: float) -> None:
        self._wall, self._kept, self._size_pt = wall, kept, size_pt
        self._pdf = _empty(wall)
        self._line(plain(wall.garden), 26.0, bold=True)
        for part in parts:
            self._part(part)
        self.over_mm = self._pdf.get_y() - _FOOT_MM
        self._pdf.set_y(_FOOT_MM + 4.0)
        self._line(footer(wall), 11.0, bold=True)

    def pdf(self) -> bytes:
        return bytes(self._pdf.output())

    def _part(self, part: Section) -> None:
        pdf, size_pt = self._pdf, self._size_pt
        pdf.set_y(pdf.get_y() + 0.6 * size_pt * _MM_PER_PT)
        top_mm = pdf.get_y()
        self._line(part.heading, size_pt * 1.2, bold=True)
        shown = part.lines[: self._kept[part.heading]]
        for line in shown:
            self._line(line, size_pt, bold=part.framed, inset_mm=size_pt * 0.6 if part.to_tick else 0.0)
        if len(shown) < len(part.lines):
            self._line(more(self._wall.say, len(part.lines) - len(shown)), size_pt)
        if part.framed:
            pdf.set_line_width(1.0)
            pdf.rect(_EDGE_MM - 4.0, top_mm - 1.5, _WIDTH_MM + 8.0, pdf.get_y() - top_mm + 3.0)
            pdf.set_y(pdf.get_y() + 3.0)

    def _line(self, words: str, size_pt: float, *, bold: bool = False, inset_mm: float = 0.0) -> None:
        """A line of text, wrapped; with an inset there is an empty square in it."""
        pdf, mirrored = self._pdf, self._wall.say.right_to_left
        pdf.set_font("sheet", "B" if bold else "", size_pt)
        height_mm = size_pt * _MM_PER_PT * _LEADING
        if inset_mm:
            side_mm = size_pt * _MM_PER_PT * 0.8
            x_mm = _EDGE_MM + _WIDTH_MM - side_mm if mirrored else _EDGE_MM
            pdf.set_line_width(0.4)
            pdf.rect(x_mm, pdf.get_y() + (height_mm - side_mm) / 2, side_mm, side_mm)
        pdf.set_x(_EDGE_MM if mirrored else _EDGE_MM + inset_mm)
        align = "R" if mirrored else "L"
        pdf.multi_cell(_WIDTH_MM - inset_mm, height_mm, words, align=align, new_x="LMARGIN", new_y="NEXT")


def _empty(wall: Wall) -> FPDF:
    """A page without anything on it. Dated by the day, so that the same sheet is the same file."""
    pdf = FPDF(format="A4")
    pdf.set_auto_page_break(False)
    pdf.set_margins(_EDGE_MM, _EDGE_MM, _EDGE_MM)
    pdf.c_margin = 0.0
    pdf.set_creation_date(datetime.combine(wall.printed_on, time(), UTC))
    pdf.set_title(wall.garden)
    pdf.set_lang(wall.say.language)
    pdf.add_font("sheet", "", REGULAR)
    pdf.add_font("sheet", "B", BOLD)
    pdf.set_font("sheet", "", _SIZES_PT[0])
    pdf.set_text_shaping(True, direction="rtl" if wall.say.right_to_left else "ltr")
    pdf.add_page()
    return pdf
