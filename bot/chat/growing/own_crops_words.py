"""The garden's own crops in words: what is known of each, and the five questions about one."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from babel.dates import get_month_names

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.wire.message import Button
from bot.core.growing.crop import Crop
from bot.crops.own import Frost, OwnCrop
from bot.i18n import Say

__all__ = ["APART_CM", "Step", "about", "listed", "question", "whole"]

#: Distances that a button offers, centimetres.
APART_CM = (10, 20, 30, 45, 60, 90)
_SHOWN_N = 12
_ROW_N = 4


class Step(StrEnum):
    """The questions, in the order in which they are asked; the letter is what a button carries."""

    EATEN = "e"
    FROST = "f"
    OUT = "o"
    FROM = "h"
    UNTIL = "u"
    APART = "a"


def listed(say: Say, crops: Mapping[str, Crop], own: Mapping[str, OwnCrop], *, organiser: bool) -> str:
    """Every crop of the garden's own with what is known of it, and how to add one."""
    how = say.gettext(
        "An organiser adds one so: /own kiwano as melons. Or alone, and I ask five questions: /own kiwano"
    )
    if not own:
        return lines([bold(say.gettext("This garden has no crops of its own yet.")), how])
    shown = [about(say, crops, one) for one in list(own.values())[:_SHOWN_N]]
    rest = len(own) - len(shown)
    more = say.ngettext("And {n} more.", "And {n} more.", rest) if rest > 0 else None
    tap = say.gettext("Tap a name to say more of it.") if organiser else None
    return lines([bold(say.gettext("This garden's own crops:")), *shown, more, how, tap])


def about(say: Say, crops: Mapping[str, Crop], own: OwnCrop) -> str:
    """One line: as what it is treated, by the garden's own word."""
    name = safe(own.name, 40)
    if own.like in crops:
        return say.gettext(
            "{name}: as {crop}, by this garden's own word.", name=name, crop=names.crop(say, crops, own.like)
        )
    if own.frost is None:
        return say.gettext(
            "{name}: nobody has said what it is like. I protect it from frost and call it no food.", name=name
        )
    known = {
        Frost.KILLS: say.gettext("{name}: frost kills it, by this garden's own word.", name=name),
        Frost.MARKS: say.gettext("{name}: it stands a light frost, by this garden's own word.", name=name),
        Frost.STANDS: say.gettext("{name}: it stands the winter, by this garden's own word.", name=name),
    }
    return known[own.frost]


def whole(say: Say, crops: Mapping[str, Crop], own: OwnCrop) -> str:
    """All that was said of it."""
    months = get_month_names("wide", context="stand-alone", locale=say.locale)
    eaten = {
        True: say.gettext("It is eaten. Eat only what you are sure of."),
        False: say.gettext("It is not food."),
        None: None,
    }[own.eaten]
    out = say.gettext("It goes out in: {month}.", month=months[own.out]) if own.out else None
    harvest = (
        say.gettext("Harvest: {first} to {last}.", first=months[own.harvest[0]], last=months[own.harvest[1]])
        if own.harvest
        else None
    )
    apart = say.gettext("{n} cm apart.", n=say.number(own.apart_cm)) if own.apart_cm else None
    change = say.gettext("Wrong? Write /own and its name, and say it again.")
    return lines([about(say, crops, own), eaten, out, harvest, apart, change])


def question(say: Say, number: int, own: OwnCrop, step: Step) -> tuple[str, list[list[Button]]]:
    """One question with its answers; the last passes on to the next. number: of the row, for the buttons."""
    name = safe(own.name, 40)
    months = get_month_names("abbreviated", context="stand-alone", locale=say.locale)
    grid = [(months[month], f"{step}{month}") for month in range(1, 13)]
    text, answers = {
        Step.EATEN: (
            say.gettext("{name}, 1 of 5: is it grown to be eaten?", name=name),
            [(say.gettext("Yes"), "ey"), (say.gettext("No"), "en")],
        ),
        Step.FROST: (
            say.gettext("{name}, 2 of 5: what does frost do to it?", name=name),
            [
                (say.gettext("Kills it"), f"f{Frost.KILLS}"),
                (say.gettext("A light one: little"), f"f{Frost.MARKS}"),
                (say.gettext("It stands winter"), f"f{Frost.STANDS}"),
            ],
        ),
        Step.OUT: (say.gettext("{name}, 3 of 5: in which month does it go outdoors?", name=name), grid),
        Step.FROM: (say.gettext("{name}, 4 of 5: from which month on is it picked?", name=name), grid),
        Step.UNTIL: (say.gettext("{name}, 4 of 5: until which month?", name=name), grid),
        Step.APART: (
            say.gettext("{name}, 5 of 5: how many centimetres apart?", name=name),
            [(say.number(cm), f"a{cm}") for cm in APART_CM],
        ),
    }[step]
    wide = 1 if step is Step.FROST else _ROW_N
    buttons = [(label, f"own:{number}:{data}") for label, data in answers]
    rows = [buttons[n : n + wide] for n in range(0, len(buttons), wide)]
    return text, [*rows, [(say.gettext("I don't know"), f"own:{number}:{step}?")]]
