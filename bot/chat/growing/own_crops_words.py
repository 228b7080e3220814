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
        "An organiser can add one: /own kiwano as melons. Or send only the name, and I ask five questions: /own kiwano"
    )
    if not own:
        return lines([bold(say.gettext("This garden has no crops of its own yet.")), how])
    shown = [about(say, crops, one) for one in list(own.values())[:_SHOWN_N]]
    rest = len(own) - len(shown)
    more = say.ngettext("And {n} more.", "And {n} more.", rest) if rest > 0 else None
    tap = say.gettext("Tap a name to tell me more about it.") if organiser else None
    return lines([bold(say.gettext("This garden's own crops:")), *shown, more, how, tap])


def about(say: Say, crops: Mapping[str, Crop], own: OwnCrop) -> str:
    """One line: as what it is treated, by the garden's own word."""
    name = safe(own.name, 40)
    if own.like in crops:
        return say.gettext(
            "{name}: like {crop}. This garden said so.", name=name, crop=names.crop(say, crops, own.like)
        )
    if own.frost is None:
        return say.gettext(
            "{name}: nobody has told me about it yet. I protect it from frost. I don't call it food.", name=name
        )
    known = {
        Frost.KILLS: say.gettext("{name}: frost kills it. This garden said so.", name=name),
        Frost.MARKS: say.gettext("{name}: a light frost does little harm. This garden said so.", name=name),
        Frost.STANDS: say.gettext("{name}: it survives the winter. This garden said so.", name=name),
    }
    return known[own.frost]


def whole(say: Say, crops: Mapping[str, Crop], own: OwnCrop) -> str:
    """All that was said of it."""
    months = get_month_names("wide", context="stand-alone", locale=say.locale)
    eaten = {
        True: say.gettext("It is food. Eat only what you are sure of."),
        False: say.gettext("It is not food."),
        None: None,
    }[own.eaten]
    out = say.gettext("Plant it out in: {month}.", month=months[own.out]) if own.out else None
    harvest = (
        say.gettext("Harvest: {first} to {last}.", first=months[own.harvest[0]], last=months[own.harvest[1]])
        if own.harvest
        else None
    )
    apart = say.gettext("{n}\u00a0cm apart.", n=say.number(own.apart_cm)) if own.apart_cm else None
    change = say.gettext("Is this wrong? Write /own and its name. Then you can answer again.")
    return lines([about(say, crops, own), eaten, out, harvest, apart, change])


def question(say: Say, number: int, own: OwnCrop, step: Step) -> tuple[str, list[list[Button]]]:
    """One question with its answers; the last passes on to the next. number: of the row, for the buttons."""
    name = safe(own.name, 40)
    months = get_month_names("abbreviated", context="stand-alone", locale=say.locale)
    grid = [(months[month], f"{step}{month}") for month in range(1, 13)]
    text, answers = {
        Step.EATEN: (
            say.gettext("{name}, question 1 of 5: do you eat it?", name=name),
            [(say.gettext("Yes"), "ey"), (say.gettext("No"), "en")],
        ),
        Step.FROST: (
            say.gettext("{name}, question 2 of 5: what does frost do to it?", name=name),
            [
                (say.gettext("Frost kills it"), f"f{Frost.KILLS}"),
                (say.gettext("Light frost is fine"), f"f{Frost.MARKS}"),
                (say.gettext("It survives winter"), f"f{Frost.STANDS}"),
            ],
        ),
        Step.OUT: (say.gettext("{name}, question 3 of 5: in which month do you plant it outdoors?", name=name), grid),
        Step.FROM: (say.gettext("{name}, question 4 of 5: in which month do you start to pick it?", name=name), grid),
        Step.UNTIL: (say.gettext("{name}, question 4 of 5: in which month do you stop picking it?", name=name), grid),
        Step.APART: (
            say.gettext("{name}, question 5 of 5: how many cm apart?", name=name),
            [(say.number(cm), f"a{cm}") for cm in APART_CM],
        ),
    }[step]
    wide = 1 if step is Step.FROST else _ROW_N
    buttons = [(label, f"own:{number}:{data}") for label, data in answers]
    rows = [buttons[n : n + wide] for n in range(0, len(buttons), wide)]
    return text, [*rows, [(say.gettext("I don't know"), f"own:{number}:{step}?")]]
