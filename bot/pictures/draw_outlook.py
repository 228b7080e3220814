"""Draws the coming nights: a row an evening, air and ground as bands on one scale, gusts beside them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bot.core.weather.odds import Estimate
from bot.pictures.looks import colours
from bot.pictures.outlook import Outlook, Row, Threshold
from bot.pictures.sheet import GAP, LEAST_TEXT, WIDTH, Fill, Sheet

_LEFT, _RIGHT = 218.0, 572.0  # of the scale
_LENGTH = _RIGHT - _LEFT - 70.0  # the rest is room for a value after the warm end of a band
_GUST = 584.0
_ROW = 86.0
_LANES = (22.0, 60.0)  # middle of the air's and of the ground's band in a row
_BAND = 18.0
_GUST_SCALE_MS = 30.0
_FLAG = 16.0  # from the middle of a flag to its words
_ROOMY = 240.0  # enough for a name of two lines
_STEPS_C = (2, 5, 10, 20, 50, 100)


def draw(outlook: Outlook) -> bytes:
    """The picture as PNG."""
    sheet, height = paint(outlook)
    return sheet.png(height)


def paint(outlook: Outlook) -> tuple[Sheet, float]:
    """The sheet with everything on it, and how far down it is used."""
    sheet = Sheet(colours(outlook.dark), right_to_left=outlook.say.right_to_left)
    y = _head(sheet, outlook)
    rows, shown = outlook.rows(), outlook.shown()
    if not rows:
        return sheet, _nothing_known(sheet, outlook, y)
    scale = _scale(sheet, outlook, rows, shown)
    names, y = _names(sheet, outlook, scale, shown, y)
    chart = y + 48.0
    bottom = chart + _ROW * len(rows)
    placed = [
        _Placed(row, chart + _ROW * index, sheet.look.paper if index % 2 else sheet.look.stripe)
        for index, row in enumerate(rows)
    ]
    for one in placed:
        _bars(sheet, scale, one)
    _lines(sheet, scale, names, chart, bottom)
    for name in names:
        _name(sheet, name)
    _axis(sheet, outlook, scale, chart)
    for one in placed:
        _values(sheet, outlook, scale, one)
    return sheet, _legend(sheet, outlook, bottom + 20.0) + GAP


@dataclass(frozen=True, slots=True)
class _Name:
    """A threshold's name, line by line, beside the flag on top of its dashes; before or after it, as there is room."""

    x: float
    y: float
    lines: list[str]
    is_after: bool


@dataclass(frozen=True, slots=True)
class _Placed:
    """A row at its height, on its ground."""

    row: Row
    y: float
    ground: str

    def lanes(self) -> tuple[tuple[Estimate, float, bool], ...]:
        """Each estimate, the middle of its lane, and whether it is the air's."""
        night = self.row.night
        if night is None:
            return ()
        return (night.air, self.y + _LANES[0], True), (night.ground, self.y + _LANES[1], False)


@dataclass(frozen=True, slots=True)
class _Scale:
    """Whole degrees at both ends of the scale, and from one figure on it to the next."""

    low_c: int
    high_c: int
    step_c: int

    def x(self, value_c: float) -> float:
        return _LEFT + _LENGTH * (value_c - self.low_c) / (self.high_c - self.low_c)

    def ticks(self) -> Sequence[int]:
        """The figures on it; both ends where no two round ones have room, since one alone is no axis."""
        round_c = range(math.ceil(self.low_c / self.step_c) * self.step_c, self.high_c + 1, self.step_c)
        return round_c if len(round_c) > 1 else (self.low_c, self.high_c)


def _scale(sheet: Sheet, outlook: Outlook, rows: tuple[Row, ...], shown: tuple[Threshold, ...]) -> _Scale:
    values_c = [0.0, *(one.threshold_c for one in shown)]
    for row in rows:
        if row.night is not None:
            values_c += [*row.night.air.band(), *row.night.ground.band()]
    low_c, high_c = math.floor(min(values_c)) - 1, math.ceil(max(values_c)) + 1
    room = 6.0 + max(sheet.width(outlook.say.celsius(value_c), 22) for value_c in (low_c, high_c))
    least_c = room / _LENGTH * (high_c - low_c)
    return _Scale(low_c, high_c, next(step_c for step_c in _STEPS_C if step_c >= least_c))


def _head(sheet: Sheet, outlook: Outlook) -> float:
    say, width, quiet = outlook.say, WIDTH - 2 * GAP, sheet.look.quiet
    y = sheet.paragraph(GAP, GAP, outlook.garden, 38, width, bold=True, most=2)
    about = say.gettext("Coldest of each night, strongest gust of each day")
    y = sheet.paragraph(GAP, y + 2, about, 24, width, ink=quiet, most=2)
    if outlook.issued_at is not None:
        day, clock = say.day(say.local(outlook.issued_at).date()), say.clock(outlook.issued_at)
        issued = say.gettext("Forecast of {day}, {clock}", day=day, clock=clock)
        y = sheet.paragraph(GAP, y, issued, 24, width, ink=quiet, most=2)
    return y + 14


def _nothing_known(sheet: Sheet, outlook: Outlook, y: float) -> float:
    words = outlook.say.gettext("I do not know any night well enough to show it.")
    return sheet.paragraph(GAP, y, words, 28, WIDTH - 2 * GAP) + GAP


def _bars(sheet: Sheet, scale: _Scale, placed: _Placed) -> None:
    sheet.box(0, placed.y, WIDTH, _ROW, placed.ground)
    for estimate, y, is_air in placed.lanes():
        low, high = (scale.x(value_c) for value_c in estimate.band())
        _bar(sheet, low, high, y, placed.ground, is_air=is_air)


