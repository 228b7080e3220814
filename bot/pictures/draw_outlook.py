"""Draws the coming nights: a row an evening, air and ground as bands on one scale, gusts beside them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bot.core.odds import Estimate
from bot.pictures.looks import look
from bot.pictures.outlook import Outlook, Row, Threshold
from bot.pictures.sheet import GAP, WIDTH, Fill, Sheet

__all__ = ["draw", "paint"]

_LEFT, _RIGHT = 200.0, 572.0  # of the scale
_VALUE = 62.0  # room for a value after the warm end of a band
_GUST = 584.0
_ROW = 86.0
_LANES = (22.0, 60.0)  # middle of the air's and of the ground's band in a row
_BAND = 18.0
_GUST_SCALE_MS = 30.0
_TICK_C = 5


def draw(outlook: Outlook) -> bytes:
    """The picture as PNG."""
    sheet, height = paint(outlook)
    return sheet.png(height)


def paint(outlook: Outlook) -> tuple[Sheet, float]:
    """The sheet with everything on it, and how far down it is used."""
    sheet = Sheet(look(outlook.dark), right_to_left=outlook.say.right_to_left)
    y = _head(sheet, outlook)
    rows, shown = outlook.rows(), outlook.shown()
    if not rows:
        return sheet, _nothing_known(sheet, outlook, y)
    scale = _scale(rows, shown)
    top = y + 34.0 * len(shown)
    chart = top + 48.0
    bottom = chart + _ROW * len(rows)
    for index, row in enumerate(rows):
        sheet.box(0, chart + _ROW * index, WIDTH, _ROW, _ground(sheet, index))
        del row
    _ticks(sheet, outlook, scale, top, chart, bottom)
    _limits(sheet, outlook, scale, shown, y, bottom)
    for index, row in enumerate(rows):
        _row(sheet, outlook, scale, row, chart + _ROW * index, _ground(sheet, index))
    return sheet, _legend(sheet, outlook, bottom + 20.0) + GAP


@dataclass(frozen=True, slots=True)
class _Scale:
    """Whole degrees at both ends of the scale."""

    low_c: float
    high_c: float

    def x(self, value_c: float) -> float:
        return _LEFT + (_RIGHT - _VALUE - _LEFT) * (value_c - self.low_c) / (self.high_c - self.low_c)


def _scale(rows: tuple[Row, ...], shown: tuple[Threshold, ...]) -> _Scale:
    values_c = [0.0, *(one.threshold_c for one in shown)]
    for row in rows:
        if row.night is not None:
            values_c += [*row.night.air.band(), *row.night.ground.band()]
    return _Scale(math.floor(min(values_c)) - 1.0, math.ceil(max(values_c)) + 1.0)


def _head(sheet: Sheet, outlook: Outlook) -> float:
    say = outlook.say
    y = sheet.paragraph(GAP, GAP, outlook.garden, 38, WIDTH - 2 * GAP, bold=True, most=2)
    about = say.gettext("The coldest of each night, and the day's gusts.")
    if outlook.issued_at is not None:
        day, clock = say.day(say.local(outlook.issued_at).date()), say.clock(outlook.issued_at)
        about = say.gettext("The coldest of each night, and the day's gusts. Forecast of {day}, {clock}.", day=day, clock=clock)
    return sheet.paragraph(GAP, y + 2, about, 24, WIDTH - 2 * GAP, ink=sheet.look.quiet) + 14


def _nothing_known(sheet: Sheet, outlook: Outlook, y: float) -> float:
    words = outlook.say.gettext("No night of the forecast is known well enough to show.")
    return sheet.paragraph(GAP, y, words, 28, WIDTH - 2 * GAP) + GAP


def _ground(sheet: Sheet, index: int) -> str:
    return sheet.look.paper if index % 2 else sheet.look.stripe


def _ticks(sheet: Sheet, outlook: Outlook, scale: _Scale, top: float, chart: float, bottom: float) -> None:
    say, colours = outlook.say, sheet.look
    sheet.text(GAP, top + 14, say.gettext("Night of"), 24, bold=True)
    sheet.text(_GUST, top + 14, say.gettext("Gusts"), 24, bold=True)
    first = math.ceil(scale.low_c / _TICK_C) * _TICK_C
    for value_c in range(first, math.floor(scale.high_c) + 1, _TICK_C):
        x = scale.x(value_c)
        sheet.line(x, chart, x, bottom, colours.rule if value_c == 0 else colours.grid, 4 if value_c == 0 else 2)
        sheet.text(x, top + 16, say.celsius(value_c), 22, ink=colours.quiet, ground=colours.paper, anchor="middle")


def _limits(
    sheet: Sheet, outlook: Outlook, scale: _Scale, shown: tuple[Threshold, ...], y: float, bottom: float
) -> None:
    for index, one in enumerate(shown):
        sheet.dashes(scale.x(one.threshold_c), y + 34 * index + 30, bottom, sheet.look.third)
    for index, one in enumerate(shown):
        _limit(sheet, outlook, one, scale.x(one.threshold_c), y + 34 * index)


def _limit(sheet: Sheet, outlook: Outlook, one: Threshold, x: float, y: float) -> None:
    words = outlook.say.gettext("{label}: {limit}", label=one.label, limit=outlook.say.celsius_exact(one.threshold_c))
    [line] = sheet.wrapped(words, 24, WIDTH - 2 * GAP, bold=True, most=1)
    length = sheet.width(line, 24, bold=True)
    start = min(x + 14, WIDTH - GAP - length)
    sheet.text(max(start, GAP), y, line, 24, bold=True, ink=sheet.look.third, ground=sheet.look.paper)
    sheet.flag(x, y + 30, sheet.look.third)


def _row(sheet: Sheet, outlook: Outlook, scale: _Scale, row: Row, y: float, ground: str) -> None:
    say, colours = outlook.say, sheet.look
    sheet.text(GAP, y + 26, say.day(row.on), 26, bold=True)
    if row.night is None:
        sheet.text(_LEFT, y + 28, say.gettext("not known"), 24, ink=colours.quiet, ground=ground)
    else:
        _band(sheet, outlook, scale, row.night.air, y + _LANES[0], ground, is_air=True)
        _band(sheet, outlook, scale, row.night.ground, y + _LANES[1], ground, is_air=False)
    _gust(sheet, outlook, row.gust_ms, y)


def _band(
    sheet: Sheet, outlook: Outlook, scale: _Scale, estimate: Estimate, y: float, ground: str, *, is_air: bool
) -> None:
    low, high = (scale.x(value_c) for value_c in estimate.band())
    sheet.text(high + 8, y - 14, outlook.say.celsius(estimate.mean_c), 24, ground=ground)
    _mark(sheet, low, scale.x(estimate.mean_c), high, y, ground, is_air=is_air)


def _mark(sheet: Sheet, low: float, middle: float, high: float, y: float, ground: str, *, is_air: bool) -> None:
    colour = sheet.look.first if is_air else sheet.look.second
    fill = Fill.HOLLOW if is_air else Fill.SLANTED
    sheet.bar(low, y - _BAND / 2, high - low, _BAND, colour, fill, ground)
    (sheet.disc if is_air else sheet.diamond)(middle, y, 9 if is_air else 12, colour, ground)


def _gust(sheet: Sheet, outlook: Outlook, gust_ms: float | None, y: float) -> None:
    if gust_ms is None:
        sheet.text(_GUST, y + 28, outlook.say.gettext("not known"), 22, ink=sheet.look.quiet)
        return
    sheet.text(_GUST, y + 10, outlook.say.wind(gust_ms), 26)
    length = (WIDTH - GAP - _GUST) * min(gust_ms / _GUST_SCALE_MS, 1.0)
    sheet.box(_GUST, y + 54, max(length, 4), 12, sheet.look.fourth)


def _legend(sheet: Sheet, outlook: Outlook, y: float) -> float:
    say, paper = outlook.say, sheet.look.paper
    lines = (say.gettext("in the air, at head height"), say.gettext("at the ground, where low plants are"))
    for is_air, words in zip((True, False), lines, strict=True):
        _mark(sheet, GAP, GAP + 34, GAP + 68, y + 15, paper, is_air=is_air)
        y = sheet.paragraph(GAP + 84, y, words, 24, WIDTH - 2 * GAP - 84) + 6
    sheet.dashes(GAP + 34, y, y + 30, sheet.look.third)
    y = sheet.paragraph(GAP + 84, y, say.gettext("harm to the plants named, when colder"), 24, WIDTH - 2 * GAP - 84) + 6
    words = say.gettext("Mark: the most likely value. Bar: nine nights in ten end inside it.")
    return sheet.paragraph(GAP, y, words, 24, WIDTH - 2 * GAP, ink=sheet.look.quiet)
