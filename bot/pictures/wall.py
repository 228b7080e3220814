"""What the sheet for the gate says: one A4 page to print and pin up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from babel import dates

from bot.i18n import Say


@dataclass(frozen=True, slots=True)
class Wall:
    """Lines already worded, in their order. printed_on: the garden's day; its week and month are what is shown."""

    say: Say
    garden: str
    printed_on: date
    warnings: tuple[str, ...]
    jobs: tuple[str, ...]
    on_call: tuple[str, ...]
    calendar: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and its lines. framed: a warning; to_tick: each line gets an empty square before it.

    rest: said below the lines when they are not all.
    """

    heading: str
    lines: tuple[str, ...]
    framed: bool = False
    to_tick: bool = False
    rest: str = ""


def sections(wall: Wall) -> tuple[Section, ...]:
    """Each part of the sheet from top to bottom; an empty part says so."""
    say = wall.say
    month = dates.format_skeleton("yMMMM", wall.printed_on, locale=say.locale)
    none_now = say.gettext("There were none when this was printed.")
    return (
        Section(say.gettext("Warnings now"), wall.warnings or (none_now,), framed=bool(wall.warnings)),
        Section(say.gettext("This week's jobs"), wall.jobs or (none_now,), to_tick=bool(wall.jobs)),
        Section(say.gettext("On call"), wall.on_call or (say.gettext("Nobody yet: ask an organiser."),)),
        Section(say.gettext("Calendar, {month}", month=month), wall.calendar or (say.gettext("Nothing planned yet."),)),
    )


def footer(wall: Wall) -> str:
    return wall.say.gettext("Printed on {day}; the forecast may have changed.", day=wall.say.long_day(wall.printed_on))


def caption(wall: Wall) -> str:
    """What the file is, in whole sentences."""
    say = wall.say
    about = say.gettext(
        "The sheet for the gate of {garden}, one A4 page: warnings, this week's jobs, who is on call, the calendar.",
        garden=wall.garden,
    )
    return f"{about} {footer(wall)}"
