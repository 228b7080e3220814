"""What a logging thermometer's file came to: nights, what they taught, and what is doubted and why."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.html import bold, lines, safe
from bot.core.weather.logger import Doubt
from bot.i18n import Say
from bot.services.weather.logged import Taken

__all__ = ["taken"]

_DAYS_N = 6


def taken(say: Say, found: Sequence[Taken], unknown: Sequence[str], problems: Sequence[str]) -> str:
    """unknown: names in the file that no thermometer has. problems: lines that could not be read."""
    parts = [line for one in found for line in _about(say, one)]
    if not found and not unknown:
        parts.append(say.gettext("I found no reading in that file."))
    parts += [_unknown(say, name) for name in unknown[:_DAYS_N]]
    parts += [safe(one, 200) for one in problems]
    return lines(parts)


def _about(say: Say, one: Taken) -> list[str]:
    nights = len(one.log.nights)
    told = [
        bold(say.ngettext("{name}: {n} night.", "{name}: {n} nights.", nights, name=safe(one.thermometer, 40))),
    ]
    if one.taught_n:
        told.append(say.ngettext("I learn from {n} of them.", "I learn from {n} of them.", one.taught_n))
    if one.had_n:
        told.append(say.ngettext("{n} I had already.", "{n} I had already.", one.had_n))
    if one.not_compared_n:
        told.append(
            say.ngettext(
                "Of {n} I have no forecast from before it: kept, but I learn nothing from it.",
                "Of {n} I have no forecast from before them: kept, but I learn nothing from them.",
                one.not_compared_n,
            )
        )
    if one.odd_on:
        days = say.and_list([say.day(on) for on in one.odd_on[:_DAYS_N]])
        told.append(
            say.gettext(
                "Far from what I had expected, so kept apart: the nights of {days}. Is the sensor right?", days=days
            )
        )
    return [*told, *_doubts(say, one)]


def _doubts(say: Say, one: Taken) -> list[str]:
    told = []
    if Doubt.SUN in one.log.doubts:
        told.append(
            say.gettext(
                "It warms faster than air can, so I think that the sun falls on it. I learn nothing from it: please hang it "
                "in the shade."
            )
        )
    if Doubt.STILL in one.log.doubts:
        told.append(
            say.gettext("It showed the same for a whole day or more. I leave those nights out: is it still working?")
        )
    if one.log.jumps_n:
        told.append(
            say.ngettext(
                "{n} value jumped away and back; I left it out.",
                "{n} values jumped away and back; I left them out.",
                one.log.jumps_n,
            )
        )
    if one.log.gappy_n:
        told.append(
            say.ngettext(
                "{n} night has gaps of over two hours; I left it out.",
                "{n} nights have gaps of over two hours; I left them out.",
                one.log.gappy_n,
            )
        )
    return told


def _unknown(say: Say, name: str) -> str:
    if not name:
        return say.gettext(
            "The file does not say of which thermometer it is. Add a column “thermometer” with its name."
        )
    return say.gettext(
        "No thermometer here is called “{name}”. Add it in /places, or change the file.", name=safe(name, 40)
    )
