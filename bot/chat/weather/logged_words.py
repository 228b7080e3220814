"""What a logging thermometer's file came to: nights, what they taught, and what is doubted and why."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.html import bold, lines, safe
from bot.core.weather.logger import Doubt
from bot.i18n import Say
from bot.services.weather.logged import Taken

_DAYS_N = 6


def taken(say: Say, found: Sequence[Taken], unknown: Sequence[str], problems: Sequence[str]) -> str:
    """unknown: names in the file that no thermometer has. problems: lines that could not be read."""
    parts = [line for one in found for line in _about(say, one)]
    if not found and not unknown:
        parts.append(say.gettext("I found no readings in that file."))
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
        told.append(say.ngettext("I already had {n}.", "I already had {n}.", one.had_n))
    if one.not_compared_n:
        told.append(
            say.ngettext(
                "For {n} night I have no earlier forecast. I save it, but I cannot learn from it.",
                "For {n} nights I have no earlier forecast. I save them, but I cannot learn from them.",
                one.not_compared_n,
            )
        )
    if one.odd_on:
        days = say.and_list([say.day(on) for on in one.odd_on[:_DAYS_N]])
        told.append(
            say.gettext(
                "The nights of {days} are not at all what I expected. I don't use them. Is the sensor right?",
                days=days,
            )
        )
    return [*told, *_doubts(say, one)]


def _doubts(say: Say, one: Taken) -> list[str]:
    told = []
    if Doubt.SUN in one.log.doubts:
        told.append(
            say.gettext(
                "It gets warm faster than air can. I think the sun shines on it. I cannot learn from it. Please "
                "hang it in the shade."
            )
        )
    if Doubt.STILL in one.log.doubts:
        told.append(
            say.gettext("It showed the same for a whole day or more. I leave those nights out. Does it still work?")
        )
    if one.log.jumps_n:
        told.append(
            say.ngettext(
                "{n} value jumped far up or down and back. I left it out.",
                "{n} values jumped far up or down and back. I left them out.",
                one.log.jumps_n,
            )
        )
    if one.log.gappy_n:
        told.append(
            say.ngettext(
                "{n} night has gaps of over two hours. I left it out.",
                "{n} nights have gaps of over two hours. I left them out.",
                one.log.gappy_n,
            )
        )
    return told


def _unknown(say: Say, name: str) -> str:
    if not name:
        return say.gettext(
            "The file does not say which thermometer it is from. Add a column “thermometer” with its name."
        )
    return say.gettext(
        "I don't know a thermometer “{name}” here. Add it in /places, or change the file.", name=safe(name, 40)
    )
