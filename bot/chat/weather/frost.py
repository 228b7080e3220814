"""/frost: when the last and the first frost come here, in words that cannot be read backwards."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.html import bold, lines
from bot.chat.journal.amounts import month_day
from bot.chat.request import Request
from bot.chat.weather import weather_words
from bot.core.growing.carrying import is_written_for
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
        unknown = say.gettext(
            "I don't know the frosts in this garden yet. I need night temperatures of ten years from near here. "
            "An organiser can send me that file, minima.csv."
        )
        britain = say.gettext("In most of Britain, keep tender plants in until the second week of May.")
        await request.reply(lines([unknown, britain if is_written_for(garden.latitude, garden.longitude) else None]))
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
                _line(say, spring, 0.5, say.gettext("1 year in 2 has a frost after {day}.")),
                _line(say, spring, 0.9, say.gettext("1 year in 10 has a frost after {day}.")),
                _line(say, autumn, 0.1, say.gettext("1 year in 10 has an autumn frost by {day}.")),
                _line(say, autumn, 0.5, say.gettext("1 year in 2 has an autumn frost by {day}.")),
                _moved(say, await frost_dates.difference(request.session, garden)),
                await _modelled(request, garden.id),
            ]
        )
    )


def _moved(say: Say, known: frost_dates.Difference | None) -> str:
    """Whose dates these are: of the place where the minima were measured, or moved to the garden."""
    if known is None:
        return say.gettext("These dates are from the place where somebody measured. It can be colder or warmer here.")
    size = say.celsius_exact(abs(known.warmer_c))
    if known.warmer_c < 0:
        return say.ngettext(
            "Our own readings were {size} colder ({n} night). The dates include this.",
            "Our own readings were {size} colder ({n} nights). The dates include this.",
            known.nights,
            size=size,
        )
    return say.ngettext(
        "Our own readings were {size} warmer ({n} night). The dates include this.",
        "Our own readings were {size} warmer ({n} nights). The dates include this.",
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
        "These come from a weather model. I made them 1.5 degrees colder, to be safe. {credit}. "
        "How cold your own nights were (minima.csv) tells me more.",
        credit=weather_words.credit(request.say, open_meteo.NAME) or open_meteo.NAME,
    )
