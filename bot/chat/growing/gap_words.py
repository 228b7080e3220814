"""What may still be sown or set out into an empty bed, and what covers its soil."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat import names
from bot.chat.html import bold, lines
from bot.chat.screen import within
from bot.chat.warnings.told import Told
from bot.core.growing.crop import Kind
from bot.core.growing.succession import Filler, sowing_places

__all__ = ["gap"]

_SHOWN = 12


def gap(told: Told, fillers: Sequence[Filler], *, whole: bool = False) -> tuple[str, bool]:
    """(text, whether it is all of it): what may still be sown or set out into an empty bed today, soonest ready first.
    whole: all of it in any case.
    """
    say = told.say
    green = _green_cover(told)
    if not fillers:
        nothing = say.gettext("It is too late to sow for this season.")
        return lines([nothing, green or say.gettext("A green manure protects the bed until spring.")]), True
    found = [
        say.gettext(
            "• {crop}, {where}: ready by {day}.",
            crop=names.crop(say, told.crops, one.crop),
            where=names.where(say, one.where),
            day=say.day(one.ready_on),
        )
        for one in fillers[:_SHOWN]
    ]
    title = bold(say.gettext("You can still start these now:"))
    if whole:
        return lines([title, *found, green]), True
    text, shown_n = within([title], found, lambda shown_n: [green])
    return text, shown_n == len(found)


def _green_cover(told: Told) -> str | None:
    """Green manures that may be sown today."""
    say, today = told.say, told.say.local(told.now).date()
    keys = [key for key, crop in told.crops.items() if crop.kind is Kind.GREEN_MANURE and sowing_places(crop, today)]
    if not keys:
        return None
    named = say.or_list([names.crop(say, told.crops, key) for key in keys])
    return say.gettext("Or cover the soil with: {crops}.", crops=named)
