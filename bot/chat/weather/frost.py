"""/frost: when the last and the first frost come here, in words that cannot be read backwards."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.html import bold, lines, safe
from bot.chat.journal.amounts import month_day
from bot.chat.request import Request
from bot.core.weather.climate import Frosts
from bot.forecasts import open_meteo
from bot.i18n import Say
from bot.services.weather import frost_dates

WORD = "frost"


def about(say: Say) -> str:
    return say.gettext("when the last and the first frost come here")


async def answer(request: Request) -> None:
    found = await rights.member(request)
    if found is None:
        return
    garden, _ = found
    say = request.say
    known = await frost_dates.of_garden(request.session, garden)
    if known is None:
        await request.reply(
            say.gettext(
                "I don't know this garden's frosts yet: I need ten years of night minima near it. An organiser can load "
                "them as minima.csv. In most of Britain tender plants are not safe outside before the second week of May."
            )
        )
        return
    spring, autumn = known.last_spring, known.first_autumn
    await request.reply(
        lines(
            [
                bold(
                    say.gettext(
                        "Frosts here, from {first} to {last}:", first=str(spring.years[0]), last=str(spring.years[-1])
                    )
                ),
                _line(say, spring, 0.5, say.gettext("Half of the years still have a frost after {day}.")),
                _line(say, spring, 0.9, say.gettext("One year in ten still has a frost after {day}.")),
                _line(say, autumn, 0.1, say.gettext("One year in ten has had its first autumn frost by {day}.")),
                _line(say, autumn, 0.5, say.gettext("Half of the years have had their first autumn frost by {day}.")),
                _moved(say, await frost_dates.difference(request.session, garden)),
                await _modelled(request, garden.id),
            ]
        )
    )


def _moved(say: Say, known: frost_dates.Difference | None) -> str:
    """Whose dates these are: of the place where the minima were measured, or moved to the garden."""
    if known is None:
        return say.gettext("These are the dates where it was measured; here it may be colder or milder.")
    size = say.celsius_exact(abs(known.warmer_c))
    if known.warmer_c < 0:
        return say.ngettext(
            "Our own thermometer was {size} colder than there, over {n} night; that is in it.",
            "Our own thermometer was {size} colder than there, over {n} nights; that is in it.",
            known.nights,
            size=size,
        )
    return say.ngettext(
        "Our own thermometer was {size} warmer than there, over {n} night; that is in it.",
        "Our own thermometer was {size} warmer than there, over {n} nights; that is in it.",
        known.nights,
        size=size,
    )


def _line(say: Say, known: Frosts, share: float, sentence: str) -> str | None:
    """A sentence with its day; nothing where the years cannot say."""
    reached = known.by(share)
    return None if reached is None else say.fill(sentence, day=month_day(say, f"{reached[0]:02}-{reached[1]:02}"))


async def _modelled(request: Request, garden_id: int) -> str | None:
    """What such nights are, with the credit that their licence wants."""
    if not await frost_dates.are_modelled(request.session, garden_id):
        return None
    return request.say.gettext(
        "Nobody measured these here: they are of a weather model, kilometres wide, and taken 1.5 degrees colder to be safe. "
        "{credit}. Own nights as minima.csv are better.",
        credit=safe(open_meteo.ATTRIBUTION, 60),
    )