def _bar(sheet: Sheet, low: float, high: float, y: float, ground: str, *, is_air: bool) -> None:
    colour, fill = (sheet.look.first, Fill.HOLLOW) if is_air else (sheet.look.second, Fill.SLANTED)
    sheet.bar(low, y - _BAND / 2, high - low, _BAND, colour, fill, ground)


def _mark(sheet: Sheet, x: float, y: float, ground: str, *, is_air: bool) -> None:
    if is_air:
        sheet.disc(x, y, 9, sheet.look.first, ground)
    else:
        sheet.diamond(x, y, 12, sheet.look.second, ground)


def _names(
    sheet: Sheet, outlook: Outlook, scale: _Scale, shown: tuple[Threshold, ...], y: float
) -> tuple[list[_Name], float]:
    """The thresholds' names one below another, and the y below them."""
    names = []
    for one in shown:
        x, limit = scale.x(one.threshold_c), outlook.say.celsius_exact(one.threshold_c)
        words = outlook.say.gettext("{limit}: {label}", limit=limit, label=one.label)
        before, after = x - _FLAG - GAP, WIDTH - GAP - x - _FLAG
        is_after = after >= min(before, _ROOMY)
        lines = sheet.wrapped(words, 24, after if is_after else before, bold=True, most=2)
        names.append(_Name(x, y, lines, is_after))
        y += 30.0 * len(lines) + 6.0
    return names, y


def _name(sheet: Sheet, name: _Name) -> None:
    start, anchor = (name.x + _FLAG, "start") if name.is_after else (name.x - _FLAG, "end")
    ink, paper = sheet.look.third, sheet.look.paper
    for index, line in enumerate(name.lines):
        sheet.text(start, name.y + 30.0 * index, line, 24, bold=True, ink=ink, ground=paper, anchor=anchor)
    sheet.flag(name.x, name.y + 24, ink)


def _lines(sheet: Sheet, scale: _Scale, names: list[_Name], chart: float, bottom: float) -> None:
    for value_c in sorted({0, *scale.ticks()}):
        x, is_zero = scale.x(value_c), value_c == 0
        sheet.line(x, chart, x, bottom, sheet.look.rule if is_zero else sheet.look.grid, 4 if is_zero else 2)
    for name in names:
        sheet.dashes(name.x, name.y + 24, bottom, sheet.look.third)


def _axis(sheet: Sheet, outlook: Outlook, scale: _Scale, chart: float) -> None:
    say, colours = outlook.say, sheet.look
    sheet.text(GAP, chart - 36, say.gettext("Night of"), 24, bold=True)
    sheet.text(_GUST, chart - 36, say.gettext("Gusts"), 24, bold=True)
    for value_c in scale.ticks():
        words = say.celsius(value_c)
        sheet.text(scale.x(value_c), chart - 34, words, 22, ink=colours.quiet, ground=colours.paper, anchor="middle")


def _values(sheet: Sheet, outlook: Outlook, scale: _Scale, placed: _Placed) -> None:
    say = outlook.say
    _day(sheet, say.day(placed.row.on), placed.y)
    if placed.row.night is None:
        words, quiet = say.gettext("not known"), sheet.look.quiet
        sheet.text(_LEFT + 12, placed.y + 28, words, 24, ink=quiet, ground=placed.ground)
    for estimate, y, is_air in placed.lanes():
        high = scale.x(estimate.band()[1])
        sheet.text(high + 8, y - 15, say.celsius(estimate.mean_c), 24, ground=placed.ground)
        _mark(sheet, scale.x(estimate.mean_c), y, placed.ground, is_air=is_air)
    _gust(sheet, outlook, placed.row.gust_ms, placed.y)


def _day(sheet: Sheet, words: str, y: float) -> None:
    lines = sheet.wrapped(words, 24, _LEFT - GAP - 6, bold=True, most=2)
    for index, line in enumerate(lines):
        sheet.text(GAP, y + 43 - 15 * len(lines) + 30 * index, line, 24, bold=True)


def _gust(sheet: Sheet, outlook: Outlook, gust_ms: float | None, y: float) -> None:
    if gust_ms is None:
        words, quiet = outlook.say.gettext("not known"), sheet.look.quiet
        sheet.paragraph(_GUST, y + 14, words, 22, WIDTH - GAP - _GUST, ink=quiet, most=2)
        return
    words, room = outlook.say.wind(gust_ms), WIDTH - GAP - _GUST
    size = next((size for size in (26, 24) if sheet.width(words, size) <= room), LEAST_TEXT)
    sheet.text(_GUST, y + 10, words, size)
    length = (WIDTH - GAP - _GUST) * min(gust_ms / _GUST_SCALE_MS, 1.0)
    sheet.box(_GUST, y + 54, max(length, 4), 12, sheet.look.fourth)


def _legend(sheet: Sheet, outlook: Outlook, y: float) -> float:
    say, paper, start = outlook.say, sheet.look.paper, GAP + 84.0
    lines = (say.gettext("in the air, at head height"), say.gettext("at the ground, where low plants are"))
    for is_air, words in zip((True, False), lines, strict=True):
        _bar(sheet, GAP, GAP + 68, y + 15, paper, is_air=is_air)
        _mark(sheet, GAP + 34, y + 15, paper, is_air=is_air)
        y = sheet.paragraph(start, y, words, 24, WIDTH - GAP - start) + 6
    if outlook.thresholds:
        sheet.dashes(GAP + 34, y, y + 30, sheet.look.third)
        y = sheet.paragraph(start, y, say.gettext("colder than this damages these plants"), 24, WIDTH - GAP - start) + 6
    words = say.gettext("Mark: most likely. Bar: 9 times in 10 it is in here.")
    return sheet.paragraph(GAP, y, words, 24, WIDTH - 2 * GAP, ink=sheet.look.quiet)
