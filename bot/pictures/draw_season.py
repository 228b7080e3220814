"""Draws the seasonal calendar: months across, an entry after another down, each with bars over the weeks it touches."""

from __future__ import annotations

from datetime import date, timedelta

from babel import dates

from bot.core.calendar.entry import EntryKind
from bot.pictures.looks import Colours, colours, more
from bot.pictures.season import Season, SeasonEntry, weeks, when
from bot.pictures.sheet import GAP, WIDTH, Fill, Sheet

_DAY = timedelta(days=1)
_LANE = 30.0
_INSIDE = WIDTH - 2.0 * GAP
_GROUPS = (
    frozenset({EntryKind.SOW, EntryKind.CHIT}),
    frozenset({EntryKind.PLANT, EntryKind.HARDEN_OFF, EntryKind.PLANT_OUT}),
    frozenset({EntryKind.HARVEST}),
)
_FILLS = (Fill.DOTTED, Fill.SLANTED, Fill.SOLID, Fill.HOLLOW)


def draw(season: Season) -> bytes:
    """The picture as PNG."""
    sheet, height = paint(season)
    return sheet.png(height)


def paint(season: Season) -> tuple[Sheet, float]:
    """The sheet with everything on it, and how far down it is used."""
    sheet = Sheet(colours(season.dark), right_to_left=season.say.right_to_left)
    y = _head(sheet, season)
    if not season.shown():
        words = season.say.gettext("Nothing planned yet.")
        return sheet, sheet.paragraph(GAP, y, words, 28, _INSIDE) + GAP
    y = _months(sheet, season, y)
    for entry in season.shown():
        y = _entry(sheet, season, entry, y)
    if season.left_out_n:
        y = sheet.paragraph(GAP, y + 8, more(season.say, season.left_out_n), 26, _INSIDE, bold=True)
    return sheet, _legend(sheet, season, y + 10) + GAP


def _head(sheet: Sheet, season: Season) -> float:
    say = season.say
    y = sheet.paragraph(GAP, GAP, season.garden, 38, _INSIDE, bold=True, most=2)
    first, last = (dates.format_skeleton("yMMMM", on, locale=say.locale) for on in (season.first_on, season.last_on))
    words = say.gettext("Calendar, {first} to {last}", first=first, last=last)
    return sheet.paragraph(GAP, y + 2, words, 24, _INSIDE, ink=sheet.look.quiet) + 14


def _x(season: Season, on: date) -> float:
    """Where a day begins, held within the months shown."""
    months = season.months()
    end = (months[-1] + 31 * _DAY).replace(day=1)
    on = min(max(on, months[0]), end)
    return GAP + _INSIDE * (on - months[0]).days / (end - months[0]).days


def _months(sheet: Sheet, season: Season, y: float) -> float:
    months, room = season.months(), _INSIDE / len(season.months())
    for pattern in ("LLLL", "LLL", "LLLLL"):
        names = [dates.format_date(month, pattern, locale=season.say.locale) for month in months]
        if max(sheet.width(name, 22, bold=True) for name in names) <= room - 10:
            break
    for month, name in zip(months, names, strict=True):
        sheet.text(_x(season, month) + 5, y, name, 22, bold=True, ink=sheet.look.quiet)
    return y + 38


def _entry(sheet: Sheet, season: Season, entry: SeasonEntry, y: float) -> float:
    y = sheet.paragraph(GAP, y, entry.text, 26, _INSIDE, bold=True, most=3)
    y = sheet.paragraph(GAP, y, when(season.say, entry), 24, _INSIDE, ink=sheet.look.quiet, most=2) + 4
    _lane(sheet, season, y)
    colour, fill = _appearance(sheet.look, _group(entry.kind))
    for first_on, last_on in entry.times:
        start_on, end_on = weeks(first_on, last_on, season.say.locale.first_week_day)
        start, end = _x(season, start_on), _x(season, end_on + _DAY)
        sheet.bar(start, y + 3, end - start, _LANE - 6, colour, fill, sheet.look.stripe)
    return y + _LANE + 20


def _lane(sheet: Sheet, season: Season, y: float) -> None:
    """An empty lane with a short stroke where each week begins and a long one where each month does."""
    sheet.box(GAP, y, _INSIDE, _LANE, sheet.look.stripe)
    months = season.months()
    on, _ = weeks(months[0], months[0], season.say.locale.first_week_day)
    while _x(season, on) < WIDTH - GAP:
        if on > months[0]:
            sheet.line(_x(season, on), y + _LANE - 7, _x(season, on), y + _LANE, sheet.look.grid)
        on += 7 * _DAY
    for month in months[1:]:
        sheet.line(_x(season, month), y, _x(season, month), y + _LANE, sheet.look.rule)


def _group(kind: EntryKind) -> int:
    return next((index for index, kinds in enumerate(_GROUPS) if kind in kinds), len(_GROUPS))


def _appearance(colours: Colours, group: int) -> tuple[str, Fill]:
    return (colours.first, colours.second, colours.fourth, colours.third)[group], _FILLS[group]


def _legend(sheet: Sheet, season: Season, y: float) -> float:
    say = season.say
    names = (say.gettext("sowing"), say.gettext("planting"), say.gettext("harvest"), say.gettext("other work"))
    used = sorted({_group(entry.kind) for entry in season.shown()})
    for group in used:
        colour, fill = _appearance(sheet.look, group)
        sheet.bar(GAP, y + 3, 60, 24, colour, fill, sheet.look.paper)
        y = sheet.paragraph(GAP + 76, y, names[group], 24, _INSIDE - 76) + 6
    words = say.gettext("Each bar shows whole weeks.")
    return sheet.paragraph(GAP, y, words, 24, _INSIDE, ink=sheet.look.quiet)
