"""Draws a season's end: a bar a row with its value beside it, each group filled in its own way."""

from __future__ import annotations

from bot.pictures.looks import colours, more
from bot.pictures.report import Group, Report
from bot.pictures.sheet import GAP, WIDTH, Fill, Sheet

_INSIDE = WIDTH - 2.0 * GAP
_BAR = 30.0
_LONGEST = _INSIDE - 190.0  # the value stands to its end
_FILLS = (Fill.SOLID, Fill.SLANTED, Fill.HOLLOW, Fill.DOTTED)


def draw(report: Report) -> bytes:
    """The picture as PNG."""
    sheet, height = paint(report)
    return sheet.png(height)


def paint(report: Report) -> tuple[Sheet, float]:
    """The sheet with everything on it, and how far down it is used."""
    sheet = Sheet(colours(report.dark), right_to_left=report.say.right_to_left)
    y = sheet.paragraph(GAP, GAP, report.title, 38, _INSIDE, bold=True, most=3)
    y = sheet.paragraph(GAP, y + 2, report.until, 24, _INSIDE, ink=sheet.look.quiet) + 10
    for index, group in enumerate(report.groups):
        y = _group(sheet, report, group, index, y + 10)
    return sheet, y + GAP


def _group(sheet: Sheet, report: Report, group: Group, index: int, y: float) -> float:
    colours = (sheet.look.fourth, sheet.look.first, sheet.look.third, sheet.look.second)
    colour, fill = colours[index % len(colours)], _FILLS[index % len(_FILLS)]
    y = sheet.paragraph(GAP, y, group.heading, 30, _INSIDE, bold=True, most=2) + 4
    most = max((row.value for row in group.rows), default=0.0)
    for row in group.rows:
        y = sheet.paragraph(GAP, y, row.label, 26, _INSIDE, most=2)
        long = _LONGEST * row.value / most if most > 0 else 0.0
        if long >= 2:
            sheet.bar(GAP, y + 3, long, _BAR - 6, colour, fill, sheet.look.paper)
        sheet.text(GAP + (long + 12 if long >= 2 else 0.0), y + 1, row.shown, 24, bold=True)
        y += _BAR + 12
    if group.left_out_n:
        y = sheet.paragraph(GAP, y, more(report.say, group.left_out_n), 24, _INSIDE, ink=sheet.look.quiet)
    return y + 8
